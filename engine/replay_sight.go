package engine

import (
	"math"
	"slices"
	"strings"

	"firstrod/engine/quantity"
)

// Sight is a value of a finding and the limit it is held against, under the old
// rules and under the candidate.
type Sight struct {
	Name    string         // the leaf, "metal_distance"
	Value   quantity.Value // under the candidate
	Limit   string         // path of the limit, or the leaf that is the limit
	Was, Is quantity.Value // the limit; Was is not valid where the old rules have none
	side    int            // 1: the value may not be larger; -1: not smaller; 0: not known
}

// excess is how far the value is beyond the limit, in base units: that of the
// candidate, or where the finding holds now, that of the old rules.
func (s Sight) excess(holds bool) float64 {
	limit := s.Is
	if holds && s.Was.Valid() {
		limit = s.Was
	}
	d := math.Abs(float64(s.Value.Base())) - float64(limit.Base())
	switch s.side {
	case 0:
		return math.Abs(d)
	case -1:
		return -d
	}
	return d
}

// sight is where to look for a [Sight] of a check.
type sight struct {
	value string // leaf
	limit string // path of a limit, or a leaf
	param bool   // limit is a path
	kind  quantity.Kind
	side  int
}

// sights pairs the values that a check reads with the limits that differ: those
// that it reads itself, and computed values made of such limits.
func sights(old, candidate *Catalogue, ch *Check) []sight {
	var bounds []sight
	for _, path := range ch.Params {
		if side, differs := limitDiffers(old, candidate, path); differs {
			bounds = append(bounds, sight{limit: path, param: true, kind: candidate.param[path].Value.Kind(), side: side})
		}
	}
	for _, leaf := range ch.PassReads {
		d, ok := derived(leaf)
		if !ok {
			continue
		}
		for _, path := range d.params {
			if side, differs := limitDiffers(old, candidate, path); differs {
				bounds = append(bounds, sight{limit: leaf, kind: d.kind, side: side})
				break
			}
		}
	}
	isBound := func(leaf string) bool {
		return slices.ContainsFunc(bounds, func(b sight) bool { return b.limit == leaf })
	}
	var all []sight
	for _, b := range bounds {
		best := -1
		for _, leaf := range ch.PassReads {
			if isBound(leaf) || !b.kind.Numeric() || kindOfLeaf(candidate, leaf) != b.kind {
				continue
			}
			if n := common(leaf, b.limit); n > best {
				b.value, best = leaf, n
			}
		}
		if b.value != "" {
			all = append(all, b)
		}
	}
	return all
}

// limitDiffers also says on which side of the limit a value may be.
func limitDiffers(old, candidate *Catalogue, path string) (side int, differs bool) {
	is, ok := candidate.param[path]
	if !ok {
		return 0, false
	}
	was, had := old.param[path]
	return map[string]int{"lower": 1, "higher": -1}[is.Stricter], !had || !was.Value.Equal(is.Value)
}

// kindOfLeaf is the kind of value that a leaf has.
func kindOfLeaf(c *Catalogue, leaf string) quantity.Kind {
	if l, ok := leafByName[leaf]; ok {
		return l.Kind
	}
	_, id := scopeOfLeaf(leaf)
	if a, ok := c.ask[id]; ok {
		return a.Kind
	}
	return ""
}

// common is how many letters two names begin alike.
func common(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// look reads a sight off a bore.
func (s sight) look(was, is *view, p *pair) (Sight, bool) {
	at := func(v *view, leaf string) (quantity.Value, bool) {
		x, missing, err := subjectView{v, p.check.Each, p.subject}.Value(leaf)
		n, ok := x.(int64)
		if err != nil || len(missing) > 0 || !ok {
			return quantity.Value{}, false
		}
		return quantity.Of(s.kind, n), true
	}
	limit := func(v *view) (quantity.Value, bool) {
		if !s.param {
			return at(v, s.limit)
		}
		l, ok := v.cat.param[s.limit]
		if !ok {
			return quantity.Value{}, false
		}
		return l.Value, true
	}
	got := Sight{Name: s.value, Limit: strings.TrimPrefix(s.limit, "input."), side: s.side}
	var ok1, ok2 bool
	got.Value, ok1 = at(is, s.value)
	got.Is, ok2 = limit(is)
	got.Was, _ = limit(was)
	return got, ok1 && ok2
}
