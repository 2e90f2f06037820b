package audit

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// By says how a tally puts bores together.
type By string

// The ways to put bores together.
const (
	ByAll   By = ""
	ByCrew  By = "crew"         // everybody who gave an answer or signed, by id
	ByMonth By = "month"        // in which the bore was opened, by the site's calendar
	ByPlace By = "jurisdiction" // the bore was in last
)

// Group is what a tally counted for some bores.
type Group struct {
	Name     string         `json:"name"`     // "" for all of them, or for those with none
	Bores    int            `json:"bores"`    // opened
	Released int            `json:"released"` // at least once
	Releases int            `json:"releases"` // in all
	Median   float64        `json:"median_hours_to_release"`
	P90      float64        `json:"p90_hours_to_release"`
	Voids    map[string]int `json:"voids"`  // releases that held no longer, by reason; "closed" is a good end
	Checks   []CheckCount   `json:"checks"` // the one that failed most first
}

// CheckCount is how a check went. The first time that a finding is judged counts
// as its first: pass, fail or broken. What was exempt, waived or waited for
// answers was not judged.
type CheckCount struct {
	Check  string  `json:"check"`
	Judged int     `json:"judged"`       // findings judged at least once
	First  int     `json:"passed_first"` // of those, passed the first time
	Rate   float64 `json:"first_time_rate"`
	Failed int     `json:"failed"` // times that a finding came to fail, in all
	Broken int     `json:"broken"` // times that one could not be judged
}

// Tally counts over the records of a ledger.
type Tally struct {
	by    By
	bores map[string]*tallied
	names map[string]string // check id, once
}

// tallied is one bore.
type tallied struct {
	opened, released time.Time
	month            string
	trail            ledger.Trail
	crew             map[string]bool
	releases         int
	voids            map[string]int
	judged           map[string]bool // findings; nil once the bore is closed
	checks           map[string]*CheckCount
}

// NewTally starts a tally.
func NewTally(by By) *Tally {
	return &Tally{by: by, bores: map[string]*tallied{}, names: map[string]string{}}
}

// Add takes the next record. All records of a bore must come, from its first on
// and in order; those that belong to no bore count for nothing.
func (t *Tally) Add(r ledger.Record) {
	if r.Bore == "" {
		return
	}
	b := t.bores[r.Bore]
	if b == nil {
		b = &tallied{opened: r.At, crew: map[string]bool{}, voids: map[string]int{}, judged: map[string]bool{}, checks: map[string]*CheckCount{}}
		b.month = r.At.In(zoneOf(r)).Format("2006-01")
		t.bores[r.Bore] = b
	}
	b.trail = b.trail.After(r)
	if r.By != nil && (r.Kind == ledger.KindAnswer || r.Kind == ledger.KindSign) {
		b.crew[r.By.ID] = true
	}
	if r.Void != "" {
		b.voids[r.Void]++
	}
	if r.Release != nil {
		if b.releases++; b.releases == 1 {
			b.released = r.At
		}
	}
	t.findings(b, r)
	if r.State == ledger.StateClosed {
		b.judged = nil
	}
}

func (t *Tally) findings(b *tallied, r ledger.Record) {
	for _, status := range []engine.Status{engine.Pass, engine.Fail, engine.Broken} {
		for _, key := range r.Findings[string(status)] {
			c := t.count(b, key)
			if !b.judged[key] && b.judged != nil {
				b.judged[key] = true
				c.Judged++
				if status == engine.Pass {
					c.First++
				}
			}
			switch status {
			case engine.Fail:
				c.Failed++
			case engine.Broken:
				c.Broken++
			}
		}
	}
}

func (t *Tally) count(b *tallied, key string) *CheckCount {
	id, _ := engine.SplitKey(key)
	name, ok := t.names[id]
	if !ok {
		// A copy of its own: a part would keep the whole record in memory.
		name = strings.Clone(id)
		t.names[name] = name
	}
	c := b.checks[name]
	if c == nil {
		c = &CheckCount{Check: name}
		b.checks[name] = c
	}
	return c
}

// Groups gives what was counted, by name of the group.
func (t *Tally) Groups() []Group {
	type sum struct {
		Group
		hours  []float64
		checks map[string]*CheckCount
	}
	sums := map[string]*sum{}
	for _, b := range t.bores {
		name := t.group(b)
		s := sums[name]
		if s == nil {
			s = &sum{Group: Group{Name: name, Voids: map[string]int{}}, checks: map[string]*CheckCount{}}
			sums[name] = s
		}
		s.Bores++
		s.Releases += b.releases
		if b.releases > 0 {
			s.Released++
			s.hours = append(s.hours, b.released.Sub(b.opened).Hours())
		}
		for why, n := range b.voids {
			s.Voids[why] += n
		}
		addChecks(s.checks, b.checks)
	}
	var out []Group
	for _, name := range slices.Sorted(maps.Keys(sums)) {
		s := sums[name]
		slices.Sort(s.hours)
		s.Median, s.P90 = median(s.hours), rank(s.hours, 90)
		s.Checks = sortedChecks(s.checks)
		out = append(out, s.Group)
	}
	return out
}

func addChecks(sum, more map[string]*CheckCount) {
	for id, c := range more {
		s := sum[id]
		if s == nil {
			s = &CheckCount{Check: id}
			sum[id] = s
		}
		s.Judged, s.First, s.Failed, s.Broken = s.Judged+c.Judged, s.First+c.First, s.Failed+c.Failed, s.Broken+c.Broken
	}
}

func sortedChecks(counts map[string]*CheckCount) []CheckCount {
	out := make([]CheckCount, 0, len(counts))
	for _, c := range counts {
		if c.Judged > 0 {
			c.Rate = float64(c.First) / float64(c.Judged)
		}
		out = append(out, *c)
	}
	slices.SortFunc(out, func(a, b CheckCount) int {
		return cmp.Or(cmp.Compare(b.Failed+b.Broken, a.Failed+a.Broken), cmp.Compare(a.Check, b.Check))
	})
	return out
}

// group is the name of the group that a bore belongs to.
func (t *Tally) group(b *tallied) string {
	switch t.by {
	case ByCrew:
		return strings.Join(slices.Sorted(maps.Keys(b.crew)), "+")
	case ByMonth:
		return b.month
	case ByPlace:
		return b.trail.Place
	}
	return ""
}

// median is the middle one of sorted values, or the mean of the middle two; 0
// for none.
func median(v []float64) float64 {
	n := len(v)
	if n == 0 {
		return 0
	}
	return (v[(n-1)/2] + v[n/2]) / 2
}

// rank is the nearest-rank percentile of sorted values: the smallest one that p
// in a hundred do not exceed; 0 for none.
func rank(v []float64, p int) float64 {
	if len(v) == 0 {
		return 0
	}
	return v[(len(v)*p+99)/100-1]
}
