package engine

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"firstrod/engine/ledger"
)

// Report records that something happened while the bore was worked on. What the
// rules want again after it is dropped; a bore that was released is held.
func (e *Engine) Report(ctx context.Context, bore string, said Said, event, why string) (Turn, error) {
	if !slices.Contains(Events(), event) {
		return Turn{}, failure("event_unknown", "event", event)
	}
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	r := ledger.Record{Kind: ledger.KindReport, Event: event, Why: why}
	leaves := map[string]bool{"drilling." + event: true}
	interrupt(l, &r, leaves, event)
	return e.turn(ctx, l, said, r, change{leaves: leaves})
}

// Hold stops a bore by hand, at any time and by anybody. A hold without a reason
// holds all the same; [Engine.Reason] takes the reason afterwards.
func (e *Engine) Hold(ctx context.Context, bore string, said Said, why string) (Turn, error) {
	why = strings.TrimSpace(why)
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	r := ledger.Record{Kind: ledger.KindHold, Why: why, State: string(Held)}
	leaves := map[string]bool{}
	interrupt(l, &r, leaves, HoldEvent)
	return e.turn(ctx, l, said, r, change{leaves: leaves})
}

// Reason records why the last hold was called, where that was not said with it. It
// changes nothing else.
func (e *Engine) Reason(ctx context.Context, bore string, said Said, why string) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	why = strings.TrimSpace(why)
	switch {
	case l.bore.unsaid == 0:
		return Turn{}, failure("hold_explained")
	case why == "":
		return Turn{}, failure("hold_reason")
	}
	r := ledger.Record{Kind: ledger.KindReason, Why: why, Refers: []int64{l.bore.unsaid}}
	return e.turn(ctx, l, said, r, change{})
}

// interrupt drops what must be given again after an event, and turns a release
// into a hold.
func interrupt(l *live, r *ledger.Record, leaves map[string]bool, event string) {
	drop(l, r, leaves, nil, func(a *Ask, _ string) bool { return slices.Contains(a.RedoAfter, event) })
	slices.Sort(r.Drops)
	if l.bore.State == Released {
		r.Void, r.State = VoidReport, string(Held)
		if event == HoldEvent {
			r.Void = VoidHold
		}
	}
	if r.State == string(Held) {
		leaves["drilling.holds"] = true
	}
}

// Show records pictures or files as evidence. They change nothing else; their
// bytes must be on the shelf already.
func (e *Engine) Show(ctx context.Context, bore string, said Said, files ...ledger.File) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	if len(files) == 0 {
		return Turn{}, failure("nothing_given")
	}
	return e.turn(ctx, l, said, ledger.Record{Kind: ledger.KindShown, Shown: files}, change{})
}

// Move sets right in which jurisdiction a bore is. The rules there judge it from
// now on; a release that stands is void.
func (e *Engine) Move(ctx context.Context, bore string, said Said, jurisdiction string) (Turn, error) {
	if jurisdiction != "" && !ValidJurisdiction(jurisdiction) {
		return Turn{}, failure("jurisdiction_form", "code", jurisdiction)
	}
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	if l.bore.Jurisdiction == jurisdiction {
		return Turn{}, failure("jurisdiction_same", "code", jurisdiction)
	}
	r := ledger.Record{Kind: ledger.KindMoved, Moved: &ledger.Moved{Jurisdiction: jurisdiction}}
	if l.bore.State == Released {
		r.Void = VoidMoved
	}
	there := l.bore.clone()
	there.Jurisdiction, there.State = jurisdiction, Open
	if err := e.choose(ctx, l, there); err != nil {
		return Turn{}, err
	}
	return e.turn(ctx, l, said, r, change{})
}

// Undo takes the last answer back. Its facts are asked again; the record of
// what was said stays.
func (e *Engine) Undo(ctx context.Context, bore string, said Said) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	last, ok := l.bore.lastAnswer()
	if !ok {
		return Turn{}, failure("nothing_to_undo")
	}
	r := ledger.Record{Kind: ledger.KindUndo, Refers: []int64{last.seq}}
	leaves := map[string]bool{}
	for _, key := range last.keys {
		if _, ok := l.bore.facts[key]; ok {
			r.Drops = append(r.Drops, key)
			leaves[leafOfKey(l, key)] = true
		}
	}
	dropItems(l, &r, leaves)
	if l.bore.State == Released && guards(l, leaves) {
		r.Void = cmp.Or(e.lost(ctx, l), VoidUndo)
	}
	return e.turn(ctx, l, said, r, change{leaves: leaves})
}

// dropItems drops the facts of every item whose list goes.
func dropItems(l *live, r *ledger.Record, leaves map[string]bool) {
	for _, s := range []Scope{PerFrequency, PerCrossing} {
		if slices.Contains(r.Drops, listOf(s)) {
			drop(l, r, leaves, nil, func(a *Ask, _ string) bool { return a.Scope == s })
		}
	}
	slices.Sort(r.Drops)
}

// lastAnswer is the last answer of which something still stands.
func (b *Bore) lastAnswer() (answered, bool) {
	for a := b.last; a != nil; a = a.before {
		for _, key := range a.keys {
			if g, ok := b.facts[key]; ok && g.Seq == a.seq {
				return *a, true
			}
		}
	}
	return answered{}, false
}

// Waive lets one failing finding through, if its rule allows that at all, by a
// safety manager and with a reason. It lapses when a value behind it changes.
func (e *Engine) Waive(ctx context.Context, bore string, said Said, finding, why string) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	id, _ := SplitKey(finding)
	ch, ok := l.rules.Catalogue().Check(id)
	f, found := l.findings[finding]
	switch {
	case !ok || !found:
		return Turn{}, failure("rule_unknown", "rule", finding)
	case f.Status != Fail:
		return Turn{}, failure("rule_holds")
	case strings.TrimSpace(why) == "":
		return Turn{}, failure("waive_reason")
	case !ch.Waivable:
		return Turn{}, e.refuse(ctx, l, said, failure("waive_never", "rule", finding))
	case said.By.Role != RoleSafetyManager:
		return Turn{}, e.refuse(ctx, l, said, failure("waive_role"))
	}
	r := ledger.Record{Kind: ledger.KindWaive, Check: finding, Why: why}
	if l.bore.State == Released {
		r.Void = cmp.Or(e.lost(ctx, l), VoidWaiver)
	}
	_, subject := SplitKey(finding)
	return e.turn(ctx, l, said, r, change{targets: []Target{{ch, subject}}})
}

// Close ends a bore for good, once the closing rules hold.
func (e *Engine) Close(ctx context.Context, bore string, said Said) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	if !(standing{targets: l.targets, old: l.findings}).holds(GateClose) {
		return Turn{}, failure("closing_open")
	}
	r := ledger.Record{Kind: ledger.KindClose, State: string(Closed)}
	if l.bore.State == Released {
		r.Void = VoidClosed
	}
	return e.turn(ctx, l, said, r, change{})
}
