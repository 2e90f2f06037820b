package engine

import (
	"context"
	"slices"
	"strings"
	"time"

	"firstrod/engine/ledger"
)

// targets lists every check on every subject of a bore, in the order of the job.
func targets(c *Catalogue, b *Bore) []Target {
	var all []Target
	for _, ch := range c.Checks {
		all = append(all, targetsOf(ch, b)...)
	}
	return all
}

// targetsOf lists a check's subjects. Where the list is not given yet there is
// one finding for the bore, which needs the list: never none at all.
func targetsOf(ch *Check, b *Bore) []Target {
	if ch.Each == PerBore {
		return []Target{{Check: ch}}
	}
	if _, ok := b.facts[listOf(ch.Each)]; !ok {
		return []Target{{Check: ch}}
	}
	var all []Target
	for _, s := range b.subjects(ch.Each) {
		all = append(all, Target{ch, s})
	}
	return all
}

// evaluateAll asks the rules about everything.
func (e *Engine) evaluateAll(ctx context.Context, l *live) {
	now := e.clock()
	l.targets = targets(l.rules.Catalogue(), l.bore)
	l.findings, l.seen = judge(ctx, l.rules, l.bore, now, l.targets), now
	l.judged = l.rules.Catalogue().Revision
}

// refresh asks the rules about what the passing of time may have changed.
func (e *Engine) refresh(ctx context.Context, l *live) {
	now := e.clock()
	if l.judged != l.rules.Catalogue().Revision {
		e.evaluateAll(ctx, l)
		return
	}
	for key, f := range judge(ctx, l.rules, l.bore, now, touched(l, l.bore, change{}, now)) {
		l.findings[key] = f
	}
	l.seen = now
}

// judge asks the rules about some targets and lets waivers count.
func judge(ctx context.Context, rules Evaluator, b *Bore, now time.Time, ts []Target) map[string]Finding {
	found := make(map[string]Finding, len(ts))
	var ask []Target
	for _, t := range ts {
		if t.Check.Each != PerBore && t.Subject == "" {
			f := Finding{Check: t.Check.ID, Status: Needs, Missing: []string{listOf(t.Check.Each)}}
			found[f.Key()] = f
			continue
		}
		ask = append(ask, t)
	}
	v := &view{bore: b, cat: rules.Catalogue(), now: now}
	for _, f := range rules.Evaluate(ctx, ask, v.of) {
		if _, ok := b.waivers[f.Key()]; ok && f.Status == Fail {
			f.Status = Waived
		}
		found[f.Key()] = f
	}
	return found
}

// touched lists the targets whose finding may differ after a change: the checks
// that can read what changed, on the subjects that it belongs to.
func touched(l *live, next *Bore, what change, now time.Time) []Target {
	c := l.rules.Catalogue()
	if l.bore.Rules != c.Revision || l.judged != c.Revision || listsDiffer(l.bore, next) {
		return targets(c, next)
	}
	seen := map[*Check]bool{}
	ts := slices.Clone(what.targets)
	add := func(leaf string) {
		for _, ch := range c.ReadBy(leaf) {
			if !seen[ch] {
				seen[ch] = true
				ts = append(ts, targetsOf(ch, next)...)
			}
		}
	}
	for leaf := range what.leaves {
		add(leaf)
	}
	for _, leaf := range agedLeaves(l, now) {
		add(leaf)
	}
	for _, leaf := range clockLeaves(l, now) {
		for _, ch := range c.ReadBy(leaf) {
			if !seen[ch] {
				seen[ch] = true
				ts = append(ts, slices.DeleteFunc(targetsOf(ch, next), func(t Target) bool { return c.waits(ch, l.findings[t.key()]) })...)
			}
		}
	}
	for _, t := range l.targets {
		// What was broken may have been a machine too busy to answer in time.
		if l.findings[t.key()].Status == Broken && !seen[t.Check] {
			ts = append(ts, t)
		}
	}
	if len(l.bore.signs) != len(next.signs) {
		for _, leaf := range Leaves() {
			if strings.HasPrefix(leaf.Name, "signing.") {
				add(leaf.Name)
			}
		}
	}
	return ts
}

// clockLeaves are the clock's own leaves that have moved.
func clockLeaves(l *live, now time.Time) []string {
	if Day(now, l.bore.Zone) != Day(l.seen, l.bore.Zone) {
		return []string{"clock.now", "clock.today"}
	}
	return []string{"clock.now"}
}

// waits says whether time alone cannot change a finding: it needs an answer, and no
// exemption can come by the clock before that.
func (c *Catalogue) waits(ch *Check, f Finding) bool {
	if f.Status != Needs || len(f.Missing) == 0 {
		return false
	}
	exempt := c.exempt[ch.ID]
	if !exempt["clock.now"] && !exempt["clock.today"] && !exempt["clock.verified"] {
		return true
	}
	// What exempt lacks is named first, and alone: it cannot be proved without.
	id, _ := SplitKey(f.Missing[0])
	a, ok := c.ask[id]
	return ok && exempt[leafOf(a)]
}

// agedLeaves are answers that have grown too old since the rules last looked.
func agedLeaves(l *live, now time.Time) []string {
	var leaves []string
	for _, g := range l.bore.facts {
		id, _ := SplitKey(g.Key)
		a, ok := l.rules.Catalogue().Ask(id)
		if !ok || a.GoodFor == 0 {
			continue
		}
		end := g.At.Add(a.GoodFor)
		if !end.Before(l.seen) && now.After(end) {
			leaves = append(leaves, leafOf(a))
		}
	}
	return leaves
}

// key is how records name the finding of a target.
func (t Target) key() string { return Key(t.Check.ID, t.Subject) }

func listsDiffer(a, b *Bore) bool {
	for _, s := range []Scope{PerFrequency, PerCrossing} {
		x, inA := a.facts[listOf(s)]
		y, inB := b.facts[listOf(s)]
		if inA != inB || inA && !x.Value.Equal(y.Value) {
			return true
		}
	}
	return false
}

// standing is the findings after a turn: the fresh ones over the old ones, for the
// subjects that there are now.
type standing struct {
	targets    []Target
	old, fresh map[string]Finding
}

// of is the finding of a target; one without a status was never judged.
func (s standing) of(t Target) Finding {
	key := t.key()
	if f, ok := s.fresh[key]; ok {
		return f
	}
	return s.old[key]
}

// gated lists the targets of a gate.
func (s standing) gated(gate Gate) []Target {
	return slices.DeleteFunc(slices.Clone(s.targets), func(t Target) bool { return t.Check.Gate != gate })
}

// note writes into a record which findings differ from what the ledger has.
func note(r *ledger.Record, recorded map[string]Status, now standing) {
	still := 0
	for _, t := range now.targets {
		key, f := t.key(), now.of(t)
		was, known := recorded[key]
		if known {
			still++
		}
		if known && was == f.Status {
			continue
		}
		if r.Findings == nil {
			r.Findings = map[string][]string{}
		}
		r.Findings[string(f.Status)] = append(r.Findings[string(f.Status)], key)
	}
	for _, keys := range r.Findings {
		slices.Sort(keys)
	}
	if still < len(recorded) {
		r.Gone = gone(recorded, now.targets)
	}
}

// gone lists recorded findings whose check or subject is no more.
func gone(recorded map[string]Status, ts []Target) []string {
	there := map[string]bool{}
	for _, t := range ts {
		there[t.key()] = true
	}
	var keys []string
	for key := range recorded {
		if !there[key] {
			keys = append(keys, key)
		}
	}
	slices.Sort(keys)
	return keys
}

// fails says whether a finding of a gate does not hold although everything that it
// reads is known.
func (s standing) fails(gate Gate) bool {
	return slices.ContainsFunc(s.targets, func(t Target) bool {
		status := s.of(t).Status
		return t.Check.Gate == gate && (status == Fail || status == Broken)
	})
}

// holds says whether every finding in front of a gate holds.
func (s standing) holds(gate Gate) bool {
	n := 0
	for _, t := range s.targets {
		if t.Check.Gate != gate {
			continue
		}
		n++
		if !s.of(t).Status.Holds() {
			return false
		}
	}
	return n > 0
}
