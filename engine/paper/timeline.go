package paper

import (
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// timeline is every record of the bore.
func (b *builder) timeline(d *Document) {
	d.Timeline = []Entry{}
	state := ""
	for _, r := range b.Records {
		e := b.entry(r)
		if r.State != "" && r.State != state {
			state, e.State = r.State, r.State
		}
		d.Timeline = append(d.Timeline, e)
	}
}

func (b *builder) entry(r ledger.Record) Entry {
	e := Entry{
		Record: r.Seq, At: r.At.UTC(), Kind: string(r.Kind), From: r.From, Event: r.Event, Why: r.Why, Void: r.Void, Files: len(r.Shown),
	}
	if r.By != nil {
		p := b.person(*r.By)
		e.By = &p
	}
	given := map[string]bool{}
	for _, f := range r.Facts {
		given[f.Key] = true
		e.Given = append(e.Given, b.given(f))
	}
	for _, key := range r.Drops {
		if !given[key] {
			e.Again = append(e.Again, b.keyLabel(key))
		}
	}
	if r.Moved != nil {
		e.Moved = r.Moved.Jurisdiction
	}
	if r.Check != "" {
		e.Rule = b.rule(r.Check)
	}
	if r.Kind != ledger.KindOpen {
		for _, key := range slices.Concat(r.Findings[string(engine.Fail)], r.Findings[string(engine.Broken)]) {
			e.Fails = append(e.Fails, b.rule(key))
		}
	}
	if r.Release != nil {
		until := r.Release.Until.UTC()
		e.Until = &until
	}
	return e
}

func (b *builder) given(f ledger.Fact) Given {
	v, err := quantity.Parse(quantity.Kind(f.Kind), f.Value, f.Items)
	if err != nil {
		return Given{b.keyLabel(f.Key), strings.TrimSpace(f.Value + " " + f.Unit)}
	}
	id, _ := engine.SplitKey(f.Key)
	var limits []quantity.Value
	if a, ok := b.Catalogue.Ask(id); ok {
		limits = b.readBy(a)
	}
	return Given{b.keyLabel(f.Key), b.shown(v, limits...)}
}

// keyLabel names a fact, by its key where the rules ask for it no more.
func (b *builder) keyLabel(key string) string {
	id, subject := engine.SplitKey(key)
	a, ok := b.Catalogue.Ask(id)
	if !ok {
		return key
	}
	return b.label(a, subject)
}
