package rules

import (
	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/types"

	"firstrod/engine"
)

// comparing holds the comparisons of one compiled check to values of one shape and
// one unit. Rego orders all values of all types ("2" >= 3 is true), and knows no
// units, so that a text where a number was meant, or seconds beside days, would
// hold and nobody would notice. Where it cannot be seen that both sides are
// numbers, < and > are refused.
type comparing struct {
	check    *engine.Check
	compiler *ast.Compiler
	table    *table
	out      *faults
	helpers  map[string]worth // what was found out of helpers, by their name and arguments
}

// names is what the local names of a rule stand for.
type names map[ast.Var]worth

func (c *comparing) module(m *ast.Module) {
	c.helpers = map[string]worth{}
	for _, r := range m.Rules {
		known := names{}
		for _, arg := range r.Head.Args {
			c.give(arg, worth{}, known)
		}
		c.body(r.Body, known)
		for _, t := range []*ast.Term{r.Head.Key, r.Head.Value} {
			if t != nil {
				c.loops(t, known)
			}
		}
	}
}

// body learns what the local names stand for, then looks at each comparison.
// The compiler has given every nested call a local name by now, and has put
// the lines in an order in which each name is set before it is used.
func (c *comparing) body(b ast.Body, known names) {
	for _, e := range b {
		if !c.learn(e, known) {
			c.expr(e, known)
		}
		c.within(e, known)
	}
}

// within looks at the loops inside a line, and at what it adds up.
func (c *comparing) within(e *ast.Expr, known names) {
	terms, ok := e.Terms.([]*ast.Term)
	if !ok {
		return
	}
	for _, t := range terms[1:] {
		c.loops(t, known)
	}
	switch op := terms[0].String(); op {
	case "plus", "minus":
		a, b := c.worth(terms[1], known), c.worth(terms[2], known)
		if _, fits := sumUnit(op, a, b); !fits {
			c.unlike(e, a, b)
		}
		if op == "minus" {
			c.same(e, a, b)
		}
		c.options(e, a, b)
	case "and", "or": // of sets
		c.options(e, c.worth(terms[1], known), c.worth(terms[2], known))
	case "sum", "max", "min", "sort":
		if a := c.worth(terms[1], known); a.unit == mixed {
			c.unlike(e, a, a)
		}
	}
}

func (c *comparing) expr(e *ast.Expr, known names) {
	switch terms := e.Terms.(type) {
	case *ast.Every:
		c.loops(terms.Domain, known)
		domain := c.worth(terms.Domain, known)
		c.give(terms.Value, domain.item(), known)
		if terms.Key != nil {
			c.give(terms.Key, worth{shape: number, unit: bare}, known)
		}
		c.body(terms.Body, known)
	case []*ast.Term:
		c.statement(e, c.called(terms))
		c.compare(e, terms, known)
	case *ast.Term:
		c.statement(e, c.worth(terms, known).shape)
		c.loops(terms, known)
	}
}

// statement: a line that is a value and no comparison holds whatever the value is,
// but for false. Only what is true or false may stand alone.
func (c *comparing) statement(e *ast.Expr, s shape) {
	if s != flag {
		c.fault(e, "this line only says that there is a value, so it would always hold; compare it with something, or write == true")
	}
}

// called is what a call leaves where nothing takes up its result.
func (c *comparing) called(terms []*ast.Term) shape {
	arity := c.compiler.GetArity(terms[0].Value.(ast.Ref))
	if len(terms) != arity+1 {
		return flag // the result has a name, and is held to be so
	}
	if f, ok := c.compiler.TypeEnv.GetByRef(terms[0].Value.(ast.Ref)).(*types.Function); ok {
		return fromType(f.Result())
	}
	return odd
}

func (c *comparing) loops(t *ast.Term, known names) {
	switch v := t.Value.(type) {
	case *ast.ArrayComprehension:
		c.loop(v.Body, v.Term, known)
	case *ast.SetComprehension:
		c.loop(v.Body, v.Term, known)
	case *ast.ObjectComprehension:
		c.body(v.Body, known)
	}
}

// loop: an entry that is true or false is there whichever it is.
func (c *comparing) loop(b ast.Body, item *ast.Term, known names) {
	c.body(b, known)
	if w := c.worth(item, known); w.shape == flag && w.fixed == nil {
		c.out.add(c.check.File, b.Loc().Row, "each entry of this list is true or false, and would be counted whichever it is; put what must hold behind the | in a line of its own")
	}
}

// compare looks at one comparison.
func (c *comparing) compare(e *ast.Expr, terms []*ast.Term, known names) {
	var w []worth
	for _, t := range terms[1:] {
		w = append(w, c.worth(t, known))
	}
	switch op := terms[0].String(); {
	case op == "lt" || op == "lte" || op == "gt" || op == "gte":
		c.bySize(e, w[0], w[1])
	case op == "eq" || op == "equal" || op == "neq" || op == "assign":
		c.equals(e, w[0], w[1])
	case op == "startswith" || op == "endswith" || op == "contains":
		c.part(e, op, w[0], w[1])
	case op == "internal.member_2":
		c.member(e, w[0], w[1])
	case op == "internal.member_3":
		c.member(e, w[1], w[2])
	case len(terms) == c.compiler.GetArity(terms[0].Value.(ast.Ref))+2: // abs(x, y) says that y is abs(x)
		c.equals(e, c.result(terms, known), w[len(w)-1])
	default:
		c.result(terms, known) // a helper may compare what it is given
	}
}

func (c *comparing) bySize(e *ast.Expr, a, b worth) {
	for _, s := range []shape{a.shape, b.shape} {
		if s != number {
			c.fault(e, "%s is compared by size with another value; only numbers can be%s", s, insteadOf(s))
			return
		}
	}
	c.units(e, a, b)
	c.same(e, a, b)
}

// insteadOf is what was probably meant.
func insteadOf(s shape) string {
	switch s {
	case odd:
		return "; compare answers and limits themselves, with one pass rule for each case"
	case text:
		return "; a limit stands in params.yaml with its unit, and is read as data.params…"
	case flag:
		return "; write each comparison in a line of its own"
	}
	return ""
}

func (c *comparing) equals(e *ast.Expr, a, b worth) {
	if a.shape != odd && b.shape != odd && a.shape != b.shape {
		c.fault(e, "%s is put side by side with %s; they can never be the same", a.shape, b.shape)
		return
	}
	c.units(e, a, b)
	c.same(e, a, b)
	c.option(e, a, b)
	c.option(e, b, a)
	if len(a.items) == len(b.items) && (len(a.items) == 1 || a.shape != odd) {
		for i := range a.items {
			c.option(e, a.items[i], b.items[i])
			c.option(e, b.items[i], a.items[i])
		}
	}
}

func (c *comparing) fault(e *ast.Expr, format string, args ...any) {
	c.out.add(c.check.File, e.Location.Row, format, args...)
}
