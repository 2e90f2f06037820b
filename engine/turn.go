package engine

import (
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"firstrod/engine/ledger"
)

// Turn is what one call did.
type Turn struct {
	Record   ledger.Record // as written; zero when Repeated
	Receipt  ledger.Receipt
	Changed  []Change // findings that this turn changed, in the order of the job
	Void     string   // why a release that stood holds no longer
	Board    Board    // how the bore stands now
	Repeated bool     // the same delivery came before; nothing was written
	NewRules bool     // the bore was judged by other rules until now
}

// Change is a finding and what it was before.
type Change struct {
	Finding
	Was Status
}

// Why a release holds no longer, as records spell it.
const (
	VoidAnswer   = "answer_changed"
	VoidUndo     = "answer_taken_back"
	VoidReport   = "reported" // the record's event says what
	VoidHold     = "hold"     // the record's reason says why
	VoidWaiver   = "waiver_given"
	VoidTimeOver = "time_over"
	VoidRule     = "rule_fails"
	VoidRules    = "rules_changed" // other rules came into force that did not let it stand
	VoidClosed   = "closed"
	VoidMoved    = "jurisdiction_changed"
)

// Voids lists the reasons, so that a front end can prove it has words for each.
func Voids() []string {
	return []string{VoidAnswer, VoidUndo, VoidReport, VoidHold, VoidWaiver, VoidTimeOver, VoidRule, VoidRules, VoidClosed, VoidMoved}
}

// change is what a turn may have moved: leaves that rules read, and targets to
// look at again whatever they read.
type change struct {
	leaves  map[string]bool
	targets []Target
}

// turn is the one road into the ledger for everything that happens on a bore.
// It previews the next state, asks the rules about what the changed leaves can
// touch, appends one record, and only then makes the next state the present.
func (e *Engine) turn(ctx context.Context, l *live, said Said, r ledger.Record, c change) (Turn, error) {
	now := e.clock().UTC()
	e.complete(&r, l, said, now)
	if err := e.enforceFor(ctx, l, &r, now); err != nil {
		return Turn{}, err
	}
	next, found, err := e.preview(ctx, l, r, c, now)
	if err != nil {
		return Turn{}, err
	}
	if r.State == string(Released) && found.fails(GateDrilling) {
		// The depth is not what it is shown to be: the release is taken away.
		failedCheck(l, &r, &c)
		if next, found, err = e.preview(ctx, l, r, c, now); err != nil {
			return Turn{}, err
		}
	}
	if r.State == string(Released) && !found.holds(GateRelease) {
		// Time, or another revision of the rules, has taken the ground from under
		// the release.
		r.Void, r.State = voidBy(l), string(Open)
		if next, found, err = e.preview(ctx, l, r, c, now); err != nil {
			return Turn{}, err
		}
	}
	note(&r, l.bore.recorded, found)
	return e.append(ctx, l, r, next, found, nil)
}

// failedCheck makes of a record one that holds the bore for a failed depth check.
// What was read in the check itself stays.
func failedCheck(l *live, r *ledger.Record, c *change) {
	given := map[string]bool{}
	for _, f := range r.Facts {
		given[f.Key] = true
	}
	r.Event, r.Void, r.State = FailedCheck, VoidReport, string(Held)
	if c.leaves == nil {
		c.leaves = map[string]bool{}
	}
	c.leaves["drilling."+FailedCheck], c.leaves["drilling.holds"] = true, true
	drop(l, r, c.leaves, given, func(a *Ask, _ string) bool { return slices.Contains(a.RedoAfter, FailedCheck) })
	slices.Sort(r.Drops)
	r.Drops = slices.Compact(r.Drops)
}

// preview is the bore and its findings as they would be after a record.
func (e *Engine) preview(ctx context.Context, l *live, r ledger.Record, c change, now time.Time) (*Bore, standing, error) {
	next := l.bore.clone()
	lapseWaivers(l.rules.Catalogue(), next, c.leaves)
	if err := next.apply(&r); err != nil {
		return nil, standing{}, err
	}
	fresh := judge(ctx, l.rules, next, now, touched(l, next, c, now))
	if err := ctx.Err(); err != nil {
		return nil, standing{}, err // a cancelled look at the rules makes everything broken
	}
	ts := l.targets
	if ts == nil || listsDiffer(l.bore, next) || l.bore.Rules != next.Rules || l.judged != next.Rules {
		ts = targets(l.rules.Catalogue(), next)
	}
	return next, standing{ts, l.findings, fresh}, nil
}

// append writes a record whose findings are settled, and then makes the state
// after it the present.
func (e *Engine) append(ctx context.Context, l *live, r ledger.Record, next *Bore, found standing, blobs [][]byte) (Turn, error) {
	receipt, err := e.store.Append(context.WithoutCancel(ctx), ledger.Entry{Record: r, Blobs: blobs})
	if err != nil {
		return Turn{}, e.afterFailure(l, err)
	}
	if receipt.Repeated {
		return Turn{Receipt: receipt, Repeated: true, Board: e.board(l)}, nil
	}
	expected := r.Seq
	r.Seq = receipt.Seq
	changed := changes(l, r)
	next.settle(&r, expected)
	next.applyFindings(&r)
	moved := l.bore.Ver > 0 && l.bore.Rules != next.Rules
	l.bore, l.seen = next, r.At
	l.take(found)
	l.judged = next.Rules
	return Turn{Record: r, Receipt: receipt, Changed: changed, Void: r.Void, Board: e.board(l), NewRules: moved}, nil
}

// take makes findings those of the bore. Where the list of targets is the same,
// only the fresh ones are put over the old.
func (l *live) take(found standing) {
	if len(l.targets) > 0 && len(found.targets) == len(l.targets) && &found.targets[0] == &l.targets[0] {
		for key, f := range found.fresh {
			l.findings[key] = f
		}
		return
	}
	all := make(map[string]Finding, len(found.targets))
	for _, t := range found.targets {
		all[t.key()] = found.of(t)
	}
	l.targets, l.findings = found.targets, all
}

// afterFailure forgets what is in memory where the ledger may have moved on, so
// that the next turn starts from the records.
func (e *Engine) afterFailure(l *live, err error) error {
	id := l.bore.ID
	if KindOf(err) == Conflict {
		l.bore = nil
		e.forget(id)
		moved := failure("bore_moved", "bore", id)
		moved.Err = err
		return moved
	}
	return err
}

// complete fills in what every record of a bore has in common.
func (e *Engine) complete(r *ledger.Record, l *live, said Said, now time.Time) {
	by, b := said.By, l.bore
	if by != (ledger.Actor{}) { // rules that came with the program are nobody's
		r.By = &by
	}
	r.V, r.Bore, r.Ver = 1, b.ID, b.Ver+1
	r.Seq = b.Seq + 1 // at least; the store gives the true one
	r.At, r.From, r.Lang, r.Typed, r.Key = now, said.From, said.Lang, said.Typed, said.Key
	r.Rules = l.rules.Catalogue().Revision
	if r.State == "" {
		r.State = string(b.State)
	}
	if b.State != Released || r.Release != nil {
		return
	}
	if b.release != nil && now.After(b.release.Until) {
		r.Void = VoidTimeOver
		r.State = stateAfterVoid(r.State)
	} else if r.Void != "" {
		r.State = stateAfterVoid(r.State)
	}
}

// stateAfterVoid is where a bore stands that was released until now.
func stateAfterVoid(wanted string) string {
	if wanted == string(Released) {
		return string(Open)
	}
	return wanted
}

// lapseWaivers: a waiver was given for values as they were.
func lapseWaivers(c *Catalogue, b *Bore, leaves map[string]bool) {
	if len(b.waivers) == 0 {
		return
	}
	for leaf := range leaves {
		for _, ch := range c.ReadBy(leaf) {
			for key := range b.waivers {
				if id, _ := SplitKey(key); id == ch.ID {
					delete(b.waivers, key)
				}
			}
		}
	}
}

// changes lists what a record changes, in the order of the job.
func changes(l *live, r ledger.Record) []Change {
	var all []Change
	for status, keys := range r.Findings {
		for _, key := range keys {
			id, subject := SplitKey(key)
			all = append(all, Change{Finding{Check: id, Subject: subject, Status: Status(status)}, l.bore.recorded[key]})
		}
	}
	c := l.rules.Catalogue()
	slices.SortFunc(all, func(a, b Change) int {
		if d := c.order(a.Check) - c.order(b.Check); d != 0 {
			return d
		}
		return compare(a.Subject, b.Subject)
	})
	return all
}

func (b *Bore) clone() *Bore {
	c := *b
	c.facts, c.recorded = maps.Clone(b.facts), maps.Clone(b.recorded)
	c.events, c.waivers = slices.Clone(b.events), maps.Clone(b.waivers)
	c.signs = slices.Clone(b.signs)
	return &c
}

// refuse records that somebody tried what they may not do, and says so.
func (e *Engine) refuse(ctx context.Context, l *live, said Said, refusal *Error) error {
	r := ledger.Record{Kind: ledger.KindRefused, Why: refusal.Say}
	if _, err := e.turn(ctx, l, said, r, change{}); err != nil {
		return errors.Join(refusal, err)
	}
	return refusal
}
