package engine

import (
	"context"
	"time"
)

// contrast is one decision under two sets of rules.
type contrast struct {
	decision
	old, candidate Evaluator
	plan           *plan
	tally          *tally

	pairs      []pair
	asked      int
	was, would standingAt
}

// pair is one finding by the old rules and by the candidate. check is the
// candidate's, or the old one where the candidate has none; a status is "" where
// its rules have no such finding.
type pair struct {
	check   *Check
	subject string
	was, is Finding
}

// standingAt is what stands in the way of a release, by one set of rules.
type standingAt struct {
	n       int      // findings in front of it
	stops   []string // those that do not hold
	wants   bool     // each of them only needs something
	missing []string // what they need; not known of findings on record
}

func (s *standingAt) ready() bool { return s.n > 0 && len(s.stops) == 0 }

// find gets every finding: from the record where that has it, and otherwise from
// the rules.
func (c *contrast) find(ctx context.Context) {
	believe := c.plan.believed
	var ask []Target
	at := map[string]int{}
	for _, ch := range c.plan.same {
		for _, t := range targetsOf(ch, c.bore) {
			if s, ok := c.recorded(t, believe); ok {
				c.weigh(t.Check, Finding{Check: ch.ID, Subject: t.Subject, Status: s}, &c.was, &c.would)
				continue
			}
			ask = append(ask, t)
		}
	}
	for _, f := range c.judge(ctx, c.candidate, ask) {
		ch, _ := c.plan.candidate.Check(f.Check)
		c.weigh(ch, f, &c.was, &c.would)
	}
	c.fresh(ctx, at)
	c.stale(ctx, at)
	for i := range c.pairs {
		p := &c.pairs[i]
		if ch, ok := c.plan.old.Check(p.check.ID); ok && p.was.Status != "" {
			c.weigh(ch, p.was, &c.was)
		}
		if p.is.Status != "" {
			c.weigh(p.check, p.is, &c.would)
		}
	}
}

// fresh asks the candidate about what it judges differently.
func (c *contrast) fresh(ctx context.Context, at map[string]int) {
	var ask []Target
	for _, ch := range c.plan.changed {
		ask = append(ask, targetsOf(ch, c.bore)...)
	}
	for i, f := range c.judge(ctx, c.candidate, ask) {
		at[f.Key()] = len(c.pairs)
		c.pairs = append(c.pairs, pair{check: ask[i].Check, subject: f.Subject, is: f})
	}
}

// stale is what the old rules find about the same, and about checks that the
// candidate has no more.
func (c *contrast) stale(ctx context.Context, at map[string]int) {
	var ask []Target
	put := func(t Target, f Finding) {
		if i, ok := at[f.Key()]; ok {
			c.pairs[i].was = f
			return
		}
		c.pairs = append(c.pairs, pair{check: t.Check, subject: f.Subject, was: f})
	}
	for _, ch := range c.plan.was {
		for _, t := range targetsOf(ch, c.bore) {
			if s, ok := c.recorded(t, c.plan.believed); ok {
				put(t, Finding{Check: ch.ID, Subject: t.Subject, Status: s})
				continue
			}
			ask = append(ask, t)
		}
	}
	for i, f := range c.judge(ctx, c.old, ask) {
		put(ask[i], f)
	}
}

// recorded is the finding on record. One that was broken may have been a machine
// too busy to answer in time.
func (c *contrast) recorded(t Target, believe map[string]bool) (Status, bool) {
	if !believe[t.Check.ID] {
		return "", false
	}
	s, ok := c.bore.recorded[t.key()]
	return s, ok && s != Broken
}

// judge asks one set of rules, in the order of the targets. A waiver that the
// rules do not allow lets nothing through.
func (c *contrast) judge(ctx context.Context, rules Evaluator, ts []Target) []Finding {
	if len(ts) == 0 {
		return nil
	}
	c.asked += len(ts)
	found := judge(ctx, rules, c.bore, c.at, ts)
	all := make([]Finding, len(ts))
	for i, t := range ts {
		all[i] = found[t.key()]
		if all[i].Status == Waived && !t.Check.Waivable {
			all[i].Status = Fail
		}
	}
	return all
}

// weigh adds a finding to what stands in the way of a release. Where none was
// given, people have not signed, and what is about signatures does not count.
func (c *contrast) weigh(ch *Check, f Finding, to ...*standingAt) {
	if ch.Gate != GateRelease || !c.release && ch.AboutSignatures() {
		return
	}
	for _, s := range to {
		s.n++
		if f.Status.Holds() {
			continue
		}
		s.wants = f.Status == Needs && (s.wants || len(s.stops) == 0)
		s.stops, s.missing = append(s.stops, f.Key()), append(s.missing, f.Missing...)
	}
}

// sightOf is what an example shows of a finding: the value and the limits that it
// is held against, by either set of rules.
func (c *contrast) sightOf(p *pair) (Sight, bool) {
	was := &view{bore: c.bore, cat: c.plan.old, now: c.at}
	is := &view{bore: c.bore, cat: c.plan.candidate, now: c.at}
	var worst Sight
	found := false
	for _, s := range c.plan.sights[p.check.ID] {
		got, ok := s.look(was, is, p)
		if ok && (!found || got.excess(p.is.Status.Holds()) > worst.excess(p.is.Status.Holds())) {
			worst, found = got, true
		}
	}
	return worst, found
}

// when is the moment of a decision in the bore's own zone.
func (d decision) when() time.Time { return d.at.In(d.bore.Zone) }
