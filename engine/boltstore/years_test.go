package boltstore

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// named is an entry that introduces somebody.
func named(id, name string) ledger.Entry {
	salt := bytes.Repeat([]byte{byte(len(id))}, 32)
	e := enginetest.Answer("", 0, "person "+id)
	e.Record.Kind, e.Record.Person = ledger.KindPerson, &ledger.Person{ID: id, Roles: []string{}, Commit: ledger.Commitment(salt, name)}
	e.Private = []ledger.Private{{ID: id, Salt: salt, Value: name}}
	return e
}

func mustAppend(t *testing.T, s *Store, e ledger.Entry) {
	t.Helper()
	if _, err := s.Append(t.Context(), e); err != nil {
		t.Fatal(err)
	}
}

func erasing(id, by string) ledger.Entry {
	e := enginetest.Answer("", 0, "erase "+id)
	e.Record.Kind, e.Record.By = ledger.KindErased, &ledger.Actor{ID: by}
	e.Record.Erased = &ledger.Erased{Person: id, Ground: "asked"}
	e.Forget = []string{id}
	return e
}

// What is erased is in the file until it is compacted, and nowhere in it afterwards;
// the ledger is the same, and continues its older checkpoints.
func TestErasedBytesAreGone(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	const name = "Quintessa Overbrook"
	mustAppend(t, s, named("p_1", name))
	mustAppend(t, s, named("p_2", "Somebody Else"))
	_, pin := s.Checkpoint()
	mustAppend(t, s, erasing("p_1", "p_2"))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	raw := func() []byte {
		b, err := os.ReadFile(filepath.Join(dir, ledgerFile))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	if !bytes.Contains(raw(), []byte(name)) {
		t.Log("the name is gone before the file was compacted") // no promise either way
	}
	c, err := Compact(dir)
	if err != nil || c.After > c.Before {
		t.Fatalf("%+v, %v", c, err)
	}
	if b := raw(); bytes.Contains(b, []byte(name)) || !bytes.Contains(b, []byte("Somebody Else")) {
		t.Error("the wrong names are in the file")
	}
	if sum := clean(t, dir, pin); sum.Erased != 1 {
		t.Errorf("%d names erased, want 1", sum.Erased)
	}
}

// A store that is cut short while it is compacted is the old one or the new one.
func TestKilledWhileCompacting(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if err := enginetest.WriteAcks(s, &bytes.Buffer{}, "c", 8, 200, 2000); err != nil {
		t.Fatal(err)
	}
	c, pin := s.Checkpoint()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	enginetest.KillLoop(t, 8,
		func(int) *exec.Cmd { return childCommand(t, "compacting", dir) },
		func(round int, _ []enginetest.Ack) {
			if sum := clean(t, dir, pin); sum.Size != c.Size {
				t.Errorf("round %d: %d records, want %d", round, sum.Size, c.Size)
			}
		})
	if _, err := Compact(dir); err != nil {
		t.Error(err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*"+compactEnding)); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
}

// A ledger that does not verify is not replaced by a copy of itself.
func TestDamagedIsNotCompacted(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir, Options{}) // not by open, which verifies it in the end
	if err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, enginetest.Answer("b1", 1, "unmistakable-words"))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, ledgerFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	b = bytes.ReplaceAll(b, []byte("unmistakable-words"), []byte("unmistakable-w0rds"))
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Compact(dir)
	if engine.KindOf(err) != engine.Damaged {
		t.Errorf("error %v", err)
	}
	if now, _ := os.ReadFile(path); !bytes.Equal(now, b) {
		t.Error("the damaged file was changed")
	}
}

// Nobody compacts under a store, and two at once do not either.
func TestCompactWantsTheFolder(t *testing.T) {
	dir := t.TempDir()
	open(t, dir)
	if _, err := Compact(dir); engine.KindOf(err) != engine.Busy {
		t.Errorf("error %v, want busy", err)
	}
}

// A snapshot is a ledger of its own while the store goes on; with no room for it
// nothing is left behind.
func TestSnapshot(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	s := open(t, dir)
	done := make(chan error)
	go func() { done <- enginetest.WriteAcks(s, &bytes.Buffer{}, "s", 4, 100, 100) }()
	note, err := s.Snapshot(t.Context(), filepath.Join(other, ledgerFile))
	if err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	r, err := OpenReader(other)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := r.Checkpoint(); err != nil || !bytes.Equal(got, note) {
		t.Errorf("checkpoint %q, %v; want %q", got, err, note)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	clean(t, other, note)

	s.opts.testOnlyFree = func(string) (int64, error) { return 1 << 20, nil }
	path := filepath.Join(t.TempDir(), "copy")
	if _, err := s.Snapshot(t.Context(), path); !errors.Is(err, ErrDiskFull) {
		t.Errorf("no room: %v", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("something was left behind")
	}
	if _, err := s.Snapshot(t.Context(), filepath.Join(dir, "no", "such", "folder")); engine.KindOf(err) != engine.Storage && !errors.Is(err, ErrDiskFull) {
		t.Errorf("no folder: %v", err)
	}
}

// That a ledger was put back is recorded once, whenever the first run is cut short.
func TestRestoredIsRecordedOnce(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	c, pin := s.Checkpoint()
	if err := errors.Join(s.Close(), MarkRestored(dir, c)); err != nil {
		t.Fatal(err)
	}
	mark, err := os.ReadFile(filepath.Join(dir, restoredFile))
	if err != nil {
		t.Fatal(err)
	}
	for round := range 3 {
		s := open(t, dir)
		if size, ok := s.Restored(); ok != (round < 2) || ok && size != c.Size {
			t.Errorf("round %d: %d, %v", round, size, ok)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if round == 0 { // killed before the note was taken away
			if err := os.WriteFile(filepath.Join(dir, restoredFile), mark, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if sum := clean(t, dir, pin); sum.Size != c.Size+1 || len(sum.Restored) != 1 {
		t.Errorf("%d records, %v", sum.Size, sum.Restored)
	}
	bad := strings.Replace(string(mark), `"size":1`, `"size":7`, 1)
	bad = strings.Replace(bad, `"token":"`, `"token":"00`, 1)
	if err := os.WriteFile(filepath.Join(dir, restoredFile), []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{}); engine.KindOf(err) != engine.Damaged {
		t.Errorf("a note about another ledger: %v", err)
	}
}
