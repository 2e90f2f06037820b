package boltstore

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"firstrod/engine/enginetest"
)

// TestFiguresOfYears prints what a copy and a compaction of a large ledger cost. It
// wants FIRSTROD_FIGURES=1 and takes about a minute.
func TestFiguresOfYears(t *testing.T) {
	if os.Getenv("FIRSTROD_FIGURES") == "" {
		t.Skip("FIRSTROD_FIGURES is not set")
	}
	dir, other := t.TempDir(), t.TempDir()
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := enginetest.WriteAcks(s, io.Discard, "f", 64, 100_000/64+1, 200); err != nil {
		t.Fatal(err)
	}
	at := time.Now()
	if _, err := s.Snapshot(t.Context(), filepath.Join(other, ledgerFile)); err != nil {
		t.Fatal(err)
	}
	snapshot := time.Since(at)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	at = time.Now()
	raw, err := os.ReadFile(filepath.Join(dir, ledgerFile))
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(filepath.Join(other, "plain"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(raw); err != nil {
		t.Fatal(err)
	}
	if err := f.Sync(); err != nil {
		t.Fatal(err)
	}
	f.Close()
	plain := time.Since(at)
	at = time.Now()
	c, err := Compact(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("snapshot %v, plain synced copy %v (x%.2f); compact with its verification %v, %d to %d MiB (%.2f)", snapshot, plain,
		float64(snapshot)/float64(plain), time.Since(at), c.Before>>20, c.After>>20, float64(c.After)/float64(c.Before))
}
