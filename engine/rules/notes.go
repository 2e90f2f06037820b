package rules

import (
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// remarks lists what may be meant in a check and is more often a slip, for its
// author to look at. Nothing of it is refused.
func (t *table) remarks(c *engine.Check, m *ast.Module) []string {
	var all []string
	note := func(at *ast.Location, format string, args ...any) {
		all = append(all, fault{file: c.File, line: at.Row}.place()+fmt.Sprintf(format, args...))
	}
	var before *ast.Rule
	told := false
	for _, r := range m.Rules {
		if r.Head.Name != "pass" {
			continue
		}
		if before != nil && !told && !apart(before.Body, r.Body) {
			told = true
			note(r.Location, "there is more than one pass rule, and one of them is enough; where all must hold, write the conditions into one rule")
		}
		before = r
		for _, e := range r.Body {
			if list := t.anyOf(e); list != "" {
				note(e.Location, "this holds as soon as one of input.%s does; where all must, write every", list)
			}
		}
	}
	return all
}

// anyOf is the list of readings of which a line takes any one, as in "some f in
// input.frequencies" or input.frequencies[_].
func (t *table) anyOf(e *ast.Expr) string {
	found := ""
	look := func(list *ast.Term, rest int) {
		if ref, ok := list.Value.(ast.Ref); ok && ref[0].Equal(ast.InputRootDocument) {
			name, places := named(ref)
			if len(places) == rest && shapeOf(t.leaves[name].kind) == numbers && (rest == 0 || !places[0].IsGround()) {
				found = name
			}
		}
	}
	if some, ok := e.Terms.(*ast.SomeDecl); ok && len(some.Symbols) == 1 {
		if call, in := some.Symbols[0].Value.(ast.Call); in {
			look(call[len(call)-1], 0)
		}
		return found
	}
	if _, loop := e.Terms.(*ast.Every); loop {
		return ""
	}
	ast.WalkTerms(e, func(term *ast.Term) bool {
		switch term.Value.(type) {
		case *ast.ArrayComprehension, *ast.SetComprehension, *ast.ObjectComprehension:
			return true
		}
		look(term, 1)
		return false
	})
	return found
}

// apart says whether two rules are about different cases, so that never both of
// them hold: another option of one choice, or the two sides of one limit.
func apart(a, b ast.Body) bool {
	for _, x := range cases(a) {
		for _, y := range cases(b) {
			switch {
			case x.sign == "==" && y.sign == "==" && x.left == y.left && x.right != y.right,
				x.sign != "==" && y.sign != "==" && x.left == y.right && x.right == y.left && x.sign+y.sign != "<=<=":
				return true
			}
		}
	}
	return false
}

// condition is a comparison with the smaller side on the left.
type condition struct{ left, sign, right string }

func cases(b ast.Body) []condition {
	var all []condition
	for _, e := range b {
		if t, ok := e.Terms.(*ast.Term); ok {
			all = append(all, condition{t.String(), "==", "true"})
			continue
		}
		terms, ok := e.Terms.([]*ast.Term)
		if !ok || len(terms) != 3 {
			continue
		}
		left, right := terms[1].String(), terms[2].String()
		switch terms[0].String() {
		case "equal":
			if ast.IsConstant(terms[2].Value) {
				all = append(all, condition{left, "==", right})
			}
		case "lt":
			all = append(all, condition{left, "<", right})
		case "lte":
			all = append(all, condition{left, "<=", right})
		case "gt":
			all = append(all, condition{right, "<", left})
		case "gte":
			all = append(all, condition{right, "<=", left})
		}
	}
	return all
}
