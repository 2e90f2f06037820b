package rules

import (
	"fmt"
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/types"
)

// Bounds on what is found out: helpers that use helpers twice would double it each
// time. What lies beyond them is not known, and is not held.
const (
	longest = 500  // letters that say how a value comes about
	most    = 1000 // helpers with what they are given
)

// learn notes what a line gives a local name, and says whether that is all it does.
func (c *comparing) learn(e *ast.Expr, known names) bool {
	terms, ok := e.Terms.([]*ast.Term)
	if !ok {
		return false
	}
	for _, t := range terms[1:] {
		c.place(t, known)
	}
	op := terms[0].String()
	if (op == "eq" || op == "assign") && len(terms) == 3 {
		first := c.give(terms[1], c.worth(terms[2], known), known)
		return c.give(terms[2], c.worth(terms[1], known), known) || first
	}
	arity := c.compiler.GetArity(terms[0].Value.(ast.Ref))
	if arity < 0 || len(terms) != arity+2 {
		return false
	}
	if !c.give(terms[len(terms)-1], c.result(terms, known), known) {
		return false
	}
	c.compare(e, terms[:len(terms)-1], known) // far := x > 5 compares too
	return true
}

// place: the name that stands for a place in an answer's list is a number.
func (c *comparing) place(t *ast.Term, known names) {
	ref, ok := t.Value.(ast.Ref)
	if !ok || !ref[0].Equal(ast.InputRootDocument) {
		return
	}
	if leaf, rest := named(ref); len(rest) == 1 && shapeOf(c.table.leaves[leaf].kind).item() != odd {
		c.give(rest[0], worth{shape: number, unit: bare}, known)
	}
}

// give says whether a name is new, and notes what it stands for.
func (c *comparing) give(t *ast.Term, w worth, known names) bool {
	switch v := t.Value.(type) {
	case ast.Var:
		if _, twice := known[v]; twice {
			return false
		}
		known[v] = w
		return true
	case *ast.Array: // [a, b] := [1, 2]
		fresh := false
		for i := range v.Len() {
			item := w.item()
			if len(w.items) == v.Len() {
				item = w.items[i]
			}
			fresh = c.give(v.Elem(i), item, known) || fresh
		}
		return fresh
	}
	return false
}

// result is what a function gives.
func (c *comparing) result(terms []*ast.Term, known names) worth {
	op, ref := terms[0].String(), terms[0].Value.(ast.Ref)
	var args []worth
	same, unsaid := "", false
	for _, t := range terms[1:min(len(terms), c.compiler.GetArity(ref)+1)] {
		w := c.worth(t, known)
		args = append(args, w)
		same, unsaid = same+", "+w.same, unsaid || w.same == ""
	}
	var w worth
	if rules := c.compiler.GetRulesExact(ref); len(rules) > 0 {
		w = c.function(op, rules, args)
	} else {
		w = builtin(op, args)
	}
	if f, ok := c.compiler.TypeEnv.GetByRef(ref).(*types.Function); ok && w.shape == odd && op != "minus" && op != "max" && op != "min" {
		w.shape = fromType(f.Result())
	}
	if w.same = ""; !unsaid && len(same) < longest {
		w.same = op + "(" + same + ")"
	}
	return w
}

// builtin is what is known of the result of a function of the rule engine, beyond
// the type that the engine itself gives it.
func builtin(op string, args []worth) worth {
	if len(args) == 0 {
		return worth{}
	}
	a := args[0]
	switch op {
	case "abs":
		return worth{shape: odd, unit: a.unit, from: a.from}
	case "max", "min":
		return worth{shape: a.shape.item(), unit: a.unit, from: a.from}
	case "sum":
		return worth{unit: a.unit, from: a.from}
	case "sort":
		return worth{shape: a.shape, unit: a.unit, from: a.from, options: a.options}
	case "count":
		return worth{unit: bare}
	case "lower":
		return worth{options: a.options, from: a.from}
	case "trim_space": // may leave nothing, which rules ask for
		return worth{options: orNothing(a.options), from: a.from}
	case "plus":
		unit, _ := sumUnit(op, a, args[1])
		return worth{unit: unit, from: first(a, args[1])}
	case "minus": // also takes sets away from each other
		unit, _ := sumUnit(op, a, args[1])
		w := worth{unit: unit, from: first(a, args[1])}
		if a.shape == number && args[1].shape == number {
			w.shape = number
		}
		return w
	case "rem":
		if a.unit == bare {
			return worth{unit: bare}
		}
	case "mul":
		return product(a, args[1])
	}
	return worth{}
}

func orNothing(options []string) []string {
	if len(options) == 0 {
		return nil
	}
	return append(slices.Clone(options), "")
}

// first is what a sum or a product is called after: the part that has a unit.
func first(a, b worth) string {
	if a.from == "" || a.unit == bare && b.from != "" {
		return b.from
	}
	return a.from
}

// function is what a helper with arguments gives, and holds what it compares to
// what it is given here.
func (c *comparing) function(op string, rules []*ast.Rule, args []worth) worth {
	for i := range args {
		args[i].same = ""
	}
	key := fmt.Sprintf("%s%v", op, args)
	if w, done := c.helpers[key]; done || len(c.helpers) > most {
		return w
	}
	var all []worth
	for _, r := range rules {
		known := names{}
		for i, arg := range r.Head.Args {
			if i < len(args) {
				c.give(arg, args[i], known)
			}
		}
		c.body(r.Body, known)
		all = append(all, c.worth(r.Head.Value, known))
	}
	c.helpers[key] = either(all)
	return c.helpers[key]
}
