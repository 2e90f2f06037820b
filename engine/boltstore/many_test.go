package boltstore

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// many is a store with n records of many crews, written by the store's own code
// in transactions of a full batch.
func many(tb testing.TB, dir string, n int64) *Store {
	tb.Helper()
	m := enginetest.NewMany(1, time.Date(2025, 1, 6, 14, 0, 0, 0, time.UTC))
	s, err := Open(dir, Options{Clock: m.Now})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { s.Close() })
	// Nothing here is about what a crash loses, and a sync is most of the time.
	s.db.NoSync = true
	defer func() { s.db.NoSync = false }()
	for s.Size() < n {
		batch := make([]*job, min(maxBatch, n-s.Size()))
		for i := range batch {
			batch[i] = &job{ctx: context.Background(), entry: m.Next()}
		}
		// The committer stands idle: nothing is queued.
		if err := s.write(batch); err != nil {
			tb.Fatal(err)
		}
		for _, j := range batch {
			if j.err != nil {
				tb.Fatal(j.err)
			}
		}
	}
	return s
}

// The made-up crews make a ledger without a fault.
func TestManyVerifies(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	if err := many(t, dir, 10_000).Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir); sum.Size != 10_000 || sum.Releases < 100 {
		t.Errorf("%+v", sum)
	}
}

// rowsAsked is how many records the tests of long answers have;
// BOLTSTORE_ROWS=1000000 makes it a million.
func rowsAsked(t *testing.T) int64 {
	t.Helper()
	n, err := strconv.ParseInt(os.Getenv("BOLTSTORE_ROWS"), 10, 64)
	if err != nil {
		n = 200_000
	}
	if testing.Short() {
		n = 20_000
	}
	return n
}

// An answer with every record in it streams: whatever its length, at most 200 MB
// are held, in either order, by the index and by reading every record.
func TestLongAnswersStream(t *testing.T) {
	n := rowsAsked(t)
	s := many(t, t.TempDir(), n)
	all := map[string]Query{
		"all": {}, "by a term": {Filter: ledger.Filter{Kind: ledger.KindAnswer}, Newest: true},
		"by many terms": {Filter: ledger.Filter{Status: "pass"}},
	}
	for name, q := range all {
		t.Run(name, func(t *testing.T) { streams(t, s, q, n) })
	}
	if err := s.DropTerms(t.Context()); err != nil {
		t.Fatal(err)
	}
	t.Run("without an index", func(t *testing.T) { streams(t, s, all["by a term"], n) })
}

func streams(t *testing.T, s *Store, q Query, n int64) {
	t.Helper()
	runtime.GC()
	rows, most := int64(0), uint64(0)
	last := ""
	_, err := s.Find(t.Context(), q, func(r ledger.Record) error {
		if rows++; rows%5000 == 0 {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
		}
		last = fmt.Sprint(r.Seq)
		return nil
	})
	t.Logf("%d rows, last %s, %d MB of heap at the most", rows, last, most>>20)
	if err != nil || rows < n*7/10 {
		t.Errorf("%d rows, %v", rows, err)
	}
	if most > 200<<20 {
		t.Errorf("%d MB were held", most>>20)
	}
}
