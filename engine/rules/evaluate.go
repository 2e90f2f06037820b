package rules

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/topdown"

	"firstrod/engine"
)

// Evaluate gives the finding of each target, in order. Each target is judged
// by itself, so that one bad rule breaks one finding. A target of another
// revision's catalogue is judged by the check of the same id here.
func (s *Set) Evaluate(ctx context.Context, targets []engine.Target, facts func(engine.Target) engine.Facts) []engine.Finding {
	return s.each(ctx, targets, facts)
}

// Confirm is Evaluate without the rule engine's index and without stopping at
// the first body that proves a rule, so that a fault in either shows as a
// difference.
func (s *Set) Confirm(ctx context.Context, targets []engine.Target, facts func(engine.Target) engine.Facts) []engine.Finding {
	return s.each(ctx, targets, facts, thorough()...)
}

// thorough looks at every body of every rule.
func thorough() []rego.EvalOption {
	return []rego.EvalOption{rego.EvalRuleIndexing(false), rego.EvalEarlyExit(false)}
}

func (s *Set) each(ctx context.Context, targets []engine.Target, facts func(engine.Target) engine.Facts, how ...rego.EvalOption) []engine.Finding {
	found := make([]engine.Finding, len(targets))
	for i, t := range targets {
		found[i] = s.judge(ctx, t, facts, how)
	}
	return found
}

// judge classifies one target. Everything that is not one of the plain ways is
// broken, a panic included.
func (s *Set) judge(ctx context.Context, t engine.Target, facts func(engine.Target) engine.Facts, how []rego.EvalOption) (f engine.Finding) {
	f.Subject = t.Subject
	defer func() {
		if r := recover(); r != nil {
			f.Status, f.Missing, f.Note = engine.Broken, nil, fmt.Sprintf("panic: %v", r)
		}
	}()
	if t.Check == nil {
		return broken(f, errors.New("the target names no check"))
	}
	f.Check = t.Check.ID
	u := s.units[t.Check.ID]
	switch {
	case u == nil:
		return broken(f, errors.New("these rules have no such check"))
	case (u.check.Each == engine.PerBore) != (t.Subject == ""):
		return broken(f, fmt.Errorf("subject %q does not fit a check that is asked per %q", t.Subject, u.check.Each))
	}
	c := look{set: s, unit: u, facts: facts(t), values: make([]*ast.Term, len(u.slots)), how: how}
	return c.run(ctx, f)
}

func broken(f engine.Finding, err error) engine.Finding {
	f.Status, f.Note = engine.Broken, err.Error()
	return f
}

// look is one check on one subject while it is judged.
type look struct {
	set    *Set
	unit   *unit
	facts  engine.Facts
	values []*ast.Term // by slot; nil: not looked at yet
	how    []rego.EvalOption
}

// run asks for exempt first and looks at what only pass reads afterwards, so
// that nobody is asked what an exempt check does not need.
func (c *look) run(ctx context.Context, f engine.Finding) engine.Finding {
	steps := []struct {
		query *query
		holds engine.Status
	}{{c.unit.exempt, engine.Exempt}, {c.unit.pass, engine.Pass}}
	for _, step := range steps {
		if step.query == nil {
			continue
		}
		missing, err := c.fetch(step.query)
		if err != nil {
			return broken(f, err)
		}
		if len(missing) > 0 {
			f.Status, f.Missing = engine.Needs, c.set.ranked(missing)
			return f
		}
		proved, err := c.prove(ctx, step.query)
		if err != nil {
			return broken(f, err)
		}
		if proved {
			f.Status = step.holds
			return f
		}
	}
	f.Status = engine.Fail
	return f
}

// fetch gets the values that a query can see, and only those.
func (c *look) fetch(q *query) (missing []string, err error) {
	for _, i := range q.reads {
		if c.values[i] != nil {
			continue
		}
		s := c.unit.slots[i]
		v, gap, err := c.facts.Value(s.name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.name, err)
		}
		if len(gap) > 0 {
			missing = append(missing, gap...)
			continue
		}
		if c.values[i], err = s.term(v); err != nil {
			return nil, err
		}
	}
	return missing, nil
}

// patience is how much longer a rule gets at the second try: a machine that is
// busy for a moment is no rule that loops.
const patience = 8

// prove evaluates a query, and once more with patience where it is late.
func (c *look) prove(ctx context.Context, q *query) (bool, error) {
	proved, err := c.proveWithin(ctx, q, c.set.deadline)
	if topdown.IsCancel(errors.Unwrap(err)) && ctx.Err() == nil {
		return c.proveWithin(ctx, q, patience*c.set.deadline)
	}
	return proved, err
}

// proveWithin evaluates a query. Only the one literal true proves it; no result
// or false does not; all else is an error.
func (c *look) proveWithin(ctx context.Context, q *query, deadline time.Duration) (bool, error) {
	cancel := topdown.NewCancel()
	late := time.AfterFunc(deadline, cancel.Cancel)
	defer late.Stop()
	defer context.AfterFunc(ctx, cancel.Cancel)()
	if err := ctx.Err(); err != nil {
		return false, fmt.Errorf("stopped: %w", err)
	}
	options := append([]rego.EvalOption{
		rego.EvalParsedInput(q.input.document(c.values)), rego.EvalExternalCancel(cancel),
	}, c.how...)
	results, err := q.prepared.Eval(ctx, options...)
	switch {
	case topdown.IsCancel(err):
		return false, fmt.Errorf("stopped: not ready within %s: %w", deadline, err)
	case err != nil:
		return false, err
	case len(results) == 0:
		return false, nil
	case len(results) > 1 || len(results[0].Expressions) != 1:
		return false, fmt.Errorf("the rule gave %d results", len(results))
	}
	proved, ok := results[0].Expressions[0].Value.(bool)
	if !ok {
		return false, fmt.Errorf("the rule gave %v", results[0].Expressions[0].Value)
	}
	return proved, nil
}

// ranked puts missing fact keys in the order of the job, each once. What is no
// ask, such as a signature, comes last.
func (s *Set) ranked(keys []string) []string {
	rank := func(key string) int {
		id, _ := engine.SplitKey(key)
		if _, ok := s.catalogue.Ask(id); !ok {
			return len(s.catalogue.Asks)
		}
		return s.catalogue.Rank(id)
	}
	seen := map[string]bool{}
	keys = slices.DeleteFunc(slices.Clone(keys), func(k string) bool {
		twice := seen[k]
		seen[k] = true
		return twice
	})
	slices.SortStableFunc(keys, func(a, b string) int { return rank(a) - rank(b) })
	return keys
}
