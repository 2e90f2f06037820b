package ledger

import (
	"cmp"
	"maps"
	"slices"
)

// indexes compares the store's indexes, and what is kept beside the log, with
// what the records say. Where a record is damaged there is nothing sure to
// compare them with: that would blame good records. They are not compared then.
func (v *verifier) indexes() {
	v.fold.privates()
	src, ok := v.r.(IndexSource)
	if !ok || v.unsure {
		return
	}
	v.sum.Checked = append(v.sum.Checked, "indexes")
	terms := v.compared()
	if terms {
		v.sum.Checked = append(v.sum.Checked, "terms")
	}
	lines := map[string]bool{}
	err := src.Index(func(e IndexEntry) {
		switch {
		case e.Index == IndexTerm && terms:
			v.fold.terms.meet(e)
		case e.Index == IndexTerm:
		case e.Index == IndexLine:
			lines[e.Key] = true
			v.line(e, terms)
		default:
			v.entry(e)
		}
	})
	if err != nil {
		v.fault(-1, FaultUnreadable, "the indexes cannot be read: %v", err)
	}
	// What was met is crossed out, so what is left is missing.
	left := make([]indexKey, 0)
	for k, seq := range v.fold.want {
		if seq >= 0 {
			left = append(left, k)
		}
	}
	slices.SortFunc(left, func(a, b indexKey) int {
		return cmp.Or(cmp.Compare(v.fold.want[a], v.fold.want[b]), cmp.Compare(a.index, b.index))
	})
	for _, k := range left {
		seq := v.fold.want[k]
		v.fault(seq, FaultIndex, "record %d is missing in the index %q", seq, k.index)
	}
	for _, id := range slices.Sorted(maps.Keys(v.fold.bores)) {
		if !lines[id] {
			v.fault(v.fold.bores[id].line.Last, FaultIndex, "bore %q is missing in the list of bores", id)
		}
	}
	if terms {
		v.terms(src)
	}
}

// entry checks one index entry and crosses it out.
func (v *verifier) entry(e IndexEntry) {
	k := indexKey{index: e.Index, key: e.Key, num: e.Num}
	seq, ok := v.fold.want[k]
	switch {
	case !ok:
		v.fault(v.within(e.Seq), FaultIndex, "the index %q has an entry for %q that no record accounts for", e.Index, e.Key)
		return
	case seq < 0:
		v.fault(v.within(e.Seq), FaultIndex, "the index %q has %q twice", e.Index, e.Key)
		return
	case seq != e.Seq:
		v.fault(seq, FaultIndex, "the index %q has %q at record %d, it is record %d", e.Index, e.Key, e.Seq, seq)
	}
	v.fold.want[k] = -1
}

// line checks one line of the list of bores; its trail goes with the index of
// terms.
func (v *verifier) line(e IndexEntry, trail bool) {
	b := v.fold.bores[e.Key]
	switch {
	case b == nil:
		v.fault(v.within(e.Seq), FaultIndex, "the list of bores has %q, which no record opened", e.Key)
	case e.Line == nil || e.Seq != b.line.Last || !e.Line.same(b.line) || trail && !e.Line.Trail.same(b.line.Trail):
		v.fault(b.line.Last, FaultIndex, "the list of bores has %q otherwise than the records do", e.Key)
	}
}

func (l BoreLine) same(o BoreLine) bool {
	if !l.Logged.Equal(o.Logged) {
		return false
	}
	// Equal times may still differ in how they are held.
	l.Logged, l.Trail = o.Logged, o.Trail
	return l == o
}

// within keeps a damaged number from being named as a record.
func (v *verifier) within(seq int64) int64 {
	if seq < 0 || seq >= v.sum.Size {
		return -1
	}
	return seq
}
