package engine

import (
	"slices"
	"time"

	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// State is where a bore stands, as recorded.
type State string

// The states.
const (
	Open     State = "open"     // values are being given
	Released State = "released" // ready to drill
	Held     State = "held"     // released no more, until two people sign again
	Closed   State = "closed"   // finished for good
)

// States lists them.
func States() []State { return []State{Open, Released, Held, Closed} }

// Given is one fact as it stands on a bore.
type Given struct {
	Key   string // ask, or ask@subject
	Value quantity.Value
	Typed string // the words it was read from
	From  string // the bore it was carried over from
	At    time.Time
	Seq   int64
	By    ledger.Actor
}

// Signature is one signature that stands on a bore.
type Signature struct {
	By    ledger.Actor
	At    time.Time
	Seq   int64
	Input string // digest of what was signed
}

// Waiver lets one failing finding through.
type Waiver struct {
	By  ledger.Actor
	Why string
	At  time.Time
	Seq int64
}

// Bore is one crossing being drilled, as its records tell it. It is rebuilt
// by folding them in order; nothing about a bore is kept anywhere else.
type Bore struct {
	ID, Title, Place string
	Zone             *time.Location
	Ver              int64 // records so far
	Seq              int64 // the last one
	State            State
	Rules            string // revision the findings were made with
	Jurisdiction     string // whose codes hold; "": the base alone

	facts    map[string]*Given // a Given in place is never changed
	recorded map[string]Status // findings as the ledger has them
	events   []event           // everything reported, in order
	holds    int
	last     *answered // for taking the last one back
	signs    []Signature
	waivers  map[string]Waiver
	release  *ledger.Release
	since    int64  // the record of the last release, whether it stands or not
	why      string // of the last hold, waiver or void
	unsaid   int64  // the last hold, if nobody has said yet why
	shown    []ledger.File
	voided   string
	voidedAt int64    // the record that did it
	reading  *reading // shared by many bores that are folded one after the other; else nil
}

// event is one thing that was reported.
type event struct {
	name string
	seq  int64
}

// answered is one answer that can still be taken back, and the one before it. It
// is never changed, so that states of a bore can share it.
type answered struct {
	seq    int64
	keys   []string
	before *answered
}

func newBore(id string) *Bore {
	return &Bore{
		ID: id, Zone: time.UTC, State: Open,
		facts: map[string]*Given{}, recorded: map[string]Status{}, waivers: map[string]Waiver{},
	}
}

// apply folds one more record in. It must not fail and must not look at
// anything but the record: the ledger was checked when it was written.
func (b *Bore) apply(r *ledger.Record) error {
	if r.Open != nil {
		if err := b.opened(r.Open); err != nil {
			return err
		}
	}
	b.Ver, b.Seq = r.Ver, r.Seq
	if r.Rules != "" {
		b.Rules = r.Rules
	}
	if err := b.applyFacts(r); err != nil {
		return err
	}
	b.applyFindings(r)
	if r.Void != "" {
		b.release, b.voided, b.voidedAt, b.signs, b.why = nil, r.Void, r.Seq, nil, ""
	}
	b.applyKind(r)
	if r.Release != nil {
		b.release, b.voided, b.voidedAt, b.since = r.Release, "", 0, r.Seq
	}
	if r.State != "" {
		b.State = State(r.State)
	}
	return nil
}

func (b *Bore) opened(o *ledger.Opening) error {
	zone, err := b.reading.zone(o.Zone)
	if err != nil {
		return &Error{Kind: Damaged, Say: "the record that opens bore " + b.ID + " names an unknown time zone", Err: err}
	}
	b.Title, b.Place, b.Zone, b.Jurisdiction = o.Title, o.Place, zone, o.Jurisdiction
	return nil
}

func (b *Bore) applyFacts(r *ledger.Record) error {
	for _, key := range r.Drops {
		delete(b.facts, key)
	}
	var keys []string
	for _, f := range r.Facts {
		v, err := b.reading.value(f.Kind, f.Value, f.Items)
		if err != nil {
			return &Error{Kind: Damaged, Say: "a record of bore " + b.ID + " holds a value that cannot be read", Err: err}
		}
		g := &Given{Key: f.Key, Value: v, Typed: f.Typed, From: f.From, At: r.At, Seq: r.Seq}
		if r.By != nil {
			g.By = *r.By
		}
		b.facts[f.Key] = g
		keys = append(keys, f.Key)
	}
	if len(keys) > 0 {
		b.last = &answered{r.Seq, keys, b.last}
	}
	if len(keys)+len(r.Drops) > 0 && State(r.State) != Released {
		// Signatures are on the facts as they were. A release that stands was
		// given a fact that no rule in front of it reads, for the closing.
		b.signs = nil
	}
	return nil
}

func (b *Bore) applyFindings(r *ledger.Record) {
	for status, keys := range r.Findings {
		for _, k := range keys {
			b.recorded[k] = Status(status)
			if Status(status) != Waived {
				delete(b.waivers, k)
			}
		}
	}
	for _, k := range r.Gone {
		delete(b.recorded, k)
		delete(b.waivers, k)
	}
}

func (b *Bore) applyKind(r *ledger.Record) {
	switch r.Kind {
	case ledger.KindReport:
		b.signs, b.why = nil, r.Why
	case ledger.KindHold:
		b.signs, b.why, b.unsaid = nil, r.Why, 0
		if r.Why == "" {
			b.unsaid = r.Seq
		}
	case ledger.KindReason:
		b.why, b.unsaid = r.Why, 0
	case ledger.KindRechecked:
		b.why = r.Why
	case ledger.KindShown:
		b.shown = append(slices.Clip(b.shown), r.Shown...)
	case ledger.KindMoved:
		b.Jurisdiction, b.signs = r.Moved.Jurisdiction, nil
	case ledger.KindUndo:
		if b.last != nil {
			b.last = b.last.before
		}
	case ledger.KindWaive:
		b.waivers[r.Check] = Waiver{By: *r.By, Why: r.Why, At: r.At, Seq: r.Seq}
		b.signs = nil
	case ledger.KindSign:
		// Whoever signed something else, say under other rules, did not sign this.
		b.signs = slices.DeleteFunc(b.signs, func(s Signature) bool { return s.Input != r.Sign.Input })
		b.signs = append(b.signs, Signature{By: *r.By, At: r.At, Seq: r.Seq, Input: r.Sign.Input})
	}
	happened := r.Kind == ledger.KindReport || r.Void == VoidReport
	if happened {
		b.events = append(b.events, event{r.Event, r.Seq})
	}
	if (happened || r.Kind == ledger.KindHold) && State(r.State) == Held {
		b.holds++
	}
}

// settle puts the true number of the record that was applied last where the
// expected one stood.
func (b *Bore) settle(r *ledger.Record, expected int64) {
	b.Seq = r.Seq
	for _, f := range r.Facts {
		b.facts[f.Key].Seq = r.Seq
	}
	if b.unsaid == expected {
		b.unsaid = r.Seq
	}
	if b.since == expected {
		b.since = r.Seq
	}
	if b.voidedAt == expected {
		b.voidedAt = r.Seq
	}
	if b.last != nil && b.last.seq == expected {
		b.last = &answered{r.Seq, b.last.keys, b.last.before}
	}
	if n := len(b.events); n > 0 && b.events[n-1].seq == expected {
		b.events[n-1].seq = r.Seq
	}
	if n := len(b.signs); n > 0 && b.signs[n-1].Seq == expected {
		b.signs[n-1].Seq = r.Seq
	}
	if w, ok := b.waivers[r.Check]; ok && w.Seq == expected {
		w.Seq = r.Seq
		b.waivers[r.Check] = w
	}
}

// Fact gives a value that stands on the bore.
func (b *Bore) Fact(key string) (Given, bool) {
	if g, ok := b.facts[key]; ok {
		return *g, true
	}
	return Given{}, false
}

// Facts lists everything that stands on the bore, by key.
func (b *Bore) Facts() []Given {
	all := make([]Given, 0, len(b.facts))
	for _, g := range b.facts {
		all = append(all, *g)
	}
	slices.SortFunc(all, func(x, y Given) int { return compare(x.Key, y.Key) })
	return all
}

// eventCounts counts what was reported, by name.
func (b *Bore) eventCounts() map[string]int {
	n := map[string]int{}
	for _, e := range b.events {
		n[e.name]++
	}
	return n
}

// subjects lists the items of a scope: the bore itself, its frequencies, or
// its crossings, as given so far.
func (b *Bore) subjects(s Scope) []string {
	if s == PerBore {
		return []string{""}
	}
	g, ok := b.facts[listOf(s)]
	if !ok {
		return nil
	}
	return g.Value.Items()
}

func compare(x, y string) int {
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}
