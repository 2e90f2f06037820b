package rules

import (
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/types"

	"firstrod/engine"
)

// comparing holds the comparisons of one compiled check to values of one
// shape. Rego orders all values of all types ("2" >= 3 is true), so that a
// text where a number was meant would hold and nobody would notice. Where it
// cannot be seen that both sides are numbers, < and > are refused.
type comparing struct {
	check    *engine.Check
	compiler *ast.Compiler
	table    *table
	out      *faults
}

func (c *comparing) module(m *ast.Module) {
	for _, r := range m.Rules {
		known := map[ast.Var]shape{}
		c.body(r.Body, known)
	}
}

// body learns what the local names stand for, then looks at each comparison.
// The compiler has given every nested call a local name by now, and has put
// the lines in an order in which each name is set before it is used.
func (c *comparing) body(b ast.Body, known map[ast.Var]shape) {
	for _, e := range b {
		c.learn(e, known)
		c.expr(e, known)
	}
}

func (c *comparing) expr(e *ast.Expr, known map[ast.Var]shape) {
	switch terms := e.Terms.(type) {
	case *ast.Every:
		if v, ok := terms.Value.Value.(ast.Var); ok {
			known[v] = c.shape(terms.Domain, known).item()
		}
		c.body(terms.Body, known)
	case []*ast.Term:
		c.statement(e, c.called(terms))
		if len(terms) >= 3 {
			c.compare(e, terms, known)
		}
		for _, t := range terms[1:] {
			c.loops(t, known)
		}
	case *ast.Term:
		c.statement(e, c.shape(terms, known))
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

func (c *comparing) loops(t *ast.Term, known map[ast.Var]shape) {
	switch v := t.Value.(type) {
	case *ast.ArrayComprehension:
		c.body(v.Body, known)
	case *ast.SetComprehension:
		c.body(v.Body, known)
	case *ast.ObjectComprehension:
		c.body(v.Body, known)
	}
}

func (c *comparing) compare(e *ast.Expr, terms []*ast.Term, known map[ast.Var]shape) {
	a, b := c.shape(terms[1], known), c.shape(terms[2], known)
	switch op := terms[0].String(); op {
	case "lt", "lte", "gt", "gte":
		for _, s := range []shape{a, b} {
			if s != number {
				c.fault(e, "%s is compared by size with another value; only numbers can be", s)
				return
			}
		}
	case "eq", "equal", "neq", "assign":
		if a != odd && b != odd && a != b {
			c.fault(e, "%s is put side by side with %s; they can never be the same", a, b)
			return
		}
		c.option(e, terms[1], terms[2])
		c.option(e, terms[2], terms[1])
	}
}

// option: a choice can only be one of its options.
func (c *comparing) option(e *ast.Expr, of, with *ast.Term) {
	ref, ok := of.Value.(ast.Ref)
	word, isText := with.Value.(ast.String)
	if !ok || !isText || !ref[0].Equal(ast.InputRootDocument) {
		return
	}
	leafName, _ := named(ref)
	l := c.table.leaves[leafName]
	if len(l.options) > 0 && !slices.Contains(l.options, string(word)) {
		c.fault(e, "%q is not an option of %s; the options are %s%s",
			string(word), leafName, strings.Join(l.options, ", "), near(string(word), l.options))
	}
}

func (c *comparing) fault(e *ast.Expr, format string, args ...any) {
	c.out.add(c.check.File, e.Location.Row, format, args...)
}

// learn notes what a line gives a local name.
func (c *comparing) learn(e *ast.Expr, known map[ast.Var]shape) {
	terms, ok := e.Terms.([]*ast.Term)
	if !ok {
		return
	}
	for _, t := range terms[1:] {
		c.place(t, known)
	}
	op := terms[0].String()
	if (op == "eq" || op == "assign") && len(terms) == 3 {
		c.give(terms[1], c.shape(terms[2], known), known)
		c.give(terms[2], c.shape(terms[1], known), known)
		return
	}
	arity := c.compiler.GetArity(terms[0].Value.(ast.Ref))
	if arity < 0 || len(terms) != arity+2 {
		return
	}
	c.give(terms[len(terms)-1], c.result(op, terms, known), known)
}

// place: the name that stands for a place in an answer's list is a number.
func (c *comparing) place(t *ast.Term, known map[ast.Var]shape) {
	ref, ok := t.Value.(ast.Ref)
	if !ok || !ref[0].Equal(ast.InputRootDocument) {
		return
	}
	if leaf, rest := named(ref); len(rest) == 1 && shapeOf(c.table.leaves[leaf].kind).item() != odd {
		c.give(rest[0], number, known)
	}
}

func (c *comparing) give(t *ast.Term, s shape, known map[ast.Var]shape) {
	if v, ok := t.Value.(ast.Var); ok && s != odd {
		if _, twice := known[v]; !twice {
			known[v] = s
		}
	}
}

// result is the shape of what a function gives.
func (c *comparing) result(op string, terms []*ast.Term, known map[ast.Var]shape) shape {
	switch op {
	case "max", "min":
		return c.shape(terms[1], known).item()
	case "minus": // also takes sets away from each other
		if c.shape(terms[1], known) == number && c.shape(terms[2], known) == number {
			return number
		}
		return odd
	}
	f, ok := c.compiler.TypeEnv.GetByRef(terms[0].Value.(ast.Ref)).(*types.Function)
	if !ok {
		return odd
	}
	return fromType(f.Result())
}
