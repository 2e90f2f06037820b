package desk

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
)

// files is a folder of rules, by path.
type files map[string]string

// small is a folder with a base and one local pack. What stands in the files is
// nothing to this package.
func small() files {
	return files{
		"base/params.yaml":             "standoff: 30 ft\n",
		"base/params.json":             "{}\n",
		"base/ground/metal.rego":       "package checks.base.ground.metal\n",
		"local/us-va/overlay.yaml":     "standoff: 45 ft\n",
		"local/us-va/ground/clay.rego": "package checks.local.ground.clay\n",
	}
}

// lay writes files into a folder.
func (f files) lay(t testing.TB, dir string) {
	t.Helper()
	for name, text := range f {
		write(t, filepath.Join(dir, name), text)
	}
}

func write(t testing.TB, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func newFolder(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	small().lay(t, dir)
	return dir
}

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// publish publishes what lies in dir, as the verb does.
func publish(t testing.TB, dir, why string) Publication {
	t.Helper()
	p, err := tryPublish(dir, why)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func tryPublish(dir, why string) (Publication, error) {
	c, err := Read(dir)
	if err != nil {
		return Publication{}, err
	}
	next, err := Next(dir)
	if err != nil {
		return Publication{}, err
	}
	p := Publication{Serial: next, Sum: c.Sum, By: "Alma Ruiz", Why: why, At: noon.Add(time.Duration(next) * time.Minute)}
	return p, Publish(dir, p)
}

func read(t testing.TB, dir string) Candidate {
	t.Helper()
	c, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// fails wants an error whose sentence holds what is said.
func fails(t testing.TB, err error, kind engine.Failure, say string) {
	t.Helper()
	if err == nil {
		t.Errorf("no error; want one that says %q", say)
		return
	}
	if got, _ := inWords(err); !strings.Contains(got, say) || engine.KindOf(err) != kind {
		t.Errorf("%s: %q; want %s: %q", engine.KindOf(err), got, kind, say)
	}
}

func TestAFolderIsReadAsItIs(t *testing.T) {
	dir := newFolder(t)
	write(t, filepath.Join(dir, "README.txt"), "beside the packs")
	write(t, filepath.Join(dir, "base.survivors.yaml"), "beside the packs")
	write(t, filepath.Join(dir, "local", "us-va.survivors.yaml"), "beside the packs")
	write(t, filepath.Join(dir, "base", ".metal.rego.swp"), "an editor's")
	write(t, filepath.Join(dir, ".git", "config"), "somebody's")
	write(t, filepath.Join(dir, "schemas", "input.json"), "for the stock engine")
	c := read(t, dir)
	if plain := read(t, newFolder(t)); plain.Sum != c.Sum {
		t.Error("what lies beside the packs is part of the sum")
	}
	if c.Published || !strings.Contains(c.Unpublished, "nothing has been published") {
		t.Errorf("%+v", c)
	}
	var paths []string
	for _, f := range c.files {
		paths = append(paths, f.path)
		if string(f.data) != small()[f.path] {
			t.Errorf("%s is %q", f.path, f.data)
		}
	}
	if want := slices.Sorted(maps.Keys(small())); !slices.Equal(paths, want) {
		t.Errorf("%v, want %v", paths, want)
	}
	if raw, err := readAll(c.Base(), "ground/metal.rego"); err != nil || string(raw) != small()["base/ground/metal.rego"] {
		t.Errorf("base: %q, %v", raw, err)
	}
	if raw, err := readAll(c.Local(), "us-va/overlay.yaml"); err != nil || string(raw) != small()["local/us-va/overlay.yaml"] {
		t.Errorf("local: %q, %v", raw, err)
	}
}

func TestAFolderWithoutABaseOrLocalPacks(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "local/us-va/overlay.yaml"), "a: b\n")
	if c := read(t, dir); c.Base() != nil || c.Local() == nil {
		t.Error("a base from nowhere, or no local packs")
	}
	dir = t.TempDir()
	write(t, filepath.Join(dir, "base/params.yaml"), "a: b\n")
	if c := read(t, dir); c.Base() == nil || c.Local() != nil {
		t.Error("local packs from nowhere, or no base")
	}
	if c := (Candidate{}); c.Base() != nil || c.Local() != nil {
		t.Error("the zero candidate has packs")
	}
}

// The sum was made by hand of the description in sumOf, with coreutils:
//
//	printf 'firstrod packs 1\nbase/a\n2\nhilocal/x/b\n0\n' | sha256sum
func TestTheSumIsWhatIsWritten(t *testing.T) {
	const want = "3dc7a5acc13ffbacc78ffb3a1f81d14da12e7b2ad4864694202f159e128f2f8d"
	if got := sumOf([]file{{"base/a", []byte("hi")}, {"local/x/b", nil}}); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	same := sumOf([]file{{"base/a", []byte("hi")}})
	for name, other := range map[string][]file{
		"path": {{"base/b", []byte("hi")}}, "byte": {{"base/a", []byte("hj")}}, "length": {{"base/a", []byte("hi\n")}},
		"moved": {{"base/a", []byte("h")}, {"base/ai", nil}}, "none": nil,
	} {
		if sumOf(other) == same {
			t.Errorf("%s: the sum is the same", name)
		}
	}
}

func TestWhatIsNoFolderOfRules(t *testing.T) {
	for name, c := range map[string]struct {
		make func(t *testing.T, dir string)
		say  string
	}{
		"another folder": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, "ground/metal.rego"), "x") },
			"neither base nor local"},
		"a rule at the top": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, "metal.rego"), "x") },
			"metal.rego: this belongs neither to base"},
		"a file in local": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, "local/overlay.yaml"), "x") },
			"local/overlay.yaml: this belongs neither to base"},
		"a space in a name": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, "base/a b.rego"), "x") },
			"letters, digits, dots"},
		"a link": {func(t *testing.T, dir string) {
			if err := os.Symlink("/etc/hostname", filepath.Join(dir, "base/ground/link.rego")); err != nil {
				t.Fatal(err)
			}
		}, "base/ground/link.rego: this is a link"},
		"a linked folder": {func(t *testing.T, dir string) {
			if err := os.Symlink(t.TempDir(), filepath.Join(dir, "local/us-nc")); err != nil {
				t.Fatal(err)
			}
		}, "local/us-nc: this is a link"},
		"a large file": {func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, "base/big.rego"), strings.Repeat("x", MaxFile+1))
		}, "larger than 1 MiB"},
		"two names that are one elsewhere": {func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, "base/a.rego"), "x")
			write(t, filepath.Join(dir, "base/A.rego"), "x")
		}, "two files of this name"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := newFolder(t)
			c.make(t, dir)
			_, err := Read(dir)
			fails(t, err, engine.Rules, c.say)
		})
	}
	_, err := Read(filepath.Join(t.TempDir(), "nowhere"))
	fails(t, err, engine.Storage, "cannot be read")
}

func TestTooManyFilesAndTooLarge(t *testing.T) {
	s := &shelf{}
	for i := range MaxFiles {
		if say := s.add("base/"+strings.Repeat("x", 1+i), nil); say != "" {
			t.Fatal(say)
		}
	}
	if say := s.add("base/y", nil); !strings.Contains(say, "more than 2000 files") {
		t.Error(say)
	}
	s = &shelf{}
	for i := range MaxPack / MaxFile {
		if say := s.add("base/"+strings.Repeat("x", 1+i), make([]byte, MaxFile)); say != "" {
			t.Fatal(say)
		}
	}
	if say := s.add("base/y", []byte("x")); !strings.Contains(say, "larger than 16 MiB") {
		t.Error(say)
	}
}
