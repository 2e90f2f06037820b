package rules

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/topdown"

	"firstrod/engine"
)

// tries is how many sets of made-up answers each rule is tried on, from the
// lowest values to the highest.
const tries = 5

// try judges checks on made-up answers, so that a rule that loops or
// contradicts itself, or that never works, is refused before anybody relies on
// it. One that cannot compute on some of the answers is noted, since those may
// never come; if they do, the finding is broken and holds nothing.
func (s *Set) try(ctx context.Context, units []*unit) error {
	out := &faults{}
	for _, u := range units {
		for _, q := range []*query{u.exempt, u.pass} {
			if q == nil {
				continue
			}
			if s.tryRule(ctx, u, q, out); ctx.Err() != nil {
				return ctx.Err()
			}
		}
	}
	return out.err()
}

func (s *Set) tryRule(ctx context.Context, u *unit, q *query, out *faults) {
	failed := 0
	var last error
	for n := range tries {
		_, err := s.attempt(ctx, u, q, madeUp{u, n})
		if topdown.IsCancel(err) {
			_, err = s.attempt(ctx, u, q, madeUp{u, n}) // the machine may have been busy
		}
		if err == nil {
			continue
		}
		failed, last = failed+1, err
		f := fault{file: u.check.File, err: err}
		e, known := errors.AsType[*topdown.Error](err)
		if known && e.Location != nil {
			f.line = e.Location.Row
		}
		switch {
		case topdown.IsCancel(err):
			f.say = fmt.Sprintf("this check is not ready within %s on made-up answers", s.deadline)
		case known && e.Code == topdown.ConflictErr:
			f.say = "this check gives two different values at once on made-up answers"
		case failed == tries:
			f.say = "this check cannot be worked out on any made-up answers"
		default:
			continue
		}
		out.list = append(out.list, f)
		return
	}
	if failed > 0 {
		u.notes = append(u.notes, fmt.Sprintf("%s: this check cannot be worked out on some made-up answers: %v", u.check.File, last))
	}
}

// attempt is one rule on one set of made-up answers, every body of it: what
// stops at the first body that holds would not see a conflict in the next.
func (s *Set) attempt(ctx context.Context, u *unit, q *query, facts engine.Facts) (proved bool, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	l := look{set: s, unit: u, facts: facts, values: make([]*ast.Term, len(u.slots)), how: thorough()}
	if _, err := l.fetch(q); err != nil {
		return false, err
	}
	return l.prove(ctx, q)
}

// madeUp is a set of answers for one check.
type madeUp struct {
	unit *unit
	n    int // 0 to tries-1
}

var _ engine.Facts = madeUp{}

// Value implements engine.Facts.
func (m madeUp) Value(leaf string) (any, []string, error) {
	for _, s := range m.unit.slots {
		if s.name != leaf {
			continue
		}
		step := s.low + (s.high-s.low)/(tries-1)*int64(m.n)
		switch s.shape {
		case number:
			return step, nil, nil
		case flag:
			return m.n%2 == 1, nil, nil
		case text:
			if len(s.options) > 0 {
				return s.options[m.n%len(s.options)], nil, nil
			}
			return "A" + strconv.Itoa(m.n), nil, nil
		case numbers:
			return []int64{step, step + 1}[:min(m.n, 2)], nil, nil
		case texts:
			return []string{"A", "B"}[:min(m.n, 2)], nil, nil
		}
	}
	return nil, nil, fmt.Errorf("%s is not read by %s", leaf, m.unit.check.ID)
}
