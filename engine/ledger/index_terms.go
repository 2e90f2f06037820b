package ledger

import (
	"cmp"
	"hash/maphash"
	"maps"
	"slices"
	"strings"
)

// TermSource is an [IndexSource] that also has an index of [Terms]. Its Index
// gives those entries too, with the field, a zero byte and the value as the Key.
type TermSource interface {
	// TermsThrough is how many records, from the first on, the index of terms
	// covers: -1 where there is none of this TermGeneration. One that does not
	// cover all is not compared, and must not be answered from.
	TermsThrough() (int64, error)
}

// An index has some ten terms for each record, too many to keep in memory for a
// comparison. So each block of records has a sum over the hashes of its terms,
// under a seed that nobody can know beforehand; only blocks whose sums differ
// are looked at term by term.
const (
	termBlock   = 4096
	termBlocks  = 8 // that are looked at; for more it is said how many there are
	termMissing = "record %d is missing in the index of terms under %s %q"
	termExtra   = "the index of terms has record %d under %s %q, which it does not say"
)

// termSums follows an index of terms; nil where there is none to compare with.
type termSums struct {
	seed  maphash.Seed
	want  []uint64 // by block
	got   []uint64
	extra []IndexEntry // that name no record there can be
}

func newTermSums(r Reader) *termSums {
	if _, ok := r.(TermSource); !ok {
		return nil
	}
	return &termSums{seed: maphash.MakeSeed()}
}

func (s *termSums) hash(field, value string, seq int64) uint64 {
	return maphash.Comparable(s.seed, termAt{Term{field, value}, seq})
}

type termAt struct {
	term Term
	seq  int64
}

// expect takes a record; before is the trail of its bore.
func (s *termSums) expect(seq int64, r Record, before Trail) {
	if s == nil {
		return
	}
	for n := seq / termBlock; int64(len(s.want)) <= n; {
		s.want, s.got = append(s.want, 0), append(s.got, 0)
	}
	for _, t := range Terms(r, before) {
		s.want[seq/termBlock] += s.hash(t.Field, t.Value, seq)
	}
}

// meet takes an entry of the index.
func (s *termSums) meet(e IndexEntry) {
	if block := e.Seq / termBlock; e.Seq >= 0 && block < int64(len(s.got)) {
		field, value, _ := strings.Cut(e.Key, "\x00")
		s.got[block] += s.hash(field, value, e.Seq)
	} else if len(s.extra) < termBlock {
		s.extra = append(s.extra, e)
	}
}

// compared says whether the reader's index of terms is one to compare.
func (v *verifier) compared() bool {
	if v.fold.terms == nil {
		return false
	}
	through, err := v.r.(TermSource).TermsThrough()
	if err != nil {
		v.fault(-1, FaultUnreadable, "the index of terms cannot be read: %v", err)
		return false
	}
	if through > v.sum.Size {
		v.fault(-1, FaultIndex, "the index of terms claims to cover %d records, there are %d", through, v.sum.Size)
	}
	return through >= v.sum.Size
}

// terms names what is missing in the index of terms, and what is there too many.
func (v *verifier) terms(src IndexSource) {
	s := v.fold.terms
	for _, e := range s.extra {
		field, value, _ := strings.Cut(e.Key, "\x00")
		v.fault(v.within(e.Seq), FaultIndex, termExtra, e.Seq, field, value)
	}
	var bad []int64
	for i := range s.want {
		if s.want[i] != s.got[i] {
			bad = append(bad, int64(i))
		}
	}
	if more := len(bad) - termBlocks; more > 0 {
		v.fault(bad[termBlocks]*termBlock, FaultIndex, "the index of terms is wrong in %d more blocks of %d records", more, termBlock)
		bad = bad[:termBlocks]
	}
	if len(bad) > 0 {
		v.termByTerm(src, bad)
	}
}

// termByTerm reads the records of some blocks again and compares each term.
func (v *verifier) termByTerm(src IndexSource, blocks []int64) {
	want, trails := map[termAt]bool{}, map[string]Trail{}
	recs := &pager{fetch: v.r.Records}
	for {
		row, ok := recs.peek()
		if !ok {
			break
		}
		recs.take()
		rec, err := Decode(row.Data)
		if err != nil {
			continue
		}
		if slices.Contains(blocks, row.Seq/termBlock) {
			for _, t := range Terms(rec, trails[rec.Bore]) {
				want[termAt{t, row.Seq}] = true
			}
		}
		if rec.Bore != "" {
			trails[rec.Bore] = trails[rec.Bore].After(rec)
		}
	}
	err := src.Index(func(e IndexEntry) {
		if e.Index != IndexTerm || !slices.Contains(blocks, e.Seq/termBlock) || e.Seq < 0 {
			return
		}
		field, value, _ := strings.Cut(e.Key, "\x00")
		k := termAt{Term{field, value}, e.Seq}
		if !want[k] {
			v.fault(v.within(e.Seq), FaultIndex, termExtra, e.Seq, field, value)
			return
		}
		delete(want, k)
	})
	if err != nil {
		v.fault(-1, FaultUnreadable, "the indexes cannot be read: %v", err)
	}
	left := slices.SortedFunc(maps.Keys(want), func(a, b termAt) int {
		return cmp.Or(cmp.Compare(a.seq, b.seq), strings.Compare(a.term.Field, b.term.Field), strings.Compare(a.term.Value, b.term.Value))
	})
	for _, k := range left {
		v.fault(k.seq, FaultIndex, termMissing, k.seq, k.term.Field, k.term.Value)
	}
}
