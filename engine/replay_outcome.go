package engine

import (
	"cmp"
	"maps"
	"slices"
	"time"
)

// Outcome is what a replay found. Counts of checks are of findings: one check on
// one subject at one decision.
type Outcome struct {
	Bores     int // with a decision that was looked at
	Decisions int
	Releases  int // among them
	Asked     int // findings that the rules were asked for; all others came from the record

	Places map[string]int // bores by jurisdiction, "" for those that name none

	Checks  []CheckOutcome // those whose findings differ, in the order of the job
	Differs []string       // ids of all checks that the two judge differently, in the order of the job
	New     []*Check       // in the candidate only
	Gone    []*Check       // in the old rules only
	Needs   []NeedCount    // what the candidate asks and the records lack, most often first

	Refused  []ReleaseChange // releases that the candidate would not have let through
	Wanting  []ReleaseChange // releases for which the candidate wants to know more
	Passable []ReleaseChange // decisions that the candidate would let through and the old rules would not
}

// CheckOutcome is what would have become of one check.
type CheckOutcome struct {
	Check  *Check // the candidate's, or the old one where it has none
	Fails  int    // newly fail
	Holds  int    // newly hold
	Asks   int    // newly need something that was never given
	Breaks int    // newly broken: the rule misbehaves
	Bores  int    // with any of these
	Worst  []Example
}

// Example is one finding that would have come out another way.
type Example struct {
	Bore    string
	Record  int64 // at the state after it
	At      time.Time
	Key     string // the finding
	Was, Is Status
	Missing []string // what would need to be given
	Sight   *Sight   // the value against its limit; nil where there is no such pair
}

// NeedCount is one fact that would need to be given. Ask is "signature" where the
// candidate wants more people to sign.
type NeedCount struct {
	Ask       string
	Decisions int
}

// ReleaseChange is one decision that would have gone another way.
type ReleaseChange struct {
	Bore    string
	Record  int64
	At      time.Time
	Release bool     // a release was given there; else it is where the bore stands last
	Stops   []string // findings in the way, under the rules that do not let it through
	Missing []string // facts that the candidate would need
}

// tally is an outcome in the making.
type tally struct {
	out      Outcome
	examples int
	checks   map[string]*CheckOutcome
	needs    map[string]int
	touched  map[string]bool // checks that differ on the bore at hand
	looked   bool            // the bore at hand has a decision
	reading  *reading        // of the worker that makes it
}

func newTally(examples int) *tally {
	return &tally{
		examples: examples, checks: map[string]*CheckOutcome{}, needs: map[string]int{},
		touched: map[string]bool{}, reading: newReading(), out: Outcome{Places: map[string]int{}},
	}
}

func (t *tally) endBore(jurisdiction string) {
	for id := range t.touched {
		t.checks[id].Bores++
	}
	clear(t.touched)
	if t.looked {
		t.out.Bores++
		t.out.Places[jurisdiction]++
	}
	t.looked = false
}

// count adds one decision.
func (c *contrast) count() {
	t := c.tally
	t.looked = true
	t.out.Decisions++
	t.out.Asked += c.asked
	if c.release {
		t.out.Releases++
	}
	wanted := map[string]bool{}
	for i := range c.pairs {
		if c.differs(&c.pairs[i]) {
			t.finding(c, &c.pairs[i], wanted)
		}
	}
	for ask := range wanted {
		t.needs[ask]++
	}
	c.countRelease()
}

// differs says whether a finding comes to something else.
func (c *contrast) differs(p *pair) bool {
	was, is := p.was.Status, p.is.Status
	quiet := is.Holds() && (was == "" || was.Holds())
	return is != "" && is != was && !quiet
}

func (t *tally) finding(c *contrast, p *pair, wanted map[string]bool) {
	id := p.check.ID
	row := t.checks[id]
	if row == nil {
		row = &CheckOutcome{Check: p.check}
		t.checks[id] = row
	}
	t.touched[id] = true
	switch {
	case p.is.Status == Fail:
		row.Fails++
	case p.is.Status == Needs:
		row.Asks++
		for _, key := range p.is.Missing {
			ask, _ := SplitKey(key)
			wanted[ask] = true
		}
	case p.is.Status.Holds():
		row.Holds++
	default:
		row.Breaks++
	}
	e := Example{
		Bore: c.bore.ID, Record: c.seq, At: c.when(), Key: p.is.Key(), Was: p.was.Status, Is: p.is.Status, Missing: p.is.Missing,
	}
	if s, ok := c.sightOf(p); ok {
		e.Sight = &s
	}
	row.Worst = worst(append(row.Worst, e), t.examples)
}

// worst keeps so many bores of each way, the one farthest beyond its limit first,
// with the worst of each bore.
func worst(all []Example, n int) []Example {
	slices.SortFunc(all, func(a, b Example) int {
		return cmp.Or(cmp.Compare(a.Is, b.Is), cmp.Compare(b.excess(), a.excess()),
			cmp.Compare(a.Record, b.Record), cmp.Compare(a.Key, b.Key))
	})
	kept, of := all[:0], 0
	for _, e := range all {
		if len(kept) == 0 || kept[len(kept)-1].Is != e.Is {
			of = 0 // another way begins
		}
		has := slices.ContainsFunc(kept[len(kept)-of:], func(k Example) bool { return k.Bore == e.Bore })
		if !has && of < n {
			kept, of = append(kept, e), of+1
		}
	}
	return kept
}

func (e *Example) excess() float64 {
	if e.Sight == nil {
		return 0
	}
	return e.Sight.excess(e.Is.Holds())
}

// countRelease says whether the decision would have been another one. A bore that
// is closed, or drilled under a release that was looked at, has none to take last.
func (c *contrast) countRelease() {
	if !c.release && c.bore.State != Open && c.bore.State != Held {
		return
	}
	change := ReleaseChange{Bore: c.bore.ID, Record: c.seq, At: c.when(), Release: c.release}
	out := &c.tally.out
	switch {
	case c.was.ready() == c.would.ready():
	case c.would.ready():
		change.Stops = sorted(c.was.stops)
		out.Passable = append(out.Passable, change)
	case !c.release:
		// Nobody was released there; the checks say what would be in the way.
	default:
		change.Stops, change.Missing = sorted(c.would.stops), sorted(c.would.missing)
		if c.would.wants {
			out.Wanting = append(out.Wanting, change)
		} else {
			out.Refused = append(out.Refused, change)
		}
	}
}

// sorted puts keys in order, each once.
func sorted(keys []string) []string {
	slices.Sort(keys)
	return slices.Compact(keys)
}

func (t *tally) merge(o *tally) {
	a, b := &t.out, &o.out
	a.Bores, a.Decisions, a.Releases, a.Asked = a.Bores+b.Bores, a.Decisions+b.Decisions, a.Releases+b.Releases, a.Asked+b.Asked
	a.Refused, a.Wanting, a.Passable = append(a.Refused, b.Refused...), append(a.Wanting, b.Wanting...), append(a.Passable, b.Passable...)
	for place, n := range b.Places {
		a.Places[place] += n
	}
	for ask, n := range o.needs {
		t.needs[ask] += n
	}
	for id, row := range o.checks {
		mine := t.checks[id]
		if mine == nil {
			t.checks[id] = row
			continue
		}
		mine.Fails, mine.Holds, mine.Asks = mine.Fails+row.Fails, mine.Holds+row.Holds, mine.Asks+row.Asks
		mine.Breaks, mine.Bores = mine.Breaks+row.Breaks, mine.Bores+row.Bores
		mine.Worst = worst(append(mine.Worst, row.Worst...), t.examples)
	}
}

// outcome puts everything in order.
func (t *tally) outcome(p *plans) Outcome {
	out := t.out
	inOrder := func(a, b *Check) int { return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.ID, b.ID)) }
	for _, row := range t.checks {
		out.Checks = append(out.Checks, *row)
	}
	slices.SortFunc(out.Checks, func(a, b CheckOutcome) int { return inOrder(a.Check, b.Check) })
	for _, ask := range slices.Sorted(maps.Keys(t.needs)) {
		out.Needs = append(out.Needs, NeedCount{ask, t.needs[ask]})
	}
	slices.SortStableFunc(out.Needs, func(a, b NeedCount) int { return b.Decisions - a.Decisions })
	for _, list := range [][]ReleaseChange{out.Refused, out.Wanting, out.Passable} {
		slices.SortFunc(list, func(a, b ReleaseChange) int { return cmp.Compare(a.Record, b.Record) })
	}
	differs, fresh, gone := p.different()
	for _, ch := range slices.SortedFunc(maps.Values(differs), inOrder) {
		out.Differs = append(out.Differs, ch.ID)
	}
	out.New, out.Gone = slices.SortedFunc(maps.Values(fresh), inOrder), slices.SortedFunc(maps.Values(gone), inOrder)
	return out
}

// different lists the checks in which any two revisions that were held against each
// other differ, and which of them only one side has.
func (p *plans) different() (differs, fresh, gone map[string]*Check) {
	differs, fresh, gone = map[string]*Check{}, map[string]*Check{}, map[string]*Check{}
	for _, pair := range p.pairs {
		for id := range pair.differs {
			before, had := pair.old.Check(id)
			after, has := pair.candidate.Check(id)
			switch {
			case !had:
				fresh[id], differs[id] = after, after
			case !has:
				gone[id], differs[id] = before, before
			default:
				differs[id] = after
			}
		}
	}
	return differs, fresh, gone
}
