package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/exif"
	"firstrod/engine/ledger"
)

// shownOn puts pictures on a bore's record: one that says where it was taken, made
// by another program (see engine/exif/testdata/outside), and one that says nothing.
func shownOn(t *testing.T, dir, bore string) (placed []byte, sums []string) {
	t.Helper()
	placed, err := os.ReadFile("../../engine/exif/testdata/outside/placed.jpg")
	if err != nil {
		t.Fatal(err)
	}
	store, err := boltstore.Open(dir, boltstore.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	book, _, err := (&app{}).inForce(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: store, Registry: store})
	if err != nil {
		t.Fatal(err)
	}
	p, err := e.Introduce(t.Context(), engine.Said{Key: "marta", From: "test"}, "Marta Quill", engine.RoleSafetyManager)
	if err != nil {
		t.Fatal(err)
	}
	var files []ledger.File
	for name, data := range map[string][]byte{"../../marks.jpg": placed, "pit\u202egpj.exe": append([]byte("\x89PNG\r\n\x1a\n"), "pit"...)} {
		f, err := store.Keep(t.Context(), name, bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
		sums = append(sums, f.Sum)
	}
	said := engine.Said{Key: "shown", From: "test", By: ledger.Actor{ID: p.ID, Role: engine.RoleSafetyManager}}
	if _, err := e.Show(t.Context(), bore, said, files...); err != nil {
		t.Fatal(err)
	}
	return placed, sums
}

// outcome runs the program.
func outcome(t *testing.T, want int, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if code := run(context.Background(), args, streams{strings.NewReader(""), &out, &out}); code != want {
		t.Fatalf("%v: exit %d, want %d: %s", args, code, want, out.String())
	}
	return out.String()
}

const coordinates = "33.448" // what any print of the place begins with

func TestEvidence(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	dir := releasedAt(t, time.Now().Add(-time.Minute))
	placed, sums := shownOn(t, dir, "OR-4")
	shown := func(want int, args ...string) string {
		t.Helper()
		return outcome(t, want, append([]string{"evidence", "OR-4", "--data", dir}, args...)...)
	}
	text := shown(exitFine)
	for _, want := range []string{"2 files were given", sums[0], sums[1], "Marta Quill, safety_manager", "taken 2026-11-24 08:05", "place on file", `"marks.jpg", image/jpeg, 855 bytes`, `"pit_gpj.exe", image/png`} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q:\n%s", want, text)
		}
	}
	proofFile := filepath.Join(t.TempDir(), "p.zip")
	said := outcome(t, exitFine, "prove", "OR-4", "--data", dir, "-o", proofFile, "--evidence")
	if !strings.Contains(said, "1 of the pictures in it say where they were taken") {
		t.Error(said)
	}
	for what, text := range map[string]string{
		"evidence": text, "evidence --json": shown(exitFine, "--json"), "prove": said,
		"story":   outcome(t, exitFine, "history", "OR-4", "--story", "--data", dir),
		"history": outcome(t, exitFine, "history", "OR-4", "--json", "--data", dir),
		"board":   outcome(t, exitFine, "board", "OR-4", "--json", "--data", dir),
		"paper":   string(recordFile(t, dir, ".html")) + string(recordFile(t, dir, ".json")),
	} {
		if strings.Contains(text, coordinates) {
			t.Errorf("%s prints where a picture was taken", what)
		}
	}
	if text := shown(exitFine, "--place"); !strings.Contains(text, "at 33.44838, -112.07404") {
		t.Error(text)
	}
	var all []evidenceJSON
	if err := json.Unmarshal([]byte(shown(exitFine, "--json", "--place")), &all); err != nil || len(all) != 2 {
		t.Fatal(err, all)
	}

	for _, place := range []bool{false, true} {
		out := filepath.Join(t.TempDir(), "out")
		args := []string{"--out", out}
		if place {
			args = append(args, "--place")
		}
		shown(exitFine, args...)
		files, err := filepath.Glob(filepath.Join(out, "*"))
		if err != nil || len(files) != 2 {
			t.Fatalf("written: %v %v", files, err)
		}
		for _, f := range files {
			data, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if strings.ContainsAny(filepath.Base(f), " \u202e") || strings.Contains(f, "exe") {
				t.Errorf("called %q", f)
			}
			if !strings.HasSuffix(f, ".jpg") {
				continue
			}
			if place != bytes.Equal(data, placed) || place != (exif.Read(data).Place != nil) || place == strings.Contains(f, "without-place") {
				t.Errorf("--place %v: %s is not what it should be", place, f)
			}
		}
		// Never over what is there.
		if text := shown(exitCouldNotRun, args...); !strings.Contains(text, "is there already") {
			t.Error(text)
		}
	}
}

func recordFile(t *testing.T, dir, ending string) []byte {
	t.Helper()
	out := filepath.Join(t.TempDir(), "r"+ending)
	outcome(t, exitFine, "record", "OR-4", "--data", dir, "--out", out)
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// A link that lies in the folder leads nobody out of it.
func TestEvidenceIsWrittenIntoItsFolderOnly(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	dir := releasedAt(t, time.Now().Add(-time.Minute))
	shownOn(t, dir, "OR-4")
	var all []evidenceJSON
	if err := json.Unmarshal([]byte(outcome(t, exitFine, "evidence", "OR-4", "--json", "--data", dir)), &all); err != nil {
		t.Fatal(err)
	}
	out, target := t.TempDir(), filepath.Join(t.TempDir(), "victim")
	o := &outFolder{path: out, done: map[string]bool{}}
	var err error
	if o.root, err = os.OpenRoot(out); err != nil {
		t.Fatal(err)
	}
	defer o.close()
	e := all[0]
	e.data = []byte("x")
	if err := o.write(&e, true); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(e.File); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, e.File); err != nil {
		t.Fatal(err)
	}
	outcome(t, exitCouldNotRun, "evidence", "OR-4", "--data", dir, "--out", out, "--place")
	if _, err := os.Stat(target); err == nil {
		t.Error("written through a link")
	}
}

// What is lost or changed is named by the list and by verify, with its record.
func TestEvidenceThatIsNotWhole(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	dir := releasedAt(t, time.Now().Add(-time.Minute))
	placed, _ := shownOn(t, dir, "OR-4")
	sum := sha256.Sum256(placed)
	path := filepath.Join(dir, "evidence", hex.EncodeToString(sum[:]))
	if text := outcome(t, exitFine, "verify", "--json", "--data", dir); !strings.Contains(text, `"evidence"`) {
		t.Error(text)
	}
	if err := os.WriteFile(path, append(bytes.Clone(placed[:len(placed)-1]), 0), 0o600); err != nil {
		t.Fatal(err)
	}
	if text := outcome(t, exitDamaged, "evidence", "OR-4", "--data", dir); !strings.Contains(text, "NOT WHOLE: what lies in the data folder is changed.") {
		t.Error(text)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if text := outcome(t, exitDamaged, "evidence", "OR-4", "--data", dir); !strings.Contains(text, "MISSING") || strings.Contains(text, coordinates) {
		t.Error(text)
	}
	text := outcome(t, exitDamaged, "verify", "--data", dir)
	for _, want := range []string{"DOES NOT VERIFY: 1 faults", filepath.Base(path), "it is missing"} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q:\n%s", want, text)
		}
	}
}
