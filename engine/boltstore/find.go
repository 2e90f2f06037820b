package boltstore

import (
	"bytes"
	"context"
	"fmt"
	"sort"
	"time"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Query is a filter with an order and a place to begin.
type Query struct {
	ledger.Filter
	Newest bool   // the record written last comes first
	After  *int64 // number of the last record that was seen, to go on behind it; nil: from the beginning
	Size   int64  // look at the first so many records; 0 is all there are
	Limit  int    // stop after so many; 0 is all
}

// steps is how often one read transaction may look for a number, so that a
// search for what is rare does not hold pages back for long.
const steps = 20_000

// Find calls fn with the records that a query asks for, in its order, and says
// how they were found: byIndex is false where the index of terms is behind and
// every record was read. At most 1,000 records are held at a time. fn runs
// outside of any transaction; its error ends the search and is returned.
func (s *Store) Find(ctx context.Context, q Query, fn func(ledger.Record) error) (byIndex bool, err error) {
	if err := q.Valid(); err != nil {
		return false, &engine.Error{Kind: engine.Usage, Say: err.Error()}
	}
	if q.Size <= 0 || q.Size > s.Size() {
		q.Size = s.Size()
	}
	through, err := s.TermsThrough()
	if err != nil {
		return false, err
	}
	if len(q.Clauses()) > 0 && through < q.Size {
		return false, s.findByReading(ctx, q, fn)
	}
	at, left := q.start(), q.Limit
	for {
		var p found
		err := s.view(ctx, func(tx *bolt.Tx) (err error) {
			want := page
			if left > 0 {
				want = min(left, page)
			}
			p, err = findPage(tx, q, at, want)
			return err
		})
		if err != nil {
			return true, err
		}
		for _, r := range p.rows {
			if err := fn(r); err != nil {
				return true, err
			}
		}
		if left -= len(p.rows); p.end || q.Limit > 0 && left <= 0 {
			return true, nil
		}
		at = p.next
	}
}

// start is the first number that may come.
func (q Query) start() int64 {
	switch {
	case q.After != nil:
		return q.step(*q.After)
	case q.Newest:
		return q.Size - 1
	}
	return 0
}

// step is the number after one.
func (q Query) step(n int64) int64 {
	if q.Newest {
		return n - 1
	}
	return n + 1
}

// found is what one transaction found.
type found struct {
	rows []ledger.Record
	next int64 // to go on with
	end  bool
}

// findPage looks for at most want records from a number on.
func findPage(tx *bolt.Tx, q Query, at int64, want int) (found, error) {
	records, err := bucket(tx, bRecord)
	if err != nil {
		return found{}, err
	}
	lists, err := q.lists(tx, records)
	if err != nil {
		return found{}, err
	}
	p := found{next: at}
	for range steps {
		if len(p.rows) >= want {
			return p, nil
		}
		n, ok := meet(lists, p.next)
		if !ok {
			p.end = true
			return p, nil
		}
		if n == p.next {
			r, err := ledger.Decode(records.Get(number(n)))
			if err != nil {
				return p, fmt.Errorf("record %d: %w", n, err)
			}
			if q.Exactly(r) {
				p.rows = append(p.rows, r)
			}
			n = q.step(n)
		}
		p.next = n
	}
	return p, nil
}

// meet moves every list to n or beyond, and gives the farthest that one had to
// go: n itself where all have it.
func meet(lists []list, n int64) (int64, bool) {
	for _, l := range lists {
		at, ok := l.seek(n)
		if !ok {
			return n, false
		}
		if at != n {
			return at, true
		}
	}
	return n, true
}

// lists are the lists that a record must be in, those first that are likely to
// be short.
func (q Query) lists(tx *bolt.Tx, records *bolt.Bucket) ([]list, error) {
	var out []list
	if q.Bore != "" {
		v, err := newVersions(tx, q.Bore, q.Newest)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	if clauses := q.Clauses(); len(clauses) > 0 {
		terms, err := bucket(tx, bTerm)
		if err != nil {
			return nil, err
		}
		for _, c := range clauses {
			out = append(out, clauseList(terms, c, q.Newest))
		}
	}
	times, err := q.times(records)
	return append(out, times), err
}

// times is the records in the filter's time range: they lie in the order of the
// time they were written at, so its ends are found by halving.
func (q Query) times(records *bolt.Bucket) (span, error) {
	s := span{lo: 0, hi: q.Size, newest: q.Newest}
	var failed error
	first := func(t time.Time) int64 {
		return int64(sort.Search(int(q.Size), func(i int) bool {
			logged, err := loggedAt(records.Get(number(int64(i))))
			if err != nil && failed == nil {
				failed = fmt.Errorf("record %d: %w", i, err)
			}
			return err != nil || !logged.Before(t)
		}))
	}
	if !q.Since.IsZero() {
		s.lo = first(q.Since)
	}
	if !q.Until.IsZero() {
		s.hi = first(q.Until)
	}
	return s, failed
}

// loggedAt reads when a record was written and nothing else of it. Within a text
// every quotation mark is escaped, so these bytes stand for the field alone.
func loggedAt(data []byte) (time.Time, error) {
	_, rest, _ := bytes.Cut(data, []byte(`,"logged":"`))
	text, _, ok := bytes.Cut(rest, []byte(`"`))
	if !ok {
		return time.Time{}, ledger.ErrRecord
	}
	return time.Parse(time.RFC3339Nano, string(text))
}

// findByReading reads every record from the first on, because what a record is
// found by depends on those before it.
func (s *Store) findByReading(ctx context.Context, q Query, fn func(ledger.Record) error) error {
	var hits []int64
	trails := map[string]ledger.Trail{}
	start := q.start()
	err := s.Records(ctx, 0, func(r ledger.Record) error {
		before := trails[r.Bore]
		if r.Bore != "" {
			trails[r.Bore] = before.After(r)
		}
		ahead := q.Newest && r.Seq > start || !q.Newest && r.Seq < start
		if r.Seq < q.Size && !ahead && q.Match(r, before) {
			hits = append(hits, r.Seq)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if q.Limit > 0 {
		if q.Newest {
			hits = hits[max(0, len(hits)-q.Limit):]
		} else {
			hits = hits[:min(len(hits), q.Limit)]
		}
	}
	return s.each(ctx, hits, q.Newest, fn)
}

// each calls fn with some records, in the order of their numbers or backwards.
func (s *Store) each(ctx context.Context, hits []int64, backwards bool, fn func(ledger.Record) error) error {
	for len(hits) > 0 {
		n := min(len(hits), page)
		some := hits[:n]
		if backwards {
			some = hits[len(hits)-n:]
		}
		rows := make([]ledger.Record, n)
		err := s.view(ctx, func(tx *bolt.Tx) error {
			records, err := bucket(tx, bRecord)
			if err != nil {
				return err
			}
			for i, seq := range some {
				at := i
				if backwards {
					at = n - 1 - i
				}
				if rows[at], err = ledger.Decode(records.Get(number(seq))); err != nil {
					return fmt.Errorf("record %d: %w", seq, err)
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := fn(r); err != nil {
				return err
			}
		}
		if backwards {
			hits = hits[:len(hits)-n]
		} else {
			hits = hits[n:]
		}
	}
	return nil
}
