package bot

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// place is one blank in a rule's text.
var place = regexp.MustCompile(`\{[a-z0-9_.]+\}`)

// unknown stands where a value is not known yet.
const unknown = "?"

// fill puts values and limits into a rule's text, in a person's language and
// both units, never rounded across a limit that the rule reads.
func (b *Bot) fill(r *room, text engine.Text, board *engine.Board, ch *engine.Check, subject string) string {
	limits := limits(board, ch)
	return place.ReplaceAllStringFunc(text.In(r.lang), func(blank string) string {
		name := blank[1 : len(blank)-1]
		if p, ok := strings.CutPrefix(name, "params."); ok {
			return b.limit(r, board, p)
		}
		return b.known(r, board, name, subject, limits)
	})
}

func limits(board *engine.Board, ch *engine.Check) []quantity.Value {
	if ch == nil {
		return nil
	}
	return board.Catalogue().Limits(ch)
}

func (b *Bot) limit(r *room, board *engine.Board, name string) string {
	for _, p := range board.Catalogue().Params {
		if roles, ok := b.roleList(r, p.Value); p.Name == name && ok {
			return roles
		}
		if p.Name == name {
			return b.print(r, board, p.Value, p.Value)
		}
	}
	return unknown
}

// roleList names roles as people call them; ok is false for a value that is no list of
// roles.
func (b *Bot) roleList(r *room, v quantity.Value) (string, bool) {
	var names []string
	for _, id := range v.Items() {
		if !slices.Contains(engine.Roles(), id) {
			return "", false
		}
		names = append(names, b.role(r, id))
	}
	return strings.Join(names, ", "), len(names) > 0
}

// known is an answer, the item of a scope, or a computed value.
func (b *Bot) known(r *room, board *engine.Board, name, subject string, limits []quantity.Value) string {
	scope, rest := engine.ScopeOf(name)
	switch {
	case name == string(engine.PerFrequency), name == string(engine.PerCrossing):
		return b.item(r, board, engine.Scope(name), subject)
	case strings.HasPrefix(rest, "derived."):
		return b.derived(r, board, scope, name, subject, limits)
	}
	key := rest
	if scope != engine.PerBore {
		key = engine.Key(rest, subject)
	}
	if g, ok := board.Fact(key); ok {
		return b.print(r, board, g.Value, limits...)
	}
	return unknown
}

// item names a frequency or a crossing as crews do.
func (b *Bot) item(r *room, board *engine.Board, scope engine.Scope, subject string) string {
	if scope != engine.PerFrequency {
		return subject
	}
	v, err := quantity.Parse(quantity.Frequency, subject, nil)
	if err != nil {
		return subject
	}
	return b.print(r, board, v)
}

// derived prints a computed value. The error of a length comes as short or
// long, which is how a locating hand says it.
func (b *Bot) derived(r *room, board *engine.Board, scope engine.Scope, name, subject string, limits []quantity.Value) string {
	leaf, ok := engine.LeafNamed(name)
	if !ok {
		return unknown
	}
	n, ok := board.Derived(scope, subject, leaf.Name)
	if !ok {
		return unknown
	}
	n = coarse(leaf.Kind, n, limits)
	if leaf.Kind != quantity.Length || !strings.HasSuffix(name, "_error") {
		return b.print(r, board, quantity.Of(leaf.Kind, n), limits...)
	}
	id := "length.long"
	switch {
	case n == 0:
		return b.say(r, "length.true", nil)
	case n < 0:
		id, n = "length.short", -n
	}
	return b.say(r, id, map[string]any{"Length": b.print(r, board, quantity.Of(leaf.Kind, n), limits...)})
}

// coarse takes digits off a computed value that its own doubt does not bear,
// unless that would carry it across a limit. Tenths of a decibel, sixteenths of
// an inch, hundredths of a percent.
func coarse(kind quantity.Kind, n int64, limits []quantity.Value) int64 {
	step := map[quantity.Kind]int64{quantity.Decibel: 100, quantity.Length: 3175, quantity.Percent: 100}[kind]
	if step == 0 {
		return n
	}
	rounded := (2*abs(n) + step) / (2 * step) * step
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

func abs(n int64) int64 { return max(n, -n) }

func (b *Bot) print(r *room, board *engine.Board, v quantity.Value, limits ...quantity.Value) string {
	if v.Kind() == quantity.Choice {
		return choice(r, board, v.Str())
	}
	var same []quantity.Value
	for _, l := range limits {
		if l.Kind() == v.Kind() {
			same = append(same, l)
		}
	}
	return quantity.PrintIn(v, r.lang, board.Zone, same...)
}

// choice is the label of a choice.
func choice(r *room, board *engine.Board, id string) string {
	for _, a := range board.Catalogue().Asks {
		for _, o := range a.Options {
			if o.ID == id {
				return o.Label.In(r.lang)
			}
		}
	}
	return id
}
