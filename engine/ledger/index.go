package ledger

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// wanted is what the indexes of a store must have. What was met is crossed out.
type wanted struct {
	keys   map[string]int64 // idempotency key -> number of the record that had it first
	people []int64
	rules  []int64

	rotations []int64

	met map[string]bits // index -> numbers of the records whose entry was met
}

// bits is a set of record numbers.
type bits []uint64

func (b bits) has(n int64) bool { return n>>6 < int64(len(b)) && b[n>>6]&(1<<(n&63)) != 0 }

func (b *bits) add(n int64) {
	for int64(len(*b)) <= n>>6 {
		*b = append(*b, make(bits, max(64, len(*b)))...)
	}
	(*b)[n>>6] |= 1 << (n & 63)
}

func newWanted() *wanted { return &wanted{keys: map[string]int64{}, met: map[string]bits{}} }

// key notes a record's key, or gives the record that has it already.
func (w *wanted) key(key string, seq int64) (first int64, twice bool) {
	if first, twice = w.keys[key]; twice {
		return first, true
	}
	w.keys[strings.Clone(key)] = seq
	return 0, false
}

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
	for _, m := range v.missing() {
		v.fault(m.seq, FaultIndex, "record %d is missing in the index %q", m.seq, m.index)
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
	seq, ok := v.expected(e)
	if !ok {
		v.fault(v.within(e.Seq), FaultIndex, "the index %q has an entry for %q that no record accounts for", e.Index, e.Key)
		return
	}
	met := v.fold.want.met[e.Index]
	if met.has(seq) {
		v.fault(v.within(e.Seq), FaultIndex, "the index %q has %q twice", e.Index, e.Key)
		return
	}
	if seq != e.Seq {
		v.fault(seq, FaultIndex, "the index %q has %q at record %d, it is record %d", e.Index, e.Key, e.Seq, seq)
	}
	met.add(seq)
	v.fold.want.met[e.Index] = met
}

// expected is the record that an entry must be of.
func (v *verifier) expected(e IndexEntry) (seq int64, ok bool) {
	w := v.fold.want
	switch e.Index {
	case IndexKey:
		seq, ok = w.keys[e.Key]
		return seq, ok && e.Num == 0
	case IndexBore, IndexRecent:
		b := v.fold.bores[e.Key]
		switch {
		case b == nil:
			return 0, false
		case e.Index == IndexRecent:
			return b.line.Last, e.Num == 0
		}
		return b.at(e.Num)
	case IndexPerson:
		_, ok = slices.BinarySearch(w.people, e.Num)
		return e.Num, ok && e.Key == ""
	case IndexRotation:
		_, ok = slices.BinarySearch(w.rotations, e.Num)
		return e.Num, ok && e.Key == ""
	case IndexRules:
		_, ok = slices.BinarySearch(w.rules, e.Num)
		return e.Num, ok && e.Key == ""
	}
	return 0, false
}

// at is the record with a version of the bore: the last one, if there are several.
func (b *bore) at(ver int64) (seq int64, ok bool) {
	if i := ver - 1; i >= 0 && i < int64(len(b.vers)) && b.vers[i] == ver && (i+1 == int64(len(b.vers)) || b.vers[i+1] != ver) {
		return b.seqs[i], true
	}
	for i := len(b.vers) - 1; i >= 0; i-- {
		if b.vers[i] == ver {
			return b.seqs[i], true
		}
	}
	return 0, false
}

// unmet is an entry that an index lacks.
type unmet struct {
	index string
	seq   int64
}

// missing lists what was not crossed out, in the order of the records.
func (v *verifier) missing() (out []unmet) {
	w := v.fold.want
	look := func(index string, seq int64) {
		if !w.met[index].has(seq) {
			out = append(out, unmet{index, seq})
		}
	}
	for _, seq := range w.keys {
		look(IndexKey, seq)
	}
	for _, b := range v.fold.bores {
		look(IndexRecent, b.line.Last)
		for i, ver := range b.vers {
			if last, _ := b.at(ver); last == b.seqs[i] {
				look(IndexBore, last)
			}
		}
	}
	for _, seq := range w.people {
		look(IndexPerson, seq)
	}
	for _, seq := range w.rotations {
		look(IndexRotation, seq)
	}
	for _, seq := range w.rules {
		look(IndexRules, seq)
	}
	slices.SortFunc(out, func(a, b unmet) int { return cmp.Or(cmp.Compare(a.seq, b.seq), cmp.Compare(a.index, b.index)) })
	return out
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
