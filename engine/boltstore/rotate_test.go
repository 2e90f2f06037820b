package boltstore

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

func rotationRecord(key string) ledger.Record {
	return ledger.Record{Key: key, At: time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC), Why: "a test"}
}

func signatures(note []byte) int { return bytes.Count(note, []byte("\u2014 ")) }

// The key is changed while others write; pins of before, between and after hold, and
// the store opens again with what it has.
func TestRotateAndRetire(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	first := s.Key()
	mustAppend(t, s, enginetest.Answer("b1", 1, "before"))
	_, before := s.Checkpoint()
	done := make(chan error)
	go func() { done <- enginetest.WriteAcks(s, &bytes.Buffer{}, "r", 4, 50, 100) }()
	for _, key := range []string{"one", "two"} {
		r, err := s.Rotate(t.Context(), rotationRecord(key))
		if err != nil || signatures([]byte(r.Note)) != 2 {
			t.Fatalf("%+v, %v", r, err)
		}
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if s.Key() == first {
		t.Error("the key is as it was")
	}
	_, both := s.Checkpoint()
	if err := errors.Join(s.Retire(), s.Close()); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	mustAppend(t, s, enginetest.Answer("b1", 2, "after"))
	_, after := s.Checkpoint()
	if signatures(both) != 2 || signatures(after) != 1 {
		t.Errorf("%d signatures, then %d; want 2, then 1", signatures(both), signatures(after))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir, before, both, after); len(sum.Rotated) != 2 || !sum.Anchored {
		t.Errorf("%+v", sum)
	}
}

// Cut short between any two steps, the next start finishes or forgets.
func TestRotationCutShort(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	path := filepath.Join(dir, keyFile)
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The new key was written, the record was not.
	if err := s.nextKeys("PRIVATE+KEY+of+nothing"); err != nil {
		t.Fatal(err)
	}
	s.Close()
	s = open(t, dir)
	if _, err := os.Stat(filepath.Join(dir, nextKeyFile)); err == nil {
		t.Error("the key of a rotation that never was is still there")
	}
	// The record was written, log.key was not changed.
	if _, err := s.Rotate(t.Context(), rotationRecord("one")); err != nil {
		t.Fatal(err)
	}
	s.Close()
	fresh, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Rename(path, filepath.Join(dir, nextKeyFile)), os.WriteFile(path, old, 0o600)); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	mustAppend(t, s, enginetest.Answer("b1", 1, "after"))
	if now, _ := os.ReadFile(path); !bytes.Equal(now, fresh) {
		t.Error("the rotation was not finished")
	}
	s.Close()
	// The old key put back is not taken.
	if err := os.WriteFile(path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{}); engine.KindOf(err) != engine.Damaged || !strings.Contains(err.Error(), "not the one this log is signed with") {
		t.Errorf("the old key is taken: %v", err)
	}
	if err := os.WriteFile(path, fresh, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A rotation that finds no room changes nothing.
func TestRotateWithoutRoom(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	was := s.Key()
	free := s.opts.testOnlyFree
	s.opts.testOnlyFree = func(string) (int64, error) { return 0, nil }
	if _, err := s.Rotate(t.Context(), rotationRecord("one")); !errors.Is(err, ErrDiskFull) {
		t.Errorf("error %v", err)
	}
	s.opts.testOnlyFree = free
	mustAppend(t, s, enginetest.Answer("b1", 1, "after"))
	s.Close()
	if s = open(t, dir); s.Key() != was {
		t.Error("the key has changed")
	}
}

// Killed at any moment while the key is changed over and over, the store opens, has
// a key that its ledger names, and continues what it was.
func TestKilledWhileRotating(t *testing.T) {
	rounds := 15
	if testing.Short() {
		rounds = 3
	}
	dir := t.TempDir()
	if err := open(t, dir).Close(); err != nil {
		t.Fatal(err)
	}
	var pins [][]byte
	changed := 0
	enginetest.KillLoop(t, rounds,
		func(int) *exec.Cmd { return childCommand(t, "rotating", dir) },
		func(round int, _ []enginetest.Ack) {
			s, err := Open(dir, Options{})
			if err != nil {
				t.Fatalf("round %d: %v", round, err)
			}
			e := enginetest.Answer("b1", int64(round)+1, "round "+string(rune('a'+round)))
			if _, err := s.Append(t.Context(), e); err != nil {
				t.Fatal(err)
			}
			_, note := s.Checkpoint()
			pins = append(pins, note)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			changed = len(clean(t, dir, pins...).Rotated)
		})
	t.Logf("%d kills, %d changes of the key", rounds, changed)
	if changed == 0 {
		t.Error("nothing was tested")
	}
}
