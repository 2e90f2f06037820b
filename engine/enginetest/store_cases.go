package enginetest

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// testWriters: 64 writers on 8 bores, each trying until its entry is in, some
// delivered twice. Each entry is there once and versions have no gap.
func testWriters(t *testing.T, s *stores) {
	const writers, each, bores = 64, 10, 8
	base := s.Size()
	var mu sync.Mutex
	vers := make([]int64, bores)
	seen := map[int64]string{}
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range each {
				key, bore := fmt.Sprintf("w%d-%d", w, i), (w+i)%bores
				for {
					mu.Lock()
					ver := vers[bore] + 1
					mu.Unlock()
					r, err := s.Append(context.Background(), Answer(fmt.Sprintf("b%d", bore), ver, key))
					if engine.KindOf(err) == engine.Conflict && err != nil {
						continue
					}
					if err != nil {
						t.Errorf("%s: %v", key, err)
						return
					}
					mu.Lock()
					if was, ok := seen[r.Seq]; ok {
						t.Errorf("%s and %s are both record %d", was, key, r.Seq)
					}
					seen[r.Seq] = key
					vers[bore] = max(vers[bore], ver)
					mu.Unlock()
					if again, err := s.Append(context.Background(), Answer("b0", 1, key)); err != nil || again.Seq != r.Seq || !again.Repeated {
						t.Errorf("%s again: %+v, %v", key, again, err)
					}
					break
				}
			}
		})
	}
	wg.Wait()
	all := s.all()
	if int64(len(all)) != base+writers*each {
		t.Fatalf("%d records, want %d", len(all), base+writers*each)
	}
	next := map[string]int64{}
	for _, r := range all[base:] {
		if seen[r.Seq] != r.Key {
			t.Errorf("record %d has key %q, %q was told so", r.Seq, r.Key, seen[r.Seq])
		}
		if next[r.Bore]++; r.Ver != next[r.Bore] {
			t.Errorf("record %d: bore %s version %d, want %d", r.Seq, r.Bore, r.Ver, next[r.Bore])
		}
	}
}

// testSize: an entry that is too large is refused alone.
func testSize(t *testing.T, s *stores) {
	e := Answer("b1", 1, "large")
	e.Record.Typed = strings.Repeat("x", ledger.MaxRecord)
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			if _, err := s.Append(context.Background(), Answer(fmt.Sprintf("c%d", i), 1, fmt.Sprintf("small %d", i))); err != nil {
				t.Errorf("small %d: %v", i, err)
			}
		})
	}
	_, err := s.Append(t.Context(), e)
	wg.Wait()
	s.wants(err, engine.Usage)
	e.Record.Typed = "\xff"
	_, err = s.Append(t.Context(), e)
	s.wants(err, engine.Usage)
	e.Record.Typed = "small enough"
	s.must(e)
}

// testRestart: what was acknowledged is there after closing and opening.
func testRestart(t *testing.T, s *stores) {
	first := s.must(Answer("b1", 1, "one"))
	want := s.leaves()
	s.again()
	if got := s.leaves(); !slices.Equal(got, want) {
		t.Errorf("after a restart %v, before %v", got, want)
	}
	if again := s.must(Answer("b1", 1, "one")); again.Seq != first.Seq || again.Leaf != first.Leaf || !again.Repeated {
		t.Errorf("receipt %+v, want %+v again", again, first)
	}
	if r := s.must(Answer("b1", 2, "two")); r.Seq != first.Seq+1 {
		t.Errorf("receipt %+v", r)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(t.Context(), Answer("b1", 3, "three")); err == nil {
		t.Error("a closed store takes entries")
	}
	s.Store = s.open(t, s.place)
}

// testBores: the list has the latest first, and what the records say.
func testBores(t *testing.T, s *stores) {
	for i, id := range []string{"b1", "b2", "b3"} {
		s.must(Answer(id, 1, fmt.Sprintf("open %d", i)))
	}
	hold := Answer("b1", 2, "hold")
	hold.Record.Kind, hold.Record.State = ledger.KindHold, ledger.StateHeld
	rc := s.must(hold)
	for range 2 {
		got, err := s.Bores(t.Context(), 2)
		if err != nil || len(got) != 2 {
			t.Fatalf("%+v, %v", got, err)
		}
		l := got[0]
		if l.Bore != "b1" || l.Title != "Bore b1" || l.State != ledger.StateHeld || l.Ver != 2 || l.Last != rc.Seq || l.Logged.IsZero() {
			t.Errorf("line %+v", l)
		}
		if got[1].Bore != "b3" {
			t.Errorf("second is %+v", got[1])
		}
		s.again()
	}
	for _, limit := range []int{0, 10} {
		if got, err := s.Bores(t.Context(), limit); err != nil || len(got) != 3 {
			t.Errorf("limit %d: %+v, %v", limit, got, err)
		}
	}
}

// testBeside: people, rules, blobs and private values.
func testBeside(t *testing.T, s *stores) {
	ctx := t.Context()
	var inForce []string
	note := func(r ledger.Record) error { inForce = append(inForce, r.Rules); return nil }
	if err := s.Rules(ctx, note); err != nil || inForce != nil {
		t.Errorf("rules before there were any: %v, %v", inForce, err)
	}
	packs, salt := []byte("packs"), make([]byte, 32)
	for _, rev := range []string{"one", "two"} {
		e := Answer("", 0, "rules "+rev)
		e.Record.Kind, e.Record.Rules = ledger.KindRules, rev
		e.Record.Pack = &ledger.Pack{Blob: ledger.BlobSum(packs)}
		e.Blobs = [][]byte{packs}
		s.must(e)
	}
	e := Answer("", 0, "person")
	e.Record.Kind = ledger.KindPerson
	e.Record.Person = &ledger.Person{ID: "p_1", Roles: []string{"locator"}, Commit: ledger.Commitment(salt, "Ana Q")}
	e.Private = []ledger.Private{{ID: "p_1", Salt: salt, Value: "Ana Q"}}
	s.must(e)
	s.again()
	if err := s.Rules(ctx, note); err != nil || !slices.Equal(inForce, []string{"one", "two"}) {
		t.Errorf("rules %v, %v", inForce, err)
	}
	if b, err := s.Blob(ctx, ledger.BlobSum(packs)); err != nil || string(b) != "packs" {
		t.Errorf("blob %q, %v", b, err)
	}
	none := sha256.Sum256([]byte("other"))
	if b, err := s.Blob(ctx, fmt.Sprintf("%x", none)); err != nil || b != nil {
		t.Errorf("blob %q, %v", b, err)
	}
	if v, ok, err := s.Private(ctx, "p_1"); !ok || err != nil || v != "Ana Q" {
		t.Errorf("private %q, %v, %v", v, ok, err)
	}
	if v, ok, err := s.Private(ctx, "p_2"); ok || err != nil {
		t.Errorf("private %q, %v, %v", v, ok, err)
	}
	var people []string
	err := s.People(ctx, func(r ledger.Record) error { people = append(people, r.Person.ID); return nil })
	if err != nil || len(people) != 1 || people[0] != "p_1" {
		t.Errorf("people %v, %v", people, err)
	}
}

// testReadError: an error of the caller's function ends the walk and is
// returned as it is; and the function may use the store.
func testReadError(t *testing.T, s *stores) {
	s.must(Answer("b1", 1, "one"))
	enough := errors.New("enough")
	n := 0
	err := s.Bore(t.Context(), "b1", 0, func(r ledger.Record) error {
		n++
		s.must(Answer("b1", r.Ver+1, "while reading"))
		return enough
	})
	if !errors.Is(err, enough) || n != 1 {
		t.Errorf("%v after %d", err, n)
	}
}

// testPages: walks go on past one page, without a gap or a repeat.
func testPages(t *testing.T, s *stores) {
	const n = 2003
	var wg sync.WaitGroup
	keys := make(chan int64, n)
	for i := range int64(n) {
		keys <- i
	}
	close(keys)
	for range 32 {
		wg.Go(func() {
			for i := range keys {
				e := Answer("", 0, fmt.Sprintf("k%d", i))
				e.Record.Kind = ledger.KindRefused
				if _, err := s.Append(context.Background(), e); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	all := s.all()
	if int64(len(all)) != s.Size() || len(all) < n {
		t.Fatalf("%d records of %d", len(all), s.Size())
	}
	for i, r := range all {
		if r.Seq != int64(i) {
			t.Fatalf("record %d has seq %d", i, r.Seq)
		}
	}
}

// testContext: a context that has ended writes nothing.
func testContext(t *testing.T, s *stores) {
	size := s.Size()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.Append(ctx, Answer("b1", 1, "one")); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	s.must(Answer("b1", 1, "two"))
	if s.Size() != size+1 {
		t.Errorf("size %d, want %d", s.Size(), size+1)
	}
}
