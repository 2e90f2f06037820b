package engine

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"firstrod/engine/ledger"
)

// recheck holds every release that stands against rules that came into force since it
// was given, where these ask for that, and takes those away that they do not let
// stand. Each is a record of its own, by whoever published: a release that only looked
// void could stand again once other rules come, and nobody would have signed it.
func (e *Engine) recheck(ctx context.Context) error {
	wanted := func(place string) bool { return e.Catalogue(place).OnPublish == PublishRecheck }
	if !slices.ContainsFunc(e.Places(), wanted) {
		return nil
	}
	lines, err := e.store.Bores(ctx, 0)
	if err != nil {
		return err
	}
	e.rules.mu.Lock()
	last := e.rules.newest
	e.rules.mu.Unlock()
	for _, line := range lines {
		if line.State == string(Released) && line.Last < last.Seq {
			err = errors.Join(err, e.recheckOne(ctx, line.Bore, last))
		}
	}
	return err
}

func (e *Engine) recheckOne(ctx context.Context, id string, last ledger.Record) error {
	// Many a bore is never closed, and its last release ran out long ago.
	if b, err := e.read(ctx, id); err != nil || b.State != Released || e.over(b) {
		return err
	}
	l, err := e.bore(ctx, id)
	if err != nil {
		return err
	}
	defer l.mu.Unlock()
	if l.rules.Catalogue().OnPublish != PublishRecheck || e.lost(ctx, l) != VoidRules {
		return nil
	}
	said := Said{From: "publication", Key: fmt.Sprintf("recheck:%s:%d", id, last.Seq)}
	if last.By != nil {
		said.By = *last.By
	}
	r := ledger.Record{Kind: ledger.KindRechecked, Void: VoidRules, Why: last.Why, Refers: []int64{last.Seq}}
	_, err = e.turn(ctx, l, said, r, change{})
	return err
}

// lost says why a release that is not over by itself stands no longer; it is empty
// where it stands, or where there is none.
func (e *Engine) lost(ctx context.Context, l *live) string {
	if l.bore.State != Released || e.over(l.bore) {
		return ""
	}
	e.refresh(ctx, l)
	if (standing{targets: l.targets, old: l.findings}).holds(GateRelease) {
		return ""
	}
	return voidBy(l)
}

// voidBy is the reason where a rule does not hold any more: other rules than the
// release was given under, or the same.
func voidBy(l *live) string {
	if l.bore.Rules != l.rules.Catalogue().Revision {
		return VoidRules
	}
	return VoidRule
}
