package engine

import (
	"context"
	"maps"
	"slices"
	"time"

	"firstrod/engine/quantity"
)

// Text is one sentence or label per language, by language code ("en", "es").
// It may hold places to fill in: {metal_distance} is an answer,
// {params.ground.standoff} a limit, {derived.noise_margin} a computed value.
type Text map[string]string

// In gives the sentence in lang, or in English.
func (t Text) In(lang string) string {
	if s, ok := t[lang]; ok {
		return s
	}
	return t["en"]
}

// Scope says how often a check or an ask comes up on one bore.
type Scope string

// The scopes.
const (
	PerBore      Scope = ""          // once
	PerFrequency Scope = "frequency" // once for each downhole frequency
	PerCrossing  Scope = "crossing"  // once for each crossed line
)

// Gate says what a check stands in front of.
type Gate string

// The gates.
const (
	GateRelease Gate = "release" // ready to drill
	GateClose   Gate = "close"   // the bore is finished
	// GateDrilling checks are made while drilling. They stand in front of nothing,
	// but one that fails takes the release away. On a new release they are made anew.
	GateDrilling Gate = "drilling"
)

// Source is where a rule comes from. Status is "" for a published text that was
// read, or "from memory", or "common practice, no source", or "chosen".
type Source struct {
	Name   string
	Ref    string
	Status string
}

// Check is one rule: one Rego package.
type Check struct {
	ID       string // "ground.metal_baseline"
	Area     string // "ground"
	Layer    string // "base", or the code of a local pack
	Title    Text   // what holds when it passes
	Stop     Text   // what does not hold, by how much
	Why      Text   // the reason, in about two sentences
	Remedy   Text   // the one thing to do next
	Good     Text   // what to say when it passes, with the numbers; may be empty
	Sources  []Source
	Each     Scope
	Guards   Scope // the check that fails when there is no item of this scope
	Gate     Gate
	Waivable bool
	Order    int
	Asks     []Ask // asks it introduces, in order

	ExemptReads []string // leaves that its exempt rule can read
	PassReads   []string // leaves that its pass rule can read
	Params      []string // limits it reads, "ground.standoff_um"
	Digest      string   // hash of the rules and limits it reads
	File        string
}

// Ask is one question.
type Ask struct {
	ID        string // "metal_distance"
	Check     string // the check that introduces it
	Scope     Scope
	Kind      quantity.Kind
	Unit      string // unit that a bare number would be in, "ft"
	Min, Max  *quantity.Value
	Soft      bool // outside Min..Max: ask first; otherwise refuse
	Options   []AskOption
	Who       []string      // roles that may answer; empty: everybody on the crew
	Carry     string        // "gear" or "place": offered from an earlier bore
	Together  string        // asks with the same word are asked in one message
	GoodFor   time.Duration // 0: until it is changed
	RedoAfter []string      // events after which it must be given again
	Means     string        // the event that changing its value amounts to
	Ends      bool          // a release ends at this time, or with this day
	Label     Text          // a few words for lists: "nearest metal"; may be empty
	Prompt    Text
	Lead      Text // on the first ask of a Together: the question for all of them
}

// Name is the ask in a few words, for lists.
func (a *Ask) Name(lang string) string {
	if s := a.Label.In(lang); s != "" {
		return s
	}
	return a.Prompt.In(lang)
}

// AskOption is one choice.
type AskOption struct {
	ID    string
	Label Text
	Words []string // further words that mean it
}

// Param is one number that a safety manager may change.
type Param struct {
	Path     string // as rules read it: "ground.standoff_um"
	Name     string // as people know it: "ground.standoff"
	Title    Text   // "metal from the baseline"; empty in packs from before limits had titles
	Value    quantity.Value
	Stricter string // "higher", "lower", or "" where there is no such order
	Fixed    bool
	Source   Source
	Reason   Text
	Pack     string         // the layer that gave the value; "" or "base" for the base
	Base     quantity.Value // the value in the base; not valid where that is Value itself
}

// Catalogue is everything a revision of the rules says, ready to look up. It
// is never changed after it was made.
type Catalogue struct {
	Revision string   // hash of all packs, capabilities, schemas and the engine's version
	Engine   string   // rule engine and version
	Packs    []byte   // the exact bytes of all packs, to be kept with the ledger
	Checks   []*Check // in the order of the job
	Asks     []*Ask   // in the order they are asked
	Params   []*Param

	Place     string     // the jurisdiction of the narrowest local pack; "" without one
	Day       int64      // the first day on which these are the rules of Place; 0: no earlier ones
	OnPublish string     // PublishKeep or PublishRecheck; "" means keep
	Layers    []Layer    // base first, the narrowest last
	Loose     []Loosened // what local packs make less strict on that day
	Ended     []Loosened // what they made less strict until a day before it
	Retired   []Retired
	Notices   []Text // what a crew must be told of these rules, such as a width that wants verifying

	check map[string]*Check
	ask   map[string]*Ask
	param map[string]*Param
	rank  map[string]int      // ask id -> place in Asks
	reads map[string][]*Check // leaf -> checks that can read it, directly or through a derived value

	exempt map[string]map[string]bool // check id -> leaves that its exempt rule can read, in the same way
}

// Target is one check on one subject: "" for the bore, a frequency's exact
// hertz, or a crossing's name.
type Target struct {
	Check   *Check
	Subject string
}

// Facts is what a check may see of its subject.
type Facts interface {
	// Value gives the value of a leaf such as "metal_distance",
	// "frequency.near_reading", "derived.battery_needed_s" or
	// "clock.today": an int64 in base units, a bool, a string, or a slice of
	// int64 or string. Where it is not known yet, missing lists the fact keys
	// still to be given. An error means that it can never be known as things
	// stand: the check is broken.
	Value(leaf string) (v any, missing []string, err error)
}

// Evaluator is the rules. One value is one revision and never changes.
type Evaluator interface {
	// Catalogue is what the rules say.
	Catalogue() *Catalogue
	// Evaluate gives the finding of each target, in order. It never fails:
	// whatever is odd is Broken.
	Evaluate(ctx context.Context, targets []Target, facts func(subject Target) Facts) []Finding
	// Confirm is Evaluate by a second route through the rule engine, for the
	// moment before a release.
	Confirm(ctx context.Context, targets []Target, facts func(subject Target) Facts) []Finding
}

// NewCatalogue indexes what a rule set has read. It expects checks in their
// final order and refuses nothing: the reader of the rules has done that.
func NewCatalogue(revision, engineName string, packs []byte, checks []*Check, params []*Param) *Catalogue {
	c := &Catalogue{
		Revision: revision, Engine: engineName, Packs: packs, Checks: checks, Params: params,
		check: map[string]*Check{}, ask: map[string]*Ask{}, param: map[string]*Param{},
		rank: map[string]int{}, reads: map[string][]*Check{}, exempt: map[string]map[string]bool{},
	}
	for _, p := range params {
		c.param[p.Path] = p
	}
	for _, ch := range checks {
		c.check[ch.ID] = ch
		for i := range ch.Asks {
			a := &ch.Asks[i]
			c.ask[a.ID], c.rank[a.ID] = a, len(c.Asks)
			c.Asks = append(c.Asks, a)
		}
	}
	for _, ch := range checks {
		c.indexReads(ch)
	}
	return c
}

func (c *Catalogue) indexReads(ch *Check) {
	seen := map[string]bool{}
	var add func(leaf string)
	add = func(leaf string) {
		if seen[leaf] {
			return
		}
		seen[leaf] = true
		c.reads[leaf] = append(c.reads[leaf], ch)
		for _, r := range readsOf(leaf) {
			add(bareLeaf(r))
		}
	}
	for _, leaf := range ch.ExemptReads {
		add(leaf)
	}
	c.exempt[ch.ID] = maps.Clone(seen)
	for _, leaf := range ch.PassReads {
		add(leaf)
	}
}

// Check looks a check up by id.
func (c *Catalogue) Check(id string) (*Check, bool) { ch, ok := c.check[id]; return ch, ok }

// Ask looks an ask up by id.
func (c *Catalogue) Ask(id string) (*Ask, bool) { a, ok := c.ask[id]; return a, ok }

// Param looks a limit up by the path that rules read.
func (c *Catalogue) Param(path string) (*Param, bool) { p, ok := c.param[path]; return p, ok }

// Rank is the place of an ask in the order of the job.
func (c *Catalogue) Rank(ask string) int { return c.rank[ask] }

// Limits lists the limits that a check reads, also through computed values, so
// that nothing it judges is printed rounded onto one of them.
func (c *Catalogue) Limits(ch *Check) []quantity.Value {
	var all []quantity.Value
	for _, p := range c.ParamsOf(ch) {
		all = append(all, p.Value)
	}
	return all
}

// ParamsOf is Limits with their names and where they come from, by path.
func (c *Catalogue) ParamsOf(ch *Check) []*Param {
	paths := slices.Clone(ch.Params)
	for _, leaf := range slices.Concat(ch.ExemptReads, ch.PassReads) {
		if d, ok := derived(leaf); ok {
			paths = append(paths, d.params...)
		}
	}
	slices.Sort(paths)
	var all []*Param
	for _, path := range slices.Compact(paths) {
		if p, ok := c.param[path]; ok {
			all = append(all, p)
		}
	}
	return all
}

// order is the place of a check in the job; one that is no more comes last.
func (c *Catalogue) order(check string) int {
	if ch, ok := c.check[check]; ok {
		return ch.Order
	}
	return int(^uint(0) >> 1)
}

// ReadBy lists the checks that can read a leaf, also through a derived value.
func (c *Catalogue) ReadBy(leaf string) []*Check { return c.reads[leaf] }
