// Package enginetest has what tests around the engine share: contracts that
// every implementation of an interface must keep, and stand-ins with behaviour.
//
// Call [TestStore] from the tests of anything that keeps a ledger, and
// [KillLoop] for one that claims to survive being killed.
package enginetest

import (
	"context"
	"fmt"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Store is what a store of a ledger must do, put together from what the
// engine's parts ask for.
type Store interface {
	Appender
	Records
	Beside
	Close() error
}

// Appender writes.
type Appender interface {
	Append(ctx context.Context, e ledger.Entry) (ledger.Receipt, error)
}

// Records reads what was written.
type Records interface {
	Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error
	Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error)
	Records(ctx context.Context, from int64, fn func(ledger.Record) error) error
	Size() int64
}

// Beside reads people, rules, and what is kept beside the records.
type Beside interface {
	People(ctx context.Context, fn func(ledger.Record) error) error
	Rules(ctx context.Context, fn func(ledger.Record) error) error
	Private(ctx context.Context, id string) (string, bool, error)
	Blob(ctx context.Context, sum string) ([]byte, error)
}

// Answer is an entry for a bore, at a version, with a key.
func Answer(bore string, ver int64, key string) ledger.Entry {
	r := ledger.Record{
		V: ledger.Version, Key: key, Kind: ledger.KindAnswer, At: time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC),
		Bore: bore, Ver: ver, Typed: key,
	}
	if ver == 1 {
		r.Kind, r.State = ledger.KindOpen, ledger.StateOpen
		r.Open = &ledger.Opening{Title: "Bore " + bore, Zone: "UTC"}
	}
	return ledger.Entry{Record: r}
}

// TestStore runs the contract of a store. open gives the store at a place; for
// the same place, after Close, it must give the same one again.
func TestStore(t *testing.T, open func(t *testing.T, place string) Store) {
	for _, tt := range []struct {
		name string
		run  func(t *testing.T, s *stores)
	}{
		{"order and exact bytes", testOrder},
		{"expected versions", testVersions},
		{"idempotency keys", testKeys},
		{"64 writers", testWriters},
		{"size limit", testSize},
		{"restart", testRestart},
		{"list of bores", testBores},
		{"beside the records", testBeside},
		{"reading ends on an error", testReadError},
		{"more than a page", testPages},
		{"context", testContext},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := &stores{t: t, open: open, place: t.TempDir()}
			s.again()
			t.Cleanup(func() { s.Close() })
			tt.run(t, s)
		})
	}
}

// stores is the store under test and how to open it again.
type stores struct {
	Store
	t     *testing.T
	open  func(t *testing.T, place string) Store
	place string
}

func (s *stores) again() {
	s.t.Helper()
	if s.Store != nil {
		if err := s.Close(); err != nil {
			s.t.Fatal(err)
		}
	}
	s.Store = s.open(s.t, s.place)
}

func (s *stores) must(e ledger.Entry) ledger.Receipt {
	s.t.Helper()
	r, err := s.Append(s.t.Context(), e)
	if err != nil {
		s.t.Fatalf("append %q: %v", e.Record.Key, err)
	}
	return r
}

func (s *stores) all() []ledger.Record {
	s.t.Helper()
	var out []ledger.Record
	if err := s.Records(s.t.Context(), 0, func(r ledger.Record) error { out = append(out, r); return nil }); err != nil {
		s.t.Fatal(err)
	}
	return out
}

// leaves are the leaf hashes of all records, encoded again.
func (s *stores) leaves() [][32]byte {
	s.t.Helper()
	var out [][32]byte
	for _, r := range s.all() {
		b, err := ledger.Encode(r)
		if err != nil {
			s.t.Fatal(err)
		}
		out = append(out, leafHash(b))
	}
	return out
}

func (s *stores) bore(id string, from int64) []ledger.Record {
	s.t.Helper()
	var out []ledger.Record
	if err := s.Bore(s.t.Context(), id, from, func(r ledger.Record) error { out = append(out, r); return nil }); err != nil {
		s.t.Fatal(err)
	}
	return out
}

func leafHash(b []byte) [32]byte { return tlog.RecordHash(b) }

// wants checks that an error is of a kind.
func (s *stores) wants(err error, kind engine.Failure) {
	s.t.Helper()
	if err == nil || engine.KindOf(err) != kind {
		s.t.Errorf("error %v, want one of kind %q", err, kind)
	}
}

// testOrder: records come back in the order of their receipts, and encode to
// the very bytes whose leaf hash was acknowledged.
func testOrder(t *testing.T, s *stores) {
	base := s.Size()
	var receipts []ledger.Receipt
	for i := range int64(20) {
		e := Answer("b1", i+1, fmt.Sprintf("k%d", i))
		e.Record.Typed = "9.50 <&> \u2028 ñ \ufffd"
		receipts = append(receipts, s.must(e))
	}
	all := s.all()
	if int64(len(all)) != base+20 || s.Size() != base+20 {
		t.Fatalf("%d records, size %d, want %d", len(all), s.Size(), base+20)
	}
	var last time.Time
	for i, r := range all {
		if r.Seq != int64(i) || r.Logged.Before(last) {
			t.Errorf("record %d has seq %d, logged %v after %v", i, r.Seq, r.Logged, last)
		}
		last = r.Logged
	}
	for i, rc := range receipts {
		if rc.Seq != base+int64(i) || rc.Repeated {
			t.Errorf("receipt %d: %+v", i, rc)
		}
		b, err := ledger.Encode(all[rc.Seq])
		if err != nil || leafHash(b) != rc.Leaf {
			t.Errorf("record %d is not the one acknowledged: %s, %v", rc.Seq, b, err)
		}
	}
	if got := s.bore("b1", 18); len(got) != 3 || got[0].Ver != 18 || got[2].Ver != 20 {
		t.Errorf("from version 18: %+v", got)
	}
	if got := s.bore("b", 0); len(got) != 0 {
		t.Errorf("a bore that is not there has %d records", len(got))
	}
}

// testVersions: only the next version of a bore is taken, and a wrong one
// changes nothing.
func testVersions(t *testing.T, s *stores) {
	s.must(Answer("b1", 1, "one"))
	size := s.Size()
	for _, ver := range []int64{0, 1, 3, -1} {
		_, err := s.Append(t.Context(), Answer("b1", ver, fmt.Sprintf("wrong %d", ver)))
		s.wants(err, engine.Conflict)
	}
	_, err := s.Append(t.Context(), Answer("b2", 2, "wrong first"))
	s.wants(err, engine.Conflict)
	if s.Size() != size {
		t.Errorf("size %d, want %d", s.Size(), size)
	}
	// The key of a refused entry was not used up.
	e := Answer("b1", 2, "wrong 3")
	if r := s.must(e); r.Seq != size || r.Repeated {
		t.Errorf("receipt %+v", r)
	}
}

// testKeys: a key is written once, whatever comes with it later.
func testKeys(t *testing.T, s *stores) {
	first := s.must(Answer("b1", 1, "one"))
	s.must(Answer("b1", 2, "two"))
	size := s.Size()
	for _, e := range []ledger.Entry{Answer("b1", 1, "one"), Answer("b1", 9, "one"), Answer("b7", 1, "one")} {
		again := s.must(e)
		if want := (ledger.Receipt{Seq: first.Seq, Leaf: first.Leaf, Repeated: true}); again != want {
			t.Errorf("receipt %+v, want %+v", again, want)
		}
	}
	if s.Size() != size {
		t.Errorf("size %d, want %d", s.Size(), size)
	}
	_, err := s.Append(t.Context(), Answer("b1", 3, ""))
	s.wants(err, engine.Usage)
}
