package rules

import (
	"slices"
	"strconv"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// maxNesting is how deep loops may stand in each other. The rule engine's
// compiler needs three times as long for each further level and cannot be
// stopped.
const maxNesting = 3

// lint holds a module to the house shape: it may say pass and exempt and
// nothing else that counts, and everything it reads has a name.
type lint struct {
	check  *engine.Check
	module *ast.Module
	table  *table
	out    *faults
	leaves []string // what the check may read
}

func (l *lint) fault(at *ast.Location, format string, args ...any) {
	line := 1
	if at != nil {
		line = at.Row
	}
	l.out.add(l.check.File, line, format, args...)
}

func (l *lint) run() {
	want := "checks." + packageOf(l.check.Layer) + "." + l.check.ID
	if got := strings.TrimPrefix(l.module.Package.Path.String(), "data."); got != want {
		l.fault(l.module.Package.Location, "the package is %s, but in this file it must be %s", got, want)
	}
	for _, i := range l.module.Imports {
		l.fault(i.Location, "a rule stands alone; take the line with import away")
	}
	pass := false
	for _, r := range l.module.Rules {
		l.rule(r)
		pass = pass || r.Head.Name == "pass"
	}
	if !pass {
		l.fault(l.module.Package.Location, "there is no pass rule; a check without one can never hold")
	}
}

func (l *lint) rule(r *ast.Rule) {
	name := string(r.Head.Name)
	switch {
	case len(r.Head.Reference) != 1:
		l.fault(r.Location, "a rule has a plain name, not %s", r.Head.Reference)
	case name != "pass" && name != "exempt" && !strings.HasPrefix(name, "_"):
		l.fault(r.Location, "a rule is called pass or exempt; a helper's name begins with _, so write _%s%s",
			name, near(name, []string{"pass", "exempt"}))
	}
	if r.Default {
		l.fault(r.Location, "\"default\" is not allowed: what is not proved must stay unproved")
	}
	if r.Else != nil {
		l.fault(r.Else.Location, "\"else\" is not allowed: write a second rule of the same name")
	}
	if name == "pass" || name == "exempt" {
		l.verdict(r)
	}
	for _, t := range append(slices.Clone(r.Head.Args), r.Head.Key, r.Head.Value) {
		l.term(r, t, 0)
	}
	l.body(r, r.Body, 0)
}

// verdict: pass and exempt are true or they are not there.
func (l *lint) verdict(r *ast.Rule) {
	h := r.Head
	plain := len(h.Args) == 0 && h.Key == nil && h.Value != nil
	if !plain || !ast.Boolean(true).Equal(h.Value.Value) {
		l.fault(r.Location, "%s is not true or false here; write: %s if { what must hold }", h.Name, h.Name)
	}
}

func (l *lint) body(r *ast.Rule, b ast.Body, depth int) {
	if depth > maxNesting {
		l.fault(b.Loc(), "loops stand in each other more than %d deep", maxNesting)
		return
	}
	for _, e := range b {
		if len(e.With) > 0 {
			l.fault(e.Location, "\"with\" is for tests; a rule judges what was answered")
		}
		if e.Negated {
			l.fault(e.Location, "\"not\" is not allowed: say what must hold, for example == false")
		}
		l.expr(r, e, depth)
	}
}

func (l *lint) expr(r *ast.Rule, e *ast.Expr, depth int) {
	switch terms := e.Terms.(type) {
	case *ast.Every:
		l.counted(r, terms)
		l.term(r, terms.Domain, depth)
		l.body(r, terms.Body, depth+1)
	case *ast.SomeDecl:
		for _, t := range terms.Symbols {
			l.term(r, t, depth)
		}
	case []*ast.Term:
		l.call(terms)
		for _, t := range terms[1:] {
			l.term(r, t, depth)
		}
	case *ast.Term:
		l.term(r, terms, depth)
	}
}

// term looks at a term, everything in it, and the loops inside it.
func (l *lint) term(r *ast.Rule, t *ast.Term, depth int) {
	if t == nil {
		return
	}
	inner := func(b ast.Body, heads ...*ast.Term) bool {
		for _, t := range heads {
			l.term(r, t, depth+1)
		}
		l.body(r, b, depth+1)
		return true
	}
	ast.WalkTerms(t, func(t *ast.Term) bool {
		switch v := t.Value.(type) {
		case ast.Number:
			l.whole(t, v)
		case *ast.ArrayComprehension:
			return inner(v.Body, v.Term)
		case *ast.SetComprehension:
			return inner(v.Body, v.Term)
		case *ast.ObjectComprehension:
			return inner(v.Body, v.Key, v.Value)
		case *ast.Array:
			v.Foreach(l.uncompared)
		case ast.Set:
			v.Foreach(l.uncompared)
		case ast.Object:
			v.Foreach(func(_, item *ast.Term) { l.uncompared(item) })
		case ast.Call:
			l.call(v)
			for _, arg := range v[1:] {
				l.term(r, arg, depth)
			}
			return true
		case ast.Ref:
			l.ref(t.Location, v)
			for i, part := range v {
				if _, word := part.Value.(ast.Var); i > 0 || !word {
					l.term(r, part, depth)
				}
			}
			return true
		case ast.Var:
			if t.Equal(ast.InputRootDocument) || t.Equal(ast.DefaultRootDocument) {
				l.fault(t.Location, "%s as a whole cannot be read; name the value, as in input.metal_distance", v)
			}
		}
		return false
	})
}

// whole: rules count in whole base units, and nothing else is exact in Rego.
func (l *lint) whole(t *ast.Term, n ast.Number) {
	if i, err := strconv.ParseInt(string(n), 10, 64); err != nil || strconv.FormatInt(i, 10) != string(n) {
		l.fault(t.Location, "%s is no plain whole number; rules count in whole base units, such as micrometres; half as much again is 2 * a >= 3 * b", n)
	}
}

func (l *lint) call(terms []*ast.Term) {
	name := terms[0].String()
	allowed := functions()
	switch name {
	case "eq":
		l.fault(terms[0].Location, "one = gives a name to a value where it can, and then always holds; write == to compare, and := to give a name")
		return
	case "count":
		switch terms[1].Value.(type) {
		case *ast.Array, ast.Object:
			l.fault(terms[0].Location, "a list that is written out here always has as many entries; count an answer that is a list")
			return
		}
	case "div":
		l.fault(terms[0].Location, "dividing leaves fractions, which are not exact here; multiply the other side, as in a <= 2 * b")
		return
	}
	if !strings.HasPrefix(name, "_") && !slices.Contains(allowed, name) {
		l.fault(terms[0].Location, "%s is not a function that rules may use%s", name, near(name, allowed))
	}
}

// uncompared: what is true or false is an entry of a list either way, so that a
// list of comparisons has as many entries whatever comes out of them.
func (l *lint) uncompared(item *ast.Term) {
	if call, ok := item.Value.(ast.Call); ok && slices.Contains(verdicts(), call[0].String()) {
		l.fault(item.Location, "a comparison is no entry of a list: it would be counted whether it holds or not; write each comparison in a line of its own")
	}
}

// verdicts lists the functions that say true or false.
func verdicts() []string {
	return []string{
		"eq", "equal", "neq", "lt", "lte", "gt", "gte", "internal.member_2", "internal.member_3",
		"contains", "startswith", "endswith",
		"is_array", "is_boolean", "is_number", "is_object", "is_set", "is_string",
	}
}

// counted: a statement about every item of an empty list holds, so the list
// must be known not to be empty in the same rule.
func (l *lint) counted(r *ast.Rule, e *ast.Every) {
	found := false
	switch list := e.Domain.Value.(type) { // what is written out shows what it has
	case *ast.Array:
		found = list.Len() > 0
	case ast.Set:
		found = list.Len() > 0
	}
	ast.WalkExprs(r, func(x *ast.Expr) bool {
		terms, ok := x.Terms.([]*ast.Term)
		if ok && len(terms) == 3 && terms[0].String() == "gt" && terms[2].String() == "0" &&
			terms[1].String() == "count("+e.Domain.String()+")" {
			found = true
		}
		return found
	})
	if !found {
		l.fault(e.Location, "\"every\" also holds for an empty list; add the line: count(%s) > 0", e.Domain)
	}
}
