// Package keep knows for how long what lies beside the ledger is kept: names of
// people and files of evidence. The ledger itself is never shortened.
//
// Call [Look] to read a ledger once, then [Survey.MayErase] before a name is
// erased, and [Survey.Past] for everything whose time has passed. What is under a
// legal hold is neither erased nor removed.
package keep

import (
	"context"
	"slices"
	"time"

	"firstrod/engine/ledger"
)

// Rule is for how many years each class is kept; 0 is for ever.
type Rule struct {
	Names    int // of people, from the last time they spoke
	Evidence int // files, from the day their bore was closed
}

// Records is what Look reads.
type Records interface {
	Records(ctx context.Context, from int64, fn func(ledger.Record) error) error
}

// Survey is what a ledger says about people, evidence and legal holds.
type Survey struct {
	Holds ledger.Holds

	people  map[string]*person
	bores   map[string]*bore
	shown   map[string][]string // sum of a file -> bores that it was shown on
	removed map[string]bool     // sums that are gone already
}

type person struct {
	last   time.Time // when the person spoke last, or was introduced
	signed bool      // a signature or a waiver rests on who this is
	erased bool
	bores  []string
}

type bore struct {
	closed time.Time // zero: it is not
	sums   []string
}

// Look reads a ledger from its first record to its last.
func Look(ctx context.Context, from Records) (*Survey, error) {
	s := &Survey{people: map[string]*person{}, bores: map[string]*bore{}, shown: map[string][]string{}, removed: map[string]bool{}}
	return s, from.Records(ctx, 0, func(r ledger.Record) error { s.add(r); return nil })
}

func (s *Survey) add(r ledger.Record) {
	s.Holds.Add(r)
	if r.Person != nil {
		s.person(r.Person.ID, r.Logged)
	}
	if r.Erased != nil {
		s.person(r.Erased.Person, time.Time{}).erased = true
	}
	if r.By != nil {
		p := s.person(r.By.ID, r.Logged)
		p.signed = p.signed || r.Kind == ledger.KindSign || r.Kind == ledger.KindWaive
		if r.Bore != "" && !slices.Contains(p.bores, r.Bore) {
			p.bores = append(p.bores, r.Bore)
		}
	}
	if r.Removed != nil {
		for _, sum := range r.Removed.Sums {
			s.removed[sum] = true
		}
	}
	if r.Bore != "" {
		s.bore(r)
	}
}

// person is somebody, who spoke last at a time or later.
func (s *Survey) person(id string, at time.Time) *person {
	p := s.people[id]
	if p == nil {
		p = &person{}
		s.people[id] = p
	}
	if at.After(p.last) {
		p.last = at
	}
	return p
}

func (s *Survey) bore(r ledger.Record) {
	b := s.bores[r.Bore]
	if b == nil {
		b = &bore{}
		s.bores[r.Bore] = b
	}
	if r.Kind == ledger.KindClose {
		b.closed = r.Logged
	}
	for _, f := range r.Shown {
		delete(s.removed, f.Sum) // shown again: it is there again
		if !slices.Contains(b.sums, f.Sum) {
			b.sums = append(b.sums, f.Sum)
		}
		if !slices.Contains(s.shown[f.Sum], r.Bore) {
			s.shown[f.Sum] = append(s.shown[f.Sum], r.Bore)
		}
	}
}

// held is the bore whose legal hold keeps a person's name, or "".
func (p *person) held(h *ledger.Holds) string {
	for _, b := range p.bores {
		if _, on := h.Bore(b); on {
			return b
		}
	}
	return ""
}
