package boltstore

import (
	"context"
	"crypto/sha256"
	"fmt"
	"path/filepath"
	"sync/atomic"
	"testing"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

const benchRules = "2f9c61d0a7b35e48"

// answer is an entry of the size an answer has in a real job, about 700 bytes.
func answer(bore string, ver int64, key string) ledger.Entry {
	e := enginetest.Answer(bore, ver, key)
	r := &e.Record
	r.From, r.Lang, r.Typed, r.Rules = "terminal", "en", "14 ft 11 1/2 in", benchRules
	r.Facts = []ledger.Fact{{Key: "far_reading@9500", Kind: "length", Typed: "14 ft 11 1/2 in", Value: "4559300", Unit: "um"}}
	r.Findings = map[string][]string{
		"pass":  {"verify.far_mark@9500", "verify.far_scatter@9500"},
		"needs": {"verify.near_mark@9500", "verify.near_scatter@9500"},
	}
	return e
}

func benchStore(b *testing.B) *Store {
	b.Helper()
	s, err := Open(filepath.Join(b.TempDir(), "data"), Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	e := enginetest.Answer("", 0, "rules")
	e.Record.Kind, e.Record.Rules = ledger.KindRules, benchRules
	e.Blobs = [][]byte{[]byte("packs")}
	e.Record.Pack = &ledger.Pack{Blob: ledger.BlobSum(e.Blobs[0])}
	if _, err := s.Append(context.Background(), e); err != nil {
		b.Fatal(err)
	}
	return s
}

// BenchmarkRawPut is the least that one durable entry can cost here: the same
// bytes under the next number, in one transaction of their own.
func BenchmarkRawPut(b *testing.B) {
	db, err := bolt.Open(filepath.Join(b.TempDir(), "raw.db"), 0o600, boltOptions(Options{}.withDefaults()))
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if err := db.Update(func(tx *bolt.Tx) error { _, err := tx.CreateBucket([]byte(bRecord)); return err }); err != nil {
		b.Fatal(err)
	}
	n := int64(0)
	for b.Loop() {
		n++
		e := answer("b1", n, fmt.Sprint("key ", n))
		e.Record.Logged = e.Record.At
		data, err := ledger.Encode(e.Record)
		if err != nil {
			b.Fatal(err)
		}
		if err := db.Update(func(tx *bolt.Tx) error { return tx.Bucket([]byte(bRecord)).Put(number(n), data) }); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAppend is one crew: everything a store does for one entry.
func BenchmarkAppend(b *testing.B) {
	s := benchStore(b)
	n := int64(0)
	for b.Loop() {
		n++
		if _, err := s.Append(context.Background(), answer("b1", n, fmt.Sprint("key ", n))); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAppend64 is 64 crews at once, which share their syncs.
func BenchmarkAppend64(b *testing.B) {
	s := benchStore(b)
	var writer atomic.Int64
	b.SetParallelism(32) // times GOMAXPROCS
	b.RunParallel(func(pb *testing.PB) {
		w := writer.Add(1)
		for n := int64(1); pb.Next(); n++ {
			if _, err := s.Append(context.Background(), answer(fmt.Sprint("b", w), n, fmt.Sprintf("key %d %d", w, n))); err != nil {
				b.Error(err)
				return
			}
		}
	})
}

// large is a store of n records on bores of 40.
func large(b *testing.B, n int) *Store {
	b.Helper()
	s := benchStore(b)
	work := make(chan int, 1024)
	go func() {
		for i := range n / 40 {
			work <- i
		}
		close(work)
	}()
	done := make(chan error, 64)
	for range 64 {
		go func() {
			for i := range work {
				for v := range int64(40) {
					if _, err := s.Append(context.Background(), answer(fmt.Sprint("b", i), v+1, fmt.Sprintf("k %d %d", i, v))); err != nil {
						done <- err
						return
					}
				}
			}
			done <- nil
		}()
	}
	for range 64 {
		if err := <-done; err != nil {
			b.Fatal(err)
		}
	}
	return s
}

// BenchmarkRead is what people wait for, with 100,000 records in the file.
func BenchmarkRead(b *testing.B) {
	s := large(b, 100_000)
	b.Run("bores", func(b *testing.B) {
		for b.Loop() {
			if l, err := s.Bores(context.Background(), 20); err != nil || len(l) != 20 {
				b.Fatal(len(l), err)
			}
		}
	})
	b.Run("bore", func(b *testing.B) {
		for b.Loop() {
			n := 0
			err := s.Bore(context.Background(), "b77", 0, func(ledger.Record) error { n++; return nil })
			if err != nil || n != 40 {
				b.Fatal(n, err)
			}
		}
	})
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			if err := s.Close(); err != nil {
				b.Fatal(err)
			}
			var err error
			if s, err = Open(s.dir, Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkVerify checks a file of 50,000 records in full; sha256 is one pass of
// the hash function over the same bytes.
func BenchmarkVerify(b *testing.B) {
	s := large(b, 50_000)
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	r, err := OpenReader(s.dir)
	if err != nil {
		b.Fatal(err)
	}
	defer r.Close()
	var flat []byte
	for from := int64(0); ; {
		rows, err := r.Records(from, 1000)
		if err != nil {
			b.Fatal(err)
		}
		if len(rows) == 0 {
			break
		}
		for _, row := range rows {
			flat, from = append(flat, row.Data...), row.Seq+1
		}
	}
	b.Run("sha256", func(b *testing.B) {
		b.SetBytes(int64(len(flat)))
		for b.Loop() {
			sha256.Sum256(flat)
		}
	})
	b.Run("all", func(b *testing.B) {
		b.SetBytes(int64(len(flat)))
		for b.Loop() {
			sum := ledger.Verify(r, ledger.Options{}, func(ledger.Fault) {})
			if sum.Size != 50_002 || sum.Faults > 0 {
				b.Fatal(sum)
			}
		}
	})
}
