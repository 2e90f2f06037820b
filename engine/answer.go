package engine

import (
	"cmp"
	"context"
	"slices"

	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// Answer is one value for one fact key.
type Answer struct {
	Key   string // ask, or ask@subject
	Value quantity.Value
	Typed string // the words it was read from
	From  string // the bore it is carried over from, if it is
}

// Answer records one or more values that were given in one message, and what
// they change. On a released bore it voids the release.
func (e *Engine) Answer(ctx context.Context, bore string, said Said, answers ...Answer) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	if len(answers) == 0 {
		return Turn{}, failure("nothing_given")
	}
	for _, a := range answers {
		ask, err := checkAnswer(l, a)
		if err != nil {
			return Turn{}, err
		}
		if len(ask.Who) > 0 && !slices.Contains(ask.Who, said.By.Role) {
			return Turn{}, e.refuse(ctx, l, said, failure("not_your_ask", "ask", a.Key))
		}
	}
	r := ledger.Record{Kind: ledger.KindAnswer}
	leaves := map[string]bool{}
	for _, a := range answers {
		r.Facts = append(r.Facts, factOf(a))
		leaves[leafOfKey(l, a.Key)] = true
	}
	consequences(l, answers, &r, leaves)
	if l.bore.State == Released && guards(l, leaves) {
		r.Void = cmp.Or(e.lost(ctx, l), VoidAnswer) // it may have been void before anybody said anything
	}
	return e.turn(ctx, l, said, r, change{leaves: leaves})
}

// guards says whether a check in front of the release can read one of the leaves.
func guards(l *live, leaves map[string]bool) bool {
	for leaf := range leaves {
		for _, ch := range l.rules.Catalogue().ReadBy(leaf) {
			if ch.Gate == GateRelease {
				return true
			}
		}
	}
	return false
}

// working is a bore that is not closed, locked.
func (e *Engine) working(ctx context.Context, id string) (*live, error) {
	l, err := e.bore(ctx, id)
	if err != nil {
		return nil, err
	}
	if l.bore.State == Closed {
		l.mu.Unlock()
		return nil, failure("bore_closed", "bore", id)
	}
	return l, nil
}

// checkAnswer is the last fence before the rules: whatever passes here has the
// kind, the range and the subject that its ask wants.
func checkAnswer(l *live, a Answer) (*Ask, error) {
	id, subject := SplitKey(a.Key)
	ask, ok := l.rules.Catalogue().Ask(id)
	switch {
	case !ok:
		return nil, failure("ask_unknown", "ask", id)
	case !a.Value.Valid() || a.Value.Kind() != ask.Kind:
		return nil, failure("ask_kind", "ask", a.Key)
	case ask.Scope == PerBore && subject != "",
		ask.Scope != PerBore && !slices.Contains(l.bore.subjects(ask.Scope), subject):
		return nil, failure("ask_subject", "ask", a.Key)
	case !ask.Soft && !ask.inRange(a.Value):
		return nil, failure("ask_range", "ask", a.Key)
	case ask.Kind == quantity.Choice && !slices.ContainsFunc(ask.Options, func(o AskOption) bool { return o.ID == a.Value.Str() }):
		return nil, failure("ask_choice", "value", a.Value.Str(), "ask", a.Key)
	}
	return ask, nil
}

func (a *Ask) inRange(v quantity.Value) bool {
	if !v.Kind().Numeric() {
		return true
	}
	return (a.Min == nil || v.Rat().Cmp(a.Min.Rat()) >= 0) && (a.Max == nil || v.Rat().Cmp(a.Max.Rat()) <= 0)
}

func factOf(a Answer) ledger.Fact {
	kind := a.Value.Kind()
	unit := kind.Unit()
	if kind == quantity.Lengths || kind == quantity.Pitches {
		item, _ := kind.Item()
		unit = item.Unit() // of each reading
	}
	return ledger.Fact{
		Key: a.Key, Kind: string(kind), Typed: a.Typed, From: a.From,
		Value: a.Value.Exact(), Unit: unit, Items: a.Value.Items(),
	}
}

// leaf is what rules read for a fact key.
func leafOfKey(l *live, key string) string {
	id, _ := SplitKey(key)
	if a, ok := l.rules.Catalogue().Ask(id); ok {
		return leafOf(a)
	}
	return id
}

// consequences adds to a record what new answers undo: facts of items that left
// a list, and facts that must be given again because gear, frequency or power
// is another one now.
func consequences(l *live, answers []Answer, r *ledger.Record, leaves map[string]bool) {
	given := map[string]bool{}
	for _, a := range answers {
		given[a.Key] = true
	}
	for _, a := range answers {
		ask, _ := l.rules.Catalogue().Ask(askID(a.Key))
		old, had := l.bore.facts[a.Key]
		if !had || old.Value.Equal(a.Value) {
			continue
		}
		for _, s := range []Scope{PerFrequency, PerCrossing} {
			if ask.ID == listOf(s) {
				drop(l, r, leaves, given, func(k *Ask, subject string) bool {
					return k.Scope == s && !slices.Contains(a.Value.Items(), subject)
				})
			}
		}
		if ask.Means != "" {
			r.Event = ask.Means
			drop(l, r, leaves, given, func(k *Ask, _ string) bool {
				return slices.Contains(k.RedoAfter, ask.Means) && k.Means != ask.Means
			})
		}
	}
	slices.Sort(r.Drops)
	r.Drops = slices.Compact(r.Drops)
}

func askID(key string) string { id, _ := SplitKey(key); return id }

// drop takes facts off a bore: their keys go into the record, their leaves into
// what the rules must look at again.
func drop(l *live, r *ledger.Record, leaves, keep map[string]bool, which func(a *Ask, subject string) bool) {
	for key := range l.bore.facts {
		id, subject := SplitKey(key)
		a, ok := l.rules.Catalogue().Ask(id)
		if !ok || keep[key] || !which(a, subject) {
			continue
		}
		r.Drops = append(r.Drops, key)
		leaves[leafOf(a)] = true
	}
}
