package ledger

import (
	"fmt"
	"slices"
	"strings"
)

// years follows what happens to a ledger that is kept for a long time: names that
// are erased, legal holds, evidence that is removed, backups that are put back.
func (f *fold) years(seq int64, r *Record) {
	f.parts(seq, r)
	if e := r.Erased; e != nil {
		f.erase(seq, r, e)
	}
	if h := r.LegalHold; h != nil {
		f.hold(seq, r, h)
	}
	if d := r.Removed; d != nil && f.holds.on(holdBore(d.Bore)) {
		f.v.fault(seq, FaultHeld, "record %d removes evidence of bore %q, which is under a legal hold", seq, d.Bore)
	}
	if t := r.Rotated; t != nil {
		f.rotate(seq, t)
	}
	if b := r.Restored; b != nil {
		f.v.sum.Restored = append(f.v.sum.Restored, seq)
		if b.Size != seq {
			f.v.fault(seq, FaultRestored, "record %d says that a backup of %d records was put back, there are %d before it", seq, b.Size, seq)
		}
	}
}

// parts checks that each of these kinds has its part, and no other kind has.
func (f *fold) parts(seq int64, r *Record) {
	for _, p := range []struct {
		kind Kind
		has  bool
	}{
		{KindErased, r.Erased != nil}, {KindLegalHold, r.LegalHold != nil},
		{KindRemoved, r.Removed != nil}, {KindRestored, r.Restored != nil}, {KindRotated, r.Rotated != nil},
	} {
		if p.has != (r.Kind == p.kind) || p.has && r.Bore != "" {
			f.v.fault(seq, FaultUnknown, "record %d has not what a record of kind %q has, or is of another kind", seq, p.kind)
		}
	}
}

// rotate takes a new key, if the one before has signed for it.
func (f *fold) rotate(seq int64, t *Rotated) {
	f.want.rotations = append(f.want.rotations, seq)
	if f.v.keys == nil {
		return
	}
	root := &f.v.before
	if f.part != nil {
		root = nil
	}
	if err := f.v.keys.Add(seq, *t, root); err != nil {
		f.v.fault(seq, FaultRotation, "record %d changes the log's key: %v", seq, err)
		return
	}
	f.v.sum.Rotated = append(f.v.sum.Rotated, seq)
}

func (f *fold) erase(seq int64, r *Record, e *Erased) {
	id := f.own(e.Person)
	_, ok := f.people[id]
	switch {
	case !ok:
		f.v.fault(seq, FaultUnknown, "record %d erases the name of %q, who was not introduced", seq, e.Person)
		return
	case f.erased[id] > 0:
		f.v.fault(seq, FaultErased, "record %d erases a name that record %d has erased", seq, f.erased[id])
		return
	case r.By == nil || e.Ground == "":
		f.v.fault(seq, FaultErased, "record %d erases a name without saying who asked and on what ground", seq)
	}
	if f.holds.on(holdPerson(id)) {
		f.v.fault(seq, FaultHeld, "record %d erases the name of %s, who is under a legal hold", seq, id)
	}
	for what := range f.holds.standing {
		b := f.bores[strings.TrimPrefix(what, holdBore(""))]
		if b != nil && what == holdBore(b.line.Bore) && slices.Contains(b.actors, id) {
			f.v.fault(seq, FaultHeld, "record %d erases the name of %s, who acted on bore %q, which is under a legal hold", seq, id, b.line.Bore)
		}
	}
	f.erased[id] = seq
	f.v.sum.Erased++
	f.want.people = append(f.want.people, seq)
}

func holdBore(id string) string   { return "bore " + id }
func holdPerson(id string) string { return "person " + id }

// hold checks a legal hold, or a voice for ending one.
func (f *fold) hold(seq int64, r *Record, h *LegalHold) {
	what, err := h.subject()
	switch {
	case err != nil || r.By == nil || r.Why == "":
		f.v.fault(seq, FaultHeld, "record %d is a legal hold without saying on what, who and why", seq)
	case h.Release && !f.holds.on(what):
		f.v.fault(seq, FaultHeld, "record %d releases a legal hold that there is not", seq)
	}
	f.holds.Add(*r)
}

// HoldVoices is how many different people end a legal hold.
const HoldVoices = 2

// subject is what a hold is on: exactly one thing.
func (h *LegalHold) subject() (string, error) {
	switch {
	case (h.Bore == "") == (h.Person == ""):
		return "", fmt.Errorf("%w: a legal hold is on a bore or on a person", ErrRecord)
	case h.Bore != "":
		return holdBore(h.Bore), nil
	}
	return holdPerson(h.Person), nil
}

// Holds are the legal holds that stand after some records, taken in order by Add.
// The zero value has none.
type Holds struct {
	standing map[string][]string
}

// Add takes the next record.
func (s *Holds) Add(r Record) {
	h := r.LegalHold
	if h == nil {
		return
	}
	what, err := h.subject()
	if err != nil || r.By == nil {
		return
	}
	if s.standing == nil {
		s.standing = map[string][]string{}
	}
	voices, held := s.standing[what]
	switch {
	case !h.Release:
		s.standing[what] = nil
	case held && !slices.Contains(voices, r.By.ID):
		if s.standing[what] = append(voices, r.By.ID); len(s.standing[what]) >= HoldVoices {
			delete(s.standing, what)
		}
	}
}

func (s *Holds) on(what string) bool { _, ok := s.standing[what]; return ok }

// Bore says whether a bore is under a legal hold, and who has released it so far.
func (s *Holds) Bore(id string) (voices []string, held bool) {
	voices, held = s.standing[holdBore(id)]
	return voices, held
}

// Person says the same of a person.
func (s *Holds) Person(id string) (voices []string, held bool) {
	voices, held = s.standing[holdPerson(id)]
	return voices, held
}
