package boltstore

import (
	"context"
	"fmt"
	"os"
	"sync"
	"testing"

	"go.uber.org/goleak"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

func TestMain(m *testing.M) {
	if role := os.Getenv("BOLTSTORE_TEST_CHILD"); role != "" {
		os.Exit(child(role))
	}
	goleak.VerifyTestMain(m)
}

// open opens a store and verifies it when the test is over, whatever the test
// was about.
func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		clean(t, dir)
	})
	return s
}

func TestContract(t *testing.T) {
	enginetest.TestStore(t, func(t *testing.T, dir string) enginetest.Store {
		t.Helper()
		return open(t, dir)
	})
}

// verify reads the file as an auditor would.
func verify(t *testing.T, dir string, pins ...[]byte) ([]ledger.Fault, ledger.Summary) {
	t.Helper()
	r, err := OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	var all []ledger.Fault
	sum := ledger.Verify(r, ledger.Options{Pins: pins}, func(f ledger.Fault) { all = append(all, f) })
	return all, sum
}

// clean wants a ledger without any fault.
func clean(t *testing.T, dir string, pins ...[]byte) ledger.Summary {
	t.Helper()
	faults, sum := verify(t, dir, pins...)
	for _, f := range faults {
		t.Errorf("%+v", f)
	}
	return sum
}

// TestProofs: with its hashes a store proves to anybody who has the key that a
// record is in the log, and that the log continues an older checkpoint.
func TestProofs(t *testing.T) {
	s := open(t, t.TempDir())
	var (
		olds     []ledger.Checkpoint
		receipts []ledger.Receipt
	)
	for i := range int64(20) {
		c, _ := s.Checkpoint()
		r, err := s.Append(t.Context(), enginetest.Answer("b1", i+1, fmt.Sprint(i)))
		if err != nil {
			t.Fatal(err)
		}
		olds, receipts = append(olds, c), append(receipts, r)
	}
	_, msg := s.Checkpoint()
	v, err := note.NewVerifier(s.Key())
	if err != nil {
		t.Fatal(err)
	}
	now, err := ledger.OpenCheckpoint(msg, v)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range olds {
		if !ledger.CheckConsistent(c, now, s) {
			t.Errorf("does not continue its %d records", c.Size)
		}
		c.Root[0] ^= 1
		if ledger.CheckConsistent(c, now, s) {
			t.Errorf("continues another log of %d records", c.Size)
		}
	}
	for _, r := range receipts {
		p, err := tlog.ProveRecord(now.Size, r.Seq, s)
		if err != nil {
			t.Fatal(err)
		}
		if err := tlog.CheckRecord(p, now.Size, now.Root, r.Seq, r.Leaf); err != nil {
			t.Errorf("record %d: %v", r.Seq, err)
		}
	}
}

// TestManyRecords: numbers of every shape of tree, and several pages.
func TestManyRecords(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	var wg sync.WaitGroup
	for w := range 50 {
		wg.Go(func() {
			for i := range int64(60) {
				if _, err := s.Append(context.Background(), enginetest.Answer(fmt.Sprint("b", w), i+1, fmt.Sprint(w, i))); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir); sum.Size != 3001 || sum.Bores != 50 {
		t.Errorf("%+v", sum)
	}
}
