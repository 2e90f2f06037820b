package rules

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// base is the base pack as it lies on disk.
func base(t testing.TB) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	root := os.DirFS("../../policies/base")
	err := fs.WalkDir(root, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(root, path)
		m[path] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestBaseLoads(t *testing.T) {
	s := load(t, base(t))
	if n := len(s.Catalogue().Checks); n < 40 {
		t.Errorf("%d checks", n)
	}
	for _, n := range s.Notes() {
		t.Error(n)
	}
}

func TestBaseTests(t *testing.T) {
	r, err := Test(context.Background(), base(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Checks {
		if !c.OK() {
			t.Errorf("%s: failed %v, uncovered %v, lacks %v", c.ID, c.Failed, c.Uncovered, c.Lacks)
		}
	}
	if !r.OK() {
		t.Error("not OK")
	}
}

// The stock engine's analysis must not know of a need that the catalogue lacks,
// and every need must be a leaf that can be known.
func TestBaseNeeds(t *testing.T) {
	s := load(t, base(t))
	provided := map[string]quantity.Kind{}
	for _, l := range engine.Leaves() {
		provided[l.Name] = l.Kind
	}
	for _, c := range s.Catalogue().Checks {
		text := string(base(t)[c.File].Data)
		for _, m := range regexp.MustCompile(`(?m)^[^#\n]*`).FindAllString(text, -1) {
			for _, ref := range regexp.MustCompile(`input\.([a-z_.0-9]+)`).FindAllStringSubmatch(m, -1) {
				if !contains(c.ExemptReads, ref[1]) && !contains(c.PassReads, ref[1]) {
					t.Errorf("%s reads %s and does not need it", c.ID, ref[1])
				}
			}
		}
		for _, leaf := range append(c.ExemptReads, c.PassReads...) {
			_, isAsk := s.Catalogue().Ask(leaf[strings.LastIndexByte(leaf, '.')+1:])
			if provided[leaf] == "" && !isAsk {
				t.Errorf("%s reads %s, which nobody provides", c.ID, leaf)
			}
		}
	}
}

func contains(all []string, s string) bool {
	return strings.Contains(" "+strings.Join(all, " ")+" ", " "+s+" ")
}

func TestBaseMissesNoCheck(t *testing.T) {
	m := base(t)
	ids, err := IDs(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range ids {
		less := clone(m)
		file := strings.Replace(id, ".", "/", 1)
		delete(less, file+".rego")
		delete(less, file+"_test.rego")
		if _, err := Load(context.Background(), less, Options{Pinned: ids}); engine.KindOf(err) != engine.Rules {
			t.Errorf("loaded without %s", id)
		}
	}
}

// within puts a line into every pass body of a check.
func within(text, line string) string {
	text = regexp.MustCompile(`(?m)^pass if ([^{\n]+)$`).ReplaceAllString(text, "pass if {\n\t$1\n}")
	return strings.ReplaceAll(text, "\npass if {\n", "\npass if {\n\t"+line+"\n")
}

// around is the part of the pack that a check needs to be loaded with: the
// checks that ask what it or they mention, the guards, and the limits.
func around(m fstest.MapFS, cat *engine.Catalogue, c *engine.Check) fstest.MapFS {
	part := fstest.MapFS{"params.yaml": m["params.yaml"], "params.json": m["params.json"]}
	var add func(c *engine.Check)
	add = func(c *engine.Check) {
		if part[c.File] != nil {
			return
		}
		part[c.File] = m[c.File]
		for _, other := range cat.Checks {
			for _, a := range other.Asks {
				if strings.Contains(string(m[c.File].Data), a.ID) {
					add(other)
				}
			}
		}
	}
	add(c)
	for _, other := range cat.Checks {
		if other.Guards != engine.PerBore {
			add(other)
		}
	}
	return part
}

// Each check of the base, broken in each of these ways, is refused, or is
// broken on every answer that it passed before.
func TestBaseBrokenInTurn(t *testing.T) {
	loop := "_d := [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]\n\n_loop := [1 | some a in _d; some b in _d; some c in _d; some d in _d; " +
		"some e in _d; some f in _d; some g in _d; some h in _d; a + b + c + d + e + f + g + h >= 0]\n"
	ways := map[string]func(text string) string{
		"syntax":    func(text string) string { return text + "\npass if {\n" },
		"undefined": func(text string) string { return within(text, "input.not_there_at_all == 1") },
		"function":  func(text string) string { return within(text, "time.now_ns() > 0") },
		"conflict": func(text string) string {
			return within(text, "_clash == 1") + "\n_clash := 1\n\n_clash := 2\n"
		},
		"type": func(text string) string { return within(text, `_three >= "2"`) + "\n_three := 3\n" },
		"loop": func(text string) string { return within(text, "count(_loop) > 0") + "\n" + loop },
	}
	m := base(t)
	set := load(t, m)
	for _, c := range set.Catalogue().Checks {
		part := around(m, set.Catalogue(), c)
		load(t, part)
		for way, breaks := range ways {
			bad := clone(part)
			put(bad, c.File, breaks(string(m[c.File].Data)))
			if string(bad[c.File].Data) == string(m[c.File].Data) {
				t.Fatalf("%s is not broken", c.File)
			}
			_, err := Load(context.Background(), bad, Options{Deadline: 25 * time.Millisecond})
			if engine.KindOf(err) != engine.Rules || !strings.Contains(err.Error(), c.File) {
				t.Errorf("%s, %s: %v", c.ID, way, err)
			}
		}
	}
}

// Each value that each check reads, in each wrong form, breaks the finding.
func TestBaseWrongForms(t *testing.T) {
	s := load(t, base(t))
	forms := map[shape]any{number: int64(1), text: "2", flag: true, numbers: []int64{1}, texts: []string{"2"}}
	for _, c := range s.Catalogue().Checks {
		u := s.units[c.ID]
		for i, wrong := range u.slots {
			for form, v := range forms {
				if form == wrong.shape {
					continue
				}
				facts := known{}
				for _, other := range u.slots {
					facts[other.name], _, _ = madeUp{u, 1}.Value(other.name)
				}
				facts[u.slots[i].name] = v
				f := one(t, s, c.ID, facts)
				if f.Status == engine.Pass || f.Status == engine.Broken && !strings.Contains(f.Note, wrong.name) {
					t.Errorf("%s with %s = %v: %+v", c.ID, wrong.name, v, f)
				}
				if f.Status != engine.Broken && (f.Status != engine.Exempt || contains(c.ExemptReads, wrong.name)) {
					t.Errorf("%s with %s = %v: %s", c.ID, wrong.name, v, fmt.Sprint(f))
				}
			}
		}
	}
}
