package boltstore

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// shownLedger is a closed ledger whose records number 2 and 3 name files of evidence.
func shownLedger(t *testing.T) (dir string, a, b ledger.File) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	s := openWith(t, dir, Options{})
	keep := func(data []byte) ledger.File {
		f, err := s.Keep(t.Context(), "marks.png", bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	a, b = keep(png), keep(append(bytes.Clone(png), "another"...))
	entries := []ledger.Entry{enginetest.Answer("b1", 1, "open"), enginetest.Answer("b1", 2, "a"), enginetest.Answer("b1", 3, "b"), enginetest.Answer("b1", 4, "a again")}
	for i, files := range [][]ledger.File{{a}, {b}, {a, b}} {
		entries[i+1].Record.Kind, entries[i+1].Record.Shown = ledger.KindShown, files
	}
	for _, e := range entries {
		if _, err := s.Append(t.Context(), e); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir); !strings.Contains(fmt.Sprint(sum.Checked), "evidence") {
		t.Fatalf("looked at %v", sum.Checked)
	}
	return dir, a, b
}

// Whatever became of a file of evidence, the verifier says which record names it.
func TestVerifyLooksAtTheShelf(t *testing.T) {
	for name, c := range map[string]struct {
		do   func(t *testing.T, path string)
		says string
	}{
		"lost":              {func(t *testing.T, path string) {}, "it is missing"},
		"one byte":          {func(t *testing.T, path string) { write(t, path, append(bytes.Clone(png[:len(png)-1]), 'X')) }, "its bytes are others"},
		"one more":          {func(t *testing.T, path string) { write(t, path, append(bytes.Clone(png), 0)) }, "it has 16 bytes, not 15"},
		"two gigabytes":     {func(t *testing.T, path string) { write(t, path, nil); must(t, os.Truncate(path, 2<<30)) }, "it has 2147483648 bytes, not 15"},
		"a link to the one": {func(t *testing.T, path string) { write(t, path+"x", png); must(t, os.Symlink(path+"x", path)) }, "no plain file"},
		"a link to nothing": {func(t *testing.T, path string) { must(t, os.Symlink("/nowhere", path)) }, "no plain file"},
		"a folder":          {func(t *testing.T, path string) { must(t, os.Mkdir(path, 0o700)) }, "a folder lies in its place"},
		"a pipe":            {func(t *testing.T, path string) { must(t, syscall.Mkfifo(path, 0o600)) }, "no plain file"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, a, _ := shownLedger(t)
			path := filepath.Join(dir, "evidence", a.Sum)
			must(t, os.Remove(path))
			c.do(t, path)
			faults, sum := verify(t, dir)
			if len(faults) != 1 || faults[0].Code != ledger.FaultEvidence || faults[0].Seq != 2 || sum.First != 2 {
				t.Fatalf("%+v, first %d", faults, sum.First)
			}
			for _, want := range []string{"record 2", a.Sum, c.says} {
				if !strings.Contains(faults[0].Say, want) {
					t.Errorf("%q lacks %q", faults[0].Say, want)
				}
			}
			// The store gives it out to nobody, and is whole again once it is given again.
			s := openWith(t, dir, Options{})
			defer s.Close()
			if _, err := s.Kept(t.Context(), a.Sum); engine.KindOf(err) != engine.Damaged && engine.KindOf(err) != engine.NotFound {
				t.Errorf("given out: %v", err)
			}
			if _, err := s.Keep(t.Context(), "marks.png", bytes.NewReader(png)); err != nil {
				t.Fatal(err)
			}
			if data, err := s.Kept(t.Context(), a.Sum); err != nil || !bytes.Equal(data, png) {
				t.Errorf("given again: %v", err)
			}
		})
	}
}

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	must(t, os.WriteFile(path, data, 0o600))
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// A record may say that its file has two gigabytes, and so may the file: it is
// hashed a piece at a time.
func TestALargeFileIsReadAPieceAtATime(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	openWith(t, dir, Options{}).Close()
	sum := strings.Repeat("ab", 32)
	path := filepath.Join(dir, "evidence", sum)
	must(t, os.MkdirAll(filepath.Dir(path), 0o700))
	write(t, path, nil)
	const size = 256 << 20
	must(t, os.Truncate(path, size))
	r, err := OpenReader(dir)
	must(t, err)
	defer r.Close()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	err = r.Evidence(ledger.File{Sum: sum, Size: size})
	runtime.ReadMemStats(&after)
	if err == nil || !strings.Contains(err.Error(), "its bytes are others") {
		t.Errorf("%v", err)
	}
	if took := after.TotalAlloc - before.TotalAlloc; took > 1<<20 {
		t.Errorf("it took %d bytes of memory", took)
	}
	if _, err := r.Kept(sum); engine.KindOf(err) != engine.Damaged {
		t.Errorf("given out whole: %v", err)
	}
}

// A file is bytes: nothing is ever unpacked, and what is no picture is refused.
func TestBombsAreBytes(t *testing.T) {
	s := openWith(t, t.TempDir(), Options{})
	defer s.Close()
	var z bytes.Buffer
	w := zip.NewWriter(&z)
	part, err := w.Create("../../etc/passwd")
	must(t, err)
	_, err = part.Write(make([]byte, 64<<20))
	must(t, errOr(err, w.Close()))
	if _, err := s.Keep(t.Context(), "marks.png", bytes.NewReader(z.Bytes())); engine.KindOf(err) != engine.Usage {
		t.Errorf("an archive was taken for a picture: %v", err)
	}
	// Behind the head of a picture it is kept as it is, and quickly.
	start := time.Now()
	f, err := s.Keep(t.Context(), "marks.png", bytes.NewReader(append(bytes.Clone(png), z.Bytes()...)))
	if err != nil || f.Size != int64(len(png)+z.Len()) {
		t.Errorf("%+v %v", f, err)
	}
	if passed := time.Since(start); passed > 2*time.Second {
		t.Errorf("took %v", passed)
	}
}

func errOr(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// Whatever a file is called, it lies under its sum, and its name is harmless to
// read.
func TestNamesNeverReachTheDisk(t *testing.T) {
	dir := t.TempDir()
	s := openWith(t, dir, Options{})
	defer s.Close()
	for name, want := range map[string]string{
		"../../../etc/passwd": "passwd", "/etc/cron.d/x": "x", `..\..\boot.ini`: "boot.ini", "a\x00b.png": "a_b.png",
		"photo\u202egnp.exe": "photo_gnp.exe", "zero\u200bwidth\ufeff.png": "zero_width_.png", "..": "", ".": "", "": "", "/": "_",
		strings.Repeat("x", 5000): strings.Repeat("x", 80), strings.Repeat("ñ", 300): strings.Repeat("ñ", 80), "bad\xff.png": "bad_.png",
		"line\nbreak.png": "line_break.png", "\x1b[31mred.png": "_[31mred.png", "CON ": "CON", "día 1.png": "día 1.png",
	} {
		f, err := s.Keep(t.Context(), name, bytes.NewReader(png))
		if err != nil || f.Name != want {
			t.Errorf("%q is called %q (%v), want %q", name, f.Name, err, want)
		}
		if strings.ContainsFunc(f.Name, func(c rune) bool { return !unicode.IsPrint(c) }) {
			t.Errorf("%q shows what cannot be seen", f.Name)
		}
	}
	all, err := os.ReadDir(filepath.Join(dir, "evidence"))
	if err != nil || len(all) != 1 || !aSum.MatchString(all[0].Name()) {
		t.Errorf("on the shelf: %v %v", all, err)
	}
}
