package ledger

import (
	"cmp"
	"slices"
	"strings"
)

// bore is where one bore stands after the records so far.
type bore struct {
	line     BoreLine
	lists    map[string][]string // list facts: key -> items
	findings map[string]string   // finding -> status
	waived   map[string]bool     // findings with a waiver on record
	changed  int64               // version of the last record that was not a signature
	signs    []signature         // since then
	place    string              // jurisdiction
	released *Pack               // rules that the last release was given under

	actors []string // who acted on it, each once

	vers, seqs []int64 // version and number of each record
}

type signature struct {
	by      Actor
	input   string
	through int64
}

// bore takes a record of a bore.
func (f *fold) bore(seq int64, r *Record) {
	b := f.last
	if b == nil || b.line.Bore != r.Bore {
		b = f.bores[r.Bore]
	}
	if b == nil {
		b = &bore{lists: map[string][]string{}, findings: map[string]string{}, waived: map[string]bool{}}
		b.line.Bore = strings.Clone(r.Bore)
		f.bores[b.line.Bore] = b
		f.v.sum.Bores++
	}
	f.last = b
	if r.By != nil && !slices.Contains(b.actors, r.By.ID) {
		b.actors = append(b.actors, f.own(r.By.ID))
	}
	f.terms.expect(seq, *r, b.line.Trail)
	f.version(seq, r, b)
	f.facts(r, b)
	f.findings(seq, r, b)
	f.signature(seq, r, b)
	if r.Release != nil {
		f.v.sum.Releases++
		f.release(seq, r, b)
		b.released = f.packs[r.Rules]
	}
	f.state(seq, r, b)
	b.line.Last, b.line.Logged, b.line.Trail = seq, r.Logged, f.trail(b.line.Trail.After(*r))
}

// version checks the count, and that a bore is opened first and once.
func (f *fold) version(seq int64, r *Record, b *bore) {
	if r.Ver != b.line.Ver+1 {
		f.v.fault(seq, FaultVer, "record %d is version %d of bore %q, want %d", seq, r.Ver, r.Bore, b.line.Ver+1)
	}
	if (r.Kind == KindOpen) != (r.Ver == 1) || (r.Kind == KindOpen) != (r.Open != nil) {
		f.v.fault(seq, FaultVer, "record %d: a bore is opened by its first record and by no other", seq)
	}
	if r.Open != nil {
		b.line.Title, b.place = r.Open.Title, f.own(r.Open.Jurisdiction)
	}
	if (r.Kind == KindMoved) != (r.Moved != nil) {
		f.v.fault(seq, FaultUnknown, "record %d: a move without its kind, or the other way round", seq)
	}
	if r.Moved != nil {
		b.place = f.own(r.Moved.Jurisdiction)
	}
	b.line.Ver = r.Ver
	b.vers, b.seqs = append(b.vers, r.Ver), append(b.seqs, seq)
}

// facts keeps the lists, which say how many findings a check must have. What
// the other values mean is for the rules to say.
func (f *fold) facts(r *Record, b *bore) {
	for _, k := range r.Drops {
		delete(b.lists, k)
	}
	for i := range r.Facts {
		fact := &r.Facts[i]
		if key := fact.Key; key == listOf("frequency") || key == listOf("crossing") {
			items := make([]string, len(fact.Items))
			for n, item := range fact.Items {
				items[n] = f.own(item)
			}
			b.lists[f.own(key)] = items
		}
	}
}

// listOf is the fact with the items that a check for each of something is
// evaluated for, "" for a scope that is not known.
func listOf(each string) string {
	switch each {
	case "frequency":
		return "frequencies"
	case "crossing":
		return "crossings"
	}
	return ""
}

// findings takes the findings that changed.
func (f *fold) findings(seq int64, r *Record, b *bore) {
	if r.Kind == KindWaive {
		if r.Why == "" || r.Check == "" || r.By == nil {
			f.v.fault(seq, FaultWaive, "record %d waives without saying what, why and who", seq)
		} else {
			b.waived[f.own(r.Check)] = true
		}
	}
	for _, k := range r.Gone {
		delete(b.findings, k)
		delete(b.waived, k)
	}
	if len(r.Findings) == 0 {
		return
	}
	f.seen = f.seen[:0]
	for _, status := range statuses {
		for _, k := range r.Findings[status] {
			k = f.own(k)
			f.seen = append(f.seen, seen{k, status})
			b.findings[k] = status
			if status == statusWaived {
				f.waived(seq, r, b, k)
			} else if len(b.waived) > 0 {
				// A waiver is for what failed then, not for what fails next.
				delete(b.waived, k)
			}
		}
	}
	f.twice(seq)
	for status := range r.Findings {
		if !slices.Contains(statuses[:], status) {
			f.v.fault(seq, FaultFinding, "record %d has findings of the unknown status %q", seq, status)
		}
	}
}

// twice looks for a finding that a record has two times.
func (f *fold) twice(seq int64) {
	slices.SortStableFunc(f.seen, func(a, b seen) int { return cmp.Compare(a.key, b.key) })
	for i := 1; i < len(f.seen); i++ {
		if a, b := f.seen[i-1], f.seen[i]; a.key == b.key {
			f.v.fault(seq, FaultFinding, "record %d has %s both as %s and as %s", seq, a.key, a.status, b.status)
		}
	}
}

// statuses are those that there are; only read.
var statuses = [...]string{statusPass, statusExempt, statusFail, statusNeeds, statusBroken, statusWaived}

// waived checks that a finding may have the status waived.
func (f *fold) waived(seq int64, r *Record, b *bore, key string) {
	if !b.waived[key] {
		f.v.fault(seq, FaultWaive, "record %d has %s as waived, and no record waives it with a reason", seq, key)
	}
	if p := f.packs[r.Rules]; p != nil {
		check, _ := splitKey(key)
		if slices.ContainsFunc(p.Checks, func(c PackCheck) bool { return c.ID == check && c.Fixed }) {
			f.v.fault(seq, FaultWaive, "record %d has %s as waived, which may never be", seq, key)
		}
	}
}

// signature notes a signature, or that one no longer counts. Anything that
// happens on a bore, but for a signature or a refusal, is a change: what was
// signed before is then not what stands. And what a release stood on is spent
// once it is void.
func (f *fold) signature(seq int64, r *Record, b *bore) {
	if r.Void != "" {
		b.signs = nil
	}
	if r.Kind != KindSign && r.Kind != KindRefused && r.Kind != KindShown && r.Kind != KindReason || len(r.Facts)+len(r.Drops) > 0 {
		b.changed, b.signs = r.Ver, nil
	}
	if (r.Kind == KindSign) != (r.Sign != nil) {
		f.v.fault(seq, FaultSign, "record %d: a signature without its kind, or the other way round", seq)
		return
	}
	if r.Sign == nil {
		return
	}
	s := r.Sign
	switch {
	case r.By == nil || r.By.Role == "" || s.Meaning == "" || s.Input == "":
		f.v.fault(seq, FaultSign, "record %d is signed without saying who, as what, what it means and over what", seq)
	case s.Through >= r.Ver || s.Through < b.changed:
		f.v.fault(seq, FaultSign, "record %d signs version %d of the bore, which is not what stood there", seq, s.Through)
	default:
		by := Actor{ID: f.own(r.By.ID), Role: f.own(r.By.Role)}
		b.signs = append(b.signs, signature{by: by, input: strings.Clone(s.Input), through: s.Through})
	}
}

// state checks that the state after the record can follow the one before.
func (f *fold) state(seq int64, r *Record, b *bore) {
	was, is := b.line.State, r.State
	if is == "" {
		is = was
	}
	switch {
	case is != StateOpen && is != StateReleased && is != StateHeld && is != StateClosed:
		f.v.fault(seq, FaultState, "record %d leaves the bore in the unknown state %q", seq, is)
	case was == StateClosed && (is != StateClosed || r.Kind != KindRefused):
		f.v.fault(seq, FaultState, "record %d is on bore %q, which was closed", seq, r.Bore)
	case (is == StateReleased) != (r.Release != nil) && (r.Release != nil || was != StateReleased):
		f.v.fault(seq, FaultState, "record %d: ready to drill comes with a release and with nothing else", seq)
	case is == StateReleased && (r.Kind == KindHold || r.Kind == KindMoved || r.Void != ""):
		f.v.fault(seq, FaultState, "record %d stops the bore and leaves it ready to drill", seq)
	case is == StateClosed && was != StateClosed && r.Kind != KindClose:
		f.v.fault(seq, FaultState, "record %d closes the bore without being of that kind", seq)
	case is == StateReleased && r.Release == nil:
		f.stands(seq, b)
	}
	b.line.State = f.own(is)
}

// stands checks that what a release stands on still holds: the rules that it was
// given under, which may be older than those in force now. They may not let a
// bore stay ready to drill when one of its checks turned.
func (f *fold) stands(seq int64, b *bore) {
	p := b.released
	if p == nil {
		return
	}
	for _, k := range gated(p, b) {
		if s, ok := b.findings[k]; ok && !holds(s) {
			f.v.fault(seq, FaultRelease, "record %d leaves bore %q ready to drill while %s is %s", seq, b.line.Bore, k, s)
		}
	}
}
