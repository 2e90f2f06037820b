package rules

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// probes is how many more sets of made-up answers a check is tried on that has not
// failed on those of try.
const probes = 150

// unfailing says in words that no made-up answer makes a check fail: a sign may be the
// wrong way round, or a condition may be missing. Whatever cannot be worked out counts
// as failing, for it holds nothing.
func (s *Set) unfailing(u *unit) []string {
	if !u.compares {
		return nil
	}
	for n := range tries {
		if s.fails(u, madeUp{u, n}) {
			return nil
		}
	}
	around := make([][]any, len(u.slots))
	for i, slot := range u.slots {
		around[i] = u.around(slot)
	}
	for n := range probes {
		if s.fails(u, guess{u, around, n}) {
			return nil
		}
	}
	return []string{u.check.File + ": no made-up answer around its limits makes this check fail; look whether a sign is the wrong way round or a condition is missing"}
}

// fails says whether neither rule of a check is proved.
func (s *Set) fails(u *unit, answers engine.Facts) bool {
	for _, q := range []*query{u.exempt, u.pass} {
		if q == nil {
			continue
		}
		if proved, err := s.attempt(context.Background(), u, q, answers); err == nil && proved {
			return false
		}
	}
	return true
}

// around lists what an answer could be, close to where a rule may change its mind.
func (u *unit) around(s slot) []any {
	near := []int64{s.low, s.high, 0, 1, -1}
	for _, p := range u.limits {
		if v := p.Value; v.Kind().Numeric() && (unitOf(v.Kind()) == unitOf(s.kind) || unitOf(s.kind) == moment) {
			near = append(near, v.Base(), v.Base()-1, v.Base()+1)
		}
	}
	if s.asked || s.kind == quantity.Count { // no answer lies outside; a check may still want more than nothing
		near = slices.DeleteFunc(near, func(n int64) bool { return n < min(s.low, 0) || n > s.high })
	}
	var all []any
	switch s.shape {
	case flag:
		return []any{true, false}
	case text:
		for _, o := range s.options {
			all = append(all, o)
		}
		if len(all) == 0 {
			all = []any{"A", "", "B"}
		}
	case number:
		for _, n := range near {
			all = append(all, n)
		}
	case numbers:
		all = append(all, []int64{})
		for i, n := range near {
			all = append(all, []int64{n}, []int64{n, near[(i+1)%len(near)]})
		}
	case texts:
		all = append(all, []string{}, []string{"A"}, []string{"A", "B"})
	}
	return all
}

// guess is a set of answers out of what each could be: every answer alike at first,
// then all mixed, the same way each time.
type guess struct {
	unit   *unit
	around [][]any
	n      int
}

// Value implements engine.Facts.
func (g guess) Value(leaf string) (any, []string, error) {
	for i, s := range g.unit.slots {
		if s.name != leaf || len(g.around[i]) == 0 {
			continue
		}
		at := uint64(g.n)
		if g.n >= probes/5 {
			at = (uint64(g.n)*31 + uint64(i)*17 + 7) * 0x9e3779b97f4a7c15 >> 33
		}
		return g.around[i][at%uint64(len(g.around[i]))], nil, nil
	}
	return nil, nil, fmt.Errorf("%s is not read by %s", leaf, g.unit.check.ID)
}

// compares says whether a check compares anything. One that only wants an answer to
// be there, or lists what the answer to one question may be, holds whatever it is.
func compares(m *ast.Module) bool {
	found, listed := false, map[string]int{}
	for _, r := range m.Rules {
		ast.WalkExprs(r, func(e *ast.Expr) bool {
			terms, call := e.Terms.([]*ast.Term)
			found = found || !call || !strings.HasPrefix(terms[0].String(), "is_")
			return found
		})
		if all := cases(r.Body); len(all) == 1 && len(r.Body) == 1 && all[0].sign == "==" {
			listed[all[0].left]++
		}
	}
	for _, n := range listed {
		found = found && (n < 2 || n < len(m.Rules))
	}
	return found
}
