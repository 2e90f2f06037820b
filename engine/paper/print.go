package paper

import (
	"cmp"
	"regexp"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// blank is one place to fill in, in a text of the rules.
var blank = regexp.MustCompile(`\{[a-z0-9_.]+\}`)

// unknown stands where a value is not known.
const unknown = "?"

// shown is a value as people read it, never rounded across a limit.
func (b *builder) shown(v quantity.Value, limits ...quantity.Value) string {
	if v.Kind() == quantity.Choice {
		return b.choice(v.Str())
	}
	var same []quantity.Value
	for _, l := range limits {
		if l.Kind() == v.Kind() {
			same = append(same, l)
		}
	}
	return quantity.PrintIn(v, b.words.lang, b.Board.Zone, same...)
}

func (b *builder) choice(id string) string {
	for _, a := range b.Catalogue.Asks {
		for _, o := range a.Options {
			if o.ID == id {
				return o.Label.In(b.words.lang)
			}
		}
	}
	return id
}

// readBy are the limits of the rules that read an answer.
func (b *builder) readBy(a *engine.Ask) []quantity.Value {
	var all []quantity.Value
	for _, ch := range b.Catalogue.ReadBy(engine.LeafOf(a)) {
		all = append(all, b.Catalogue.Limits(ch)...)
	}
	return all
}

// label is an ask in a few words, with its frequency or crossing in front.
func (b *builder) label(a *engine.Ask, subject string) string {
	name := b.fill(engine.Text{b.words.lang: a.Name(b.words.lang)}, nil, subject)
	if subject == "" {
		return name
	}
	return b.item(a.Scope, subject) + ", " + name
}

// item is a frequency or a crossing as crews name it.
func (b *builder) item(scope engine.Scope, subject string) string {
	if scope != engine.PerFrequency {
		return subject
	}
	v, err := quantity.Parse(quantity.Frequency, subject, nil)
	if err != nil {
		return subject
	}
	return b.shown(v)
}

// rule is the title of a rule, with its frequency or crossing in front; its id for a
// rule that there is no more.
func (b *builder) rule(key string) string {
	id, subject := engine.SplitKey(key)
	ch, ok := b.Catalogue.Check(id)
	if !ok {
		return key
	}
	title := b.fill(ch.Title, ch, subject)
	if subject == "" {
		return title
	}
	return b.item(ch.Each, subject) + ": " + title
}

// fill puts values and limits into a text of the rules.
func (b *builder) fill(text engine.Text, ch *engine.Check, subject string) string {
	var limits []quantity.Value
	if ch != nil {
		limits = b.Catalogue.Limits(ch)
	}
	return blank.ReplaceAllStringFunc(text.In(b.words.lang), func(place string) string {
		name := place[1 : len(place)-1]
		if p, ok := strings.CutPrefix(name, "params."); ok {
			return b.limitNamed(p)
		}
		return b.known(name, subject, limits)
	})
}

func (b *builder) limitNamed(name string) string {
	for _, p := range b.Catalogue.Params {
		if p.Name == name {
			return b.shown(p.Value, p.Value)
		}
	}
	return unknown
}

// known is an answer, the item of a scope, or a computed value.
func (b *builder) known(name, subject string, limits []quantity.Value) string {
	scope, rest := engine.ScopeOf(name)
	switch {
	case name == string(engine.PerFrequency), name == string(engine.PerCrossing):
		return b.item(engine.Scope(name), subject)
	case strings.HasPrefix(rest, "derived."):
		leaf, ok := engine.LeafNamed(name)
		if q := b.derived(scope, subject, leaf.Name, limits...); ok && q != nil {
			return q.Shown
		}
		return unknown
	}
	key := rest
	if scope != engine.PerBore {
		key = engine.Key(rest, subject)
	}
	if g, ok := b.Board.Fact(key); ok {
		return b.shown(g.Value, limits...)
	}
	return unknown
}

// derived is a computed value, or nil. The error of a length is said to be short or
// long, as a locating hand does.
func (b *builder) derived(scope engine.Scope, subject, leaf string, limits ...quantity.Value) *Quantity {
	l, known := engine.LeafNamed(leaf)
	n, ok := b.Board.Derived(scope, subject, leaf)
	if !known || !ok {
		return nil
	}
	q := &Quantity{Base: n, Unit: l.Kind.Unit()}
	n = coarse(l.Kind, n, limits)
	if l.Kind != quantity.Length || !strings.HasSuffix(leaf, "_error_um") {
		q.Shown = b.shown(quantity.Of(l.Kind, n), limits...)
		return q
	}
	word := "length.long"
	switch {
	case n == 0:
		q.Shown = b.words.say("length.true")
		return q
	case n < 0:
		word, n = "length.short", -n
	}
	q.Shown = b.words.say(word, "length", b.shown(quantity.Of(l.Kind, n), limits...))
	return q
}

// coarse takes digits off a computed value that its own doubt does not bear, unless
// that would carry it across a limit: tenths of a decibel, eighths of an inch,
// hundredths of a percent.
func coarse(kind quantity.Kind, n int64, limits []quantity.Value) int64 {
	step := map[quantity.Kind]int64{quantity.Decibel: 100, quantity.Length: 3175, quantity.Percent: 100}[kind]
	if step == 0 {
		return n
	}
	rounded := (2*max(n, -n) + step) / (2 * step) * step
	if n < 0 {
		rounded = -rounded
	}
	for _, l := range limits {
		if l.Kind() == kind && cmp.Compare(n, l.Base()) != cmp.Compare(rounded, l.Base()) {
			return n
		}
	}
	return rounded
}
