package boltstore

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

func term(field, value string, seq int64) []byte {
	return termKey(ledger.Term{Field: field, Value: value}, seq)
}

// TestTamperedTerms changes the index of terms: the verifier names the record
// and the term.
func TestTamperedTerms(t *testing.T) {
	one := []byte{1}
	cases := []struct {
		name string
		do   func(b *bolt.Bucket) error
		seq  int64
		say  string
	}{
		{"missing", func(b *bolt.Bucket) error { return b.Delete(term("kind", "answer", 30)) }, 30, `record 30 is missing in the index of terms under kind "answer"`},
		{"extra", func(b *bolt.Bucket) error { return b.Put(term("kind", "waive", 30), one) }, 30, `has record 30 under kind "waive"`},
		{"moved", func(b *bolt.Bucket) error {
			return errors.Join(b.Delete(term("kind", "answer", 30)), b.Put(term("kind", "answer", 2), one))
		}, 2, `has record 2 under kind "answer"`},
		{"value", func(b *bolt.Bucket) error { return b.Put(term("kind", "answer", 30), []byte{2}) }, 30, "missing"},
		{"beyond the end", func(b *bolt.Bucket) error { return b.Put(term("kind", "answer", 3_000_000), one) }, -1, "has record 3000000"},
		{"no key at all", func(b *bolt.Bucket) error { return b.Put([]byte("x"), one) }, -1, "has record -1"},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			dir, _ := filled(t)
			change(t, dir, func(tx *bolt.Tx) error { return tt.do(tx.Bucket([]byte(bTerm))) })
			faults, sum := verify(t, dir)
			named := slices.ContainsFunc(faults, func(f ledger.Fault) bool {
				return f.Code == ledger.FaultIndex && strings.Contains(f.Say, tt.say)
			})
			if !named || sum.First != tt.seq {
				t.Errorf("want %q at %d, first is %d in %+v", tt.say, tt.seq, sum.First, faults)
			}
		})
	}
}

// A trail that is not what the records say would file the bore's next record
// under the wrong terms.
func TestTamperedTrail(t *testing.T) {
	dir, _ := filled(t)
	change(t, dir, func(tx *bolt.Tx) error {
		b := tx.Bucket([]byte(bLine))
		v := bytes.Replace(b.Get([]byte("b2")), []byte(`"trail":{`), []byte(`"trail":{"place":"US-VT",`), 1)
		return b.Put([]byte("b2"), v)
	})
	if faults, sum := verify(t, dir); len(faults) != 1 || sum.First != 62 {
		t.Errorf("%+v", faults)
	}
}

// A ledger of before there was an index of terms opens, says that it is behind,
// is not indexed halfway by what is written, and is whole after Reindex.
func TestLedgerWithoutTerms(t *testing.T) {
	dir, _ := filled(t)
	change(t, dir, func(tx *bolt.Tx) error {
		lines := tx.Bucket([]byte(bLine))
		err := lines.ForEach(func(k, v []byte) error {
			head, _, _ := bytes.Cut(v, []byte(`,"trail"`))
			return lines.Put(bytes.Clone(k), append(bytes.Clone(head), '}'))
		})
		return errors.Join(err, tx.DeleteBucket([]byte(bTerm)), tx.Bucket([]byte(bHead)).Delete([]byte(headTerms)))
	})
	if sum := clean(t, dir); slices.Contains(sum.Checked, "terms") {
		t.Errorf("%v", sum.Checked)
	}
	s := openWith(t, dir, Options{})
	if _, err := s.Append(t.Context(), enginetest.Answer("b0", 21, "one more")); err != nil {
		t.Fatal(err)
	}
	answers := func(byIndex bool) {
		t.Helper()
		n := 0
		by, err := s.Find(t.Context(), Query{Filter: ledger.Filter{Kind: ledger.KindAnswer}}, func(ledger.Record) error { n++; return nil })
		if err != nil || by != byIndex || n != 58 {
			t.Errorf("by index %v, %d records, %v", by, n, err)
		}
	}
	answers(false)
	told := int64(0)
	if err := s.Reindex(t.Context(), func(done, total int64) { told = done*1000 + total }); err != nil || told != 64_064 {
		t.Fatal(told, err)
	}
	answers(true)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir); !slices.Contains(sum.Checked, "terms") {
		t.Errorf("%v", sum.Checked)
	}
}

// A program that does not know the index writes past it: it is behind then.
func TestIndexLeftBehind(t *testing.T) {
	dir, _ := filled(t)
	change(t, dir, func(tx *bolt.Tx) error {
		return tx.Bucket([]byte(bHead)).Put([]byte(headTerms), append([]byte{ledger.TermGeneration}, number(50)...))
	})
	s := openWith(t, dir, Options{})
	by, err := s.Find(t.Context(), Query{Filter: ledger.Filter{Kind: ledger.KindOpen}}, func(ledger.Record) error { return nil })
	if by || err != nil {
		t.Errorf("%v %v", by, err)
	}
}

// Building fails as writing does, and what was cut short is not answered from.
func TestReindexCutShort(t *testing.T) {
	dir, _ := filled(t)
	n := 0
	s := openWith(t, dir, Options{testOnlyCommit: func(commit func() error) error {
		if n++; n == 2 {
			return errors.New("input/output error")
		}
		return commit()
	}})
	wantKind(t, s.Reindex(t.Context(), nil), engine.Storage)
	stopped(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = openWith(t, dir, Options{})
	if through, err := s.TermsThrough(); through != -1 || err != nil {
		t.Errorf("%d %v", through, err)
	}
}

// Records that come while the index is built are in it.
func TestReindexUnderWriters(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir) // verifies at the end
	wrote := make(chan error)
	go func() {
		var err error
		for i := range int64(300) {
			_, e := s.Append(t.Context(), enginetest.Answer("b1", i+1, fmt.Sprint(i)))
			err = errors.Join(err, e)
		}
		wrote <- err
	}()
	for range 5 {
		if err := s.Reindex(t.Context(), nil); err != nil {
			t.Error(err)
		}
	}
	if err := <-wrote; err != nil {
		t.Error(err)
	}
	if through, err := s.TermsThrough(); err != nil || through != s.Size() {
		t.Errorf("%d of %d, %v", through, s.Size(), err)
	}
}
