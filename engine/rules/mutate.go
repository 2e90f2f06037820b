package rules

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// The kinds of mutation.
const (
	MutComparison = "comparison" // another sign: at least becomes more than, or less than
	MutConstant   = "constant"   // a number one more or less, another text, yes for no
	MutNegation   = "negation"   // "not" put in front of a condition, or taken away
	MutCondition  = "condition"  // a condition left out
	MutRule       = "rule"       // a whole pass or exempt rule taken away
	MutArithmetic = "arithmetic" // plus for minus, or a number with its sign for one without
)

// Mutation is one slip put into a check on purpose.
type Mutation struct {
	Check  string // id
	File   string
	Line   int
	Kind   string
	Before string // the condition or rule as it stands, on one line
	After  string // as it was changed

	from, to int // what is replaced in the file
	with     string
}

// String is the mutation as a list of explained survivors names it:
// "41: input.a >= 1 => input.a > 1".
func (m Mutation) String() string { return fmt.Sprintf("%d: %s => %s", m.Line, m.Before, m.After) }

// apply makes the changed text of the file.
func (m Mutation) apply(text []byte) []byte {
	return slices.Concat(text[:m.from], []byte(m.with), text[m.to:])
}

// mutator finds what can be changed in one check.
type mutator struct {
	check string
	file  string
	text  []byte
	expr  span // the condition being looked at, and its line
	found []Mutation
	seen  map[string]bool // by changed text, so that no slip is made twice
}

// span is a piece of the file.
type span struct{ from, to, line int }

func spanOf(at *ast.Location) span { return span{at.Offset, at.Offset + len(at.Text), at.Row} }

// mutations lists every slip that can be put into a check, in the order of its
// lines. Places are taken from the parser and changed in the text, so that a
// survivor is shown as its author wrote it.
func mutations(f file) ([]Mutation, error) {
	m, err := parsePlain(f.path, f.data)
	if err != nil {
		return nil, err
	}
	u := &mutator{check: idOf(f.path), file: f.path, text: f.data, seen: map[string]bool{}}
	for _, r := range m.Rules {
		u.rule(r)
	}
	slices.SortStableFunc(u.found, func(a, b Mutation) int { return a.Line - b.Line })
	return u.found, nil
}

// parsePlain reads a file without what Load puts in place of its METADATA.
func parsePlain(path string, text []byte) (*ast.Module, error) {
	return ast.ParseModuleWithOpts(path, string(text), ast.ParserOptions{
		Capabilities: capabilities(), RegoVersion: ast.RegoV1,
	})
}

// add notes a change inside the condition being looked at.
func (u *mutator) add(kind string, from, to int, with string) {
	m := Mutation{Check: u.check, File: u.file, Line: u.expr.line, Kind: kind, from: from, to: to, with: with}
	changed := string(m.apply(u.text))
	if u.seen[changed] || changed == string(u.text) {
		return
	}
	u.seen[changed] = true
	end := u.expr.to + len(with) - (to - from)
	m.Before = oneLine(string(u.text[u.expr.from:u.expr.to]))
	m.After = oneLine(changed[u.expr.from:end])
	u.found = append(u.found, m)
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func (u *mutator) rule(r *ast.Rule) {
	u.expr = spanOf(r.Location)
	if name := string(r.Head.Name); name == "pass" || name == "exempt" {
		u.add(MutRule, u.expr.from, u.expr.to, name+" if false")
	}
	for _, t := range append(slices.Clone(r.Head.Args), r.Head.Key, r.Head.Value) {
		u.walk(t)
	}
	u.body(r.Body)
}

func (u *mutator) body(b ast.Body) {
	whole := u.expr
	for _, e := range b {
		if !e.Generated && e.Location != nil {
			u.expr = spanOf(e.Location)
			u.condition(e)
		}
		u.terms(e)
		u.expr = whole
	}
}

// condition changes a line as a whole.
func (u *mutator) condition(e *ast.Expr) {
	from, to := u.expr.from, u.expr.to
	if _, declares := e.Terms.(*ast.SomeDecl); declares {
		return // no condition: without it the rule cannot be loaded, or means the same
	}
	u.add(MutCondition, from, to, "true")
	if e.Negated {
		if cut := notWord.Find(u.text[from:to]); cut != nil {
			u.add(MutNegation, from, from+len(cut), "")
		}
		return
	}
	if !e.IsAssignment() {
		u.add(MutNegation, from, from, "not ")
	}
}

var notWord = regexp.MustCompile(`^not\s+`)

// terms looks inside a line.
func (u *mutator) terms(e *ast.Expr) {
	switch terms := e.Terms.(type) {
	case *ast.Every:
		u.walk(terms.Domain)
		u.body(terms.Body)
	case *ast.SomeDecl:
		for _, t := range terms.Symbols {
			u.walk(t)
		}
	case []*ast.Term:
		u.operator(terms[0])
		for _, t := range terms[1:] {
			u.walk(t)
		}
	case *ast.Term:
		u.walk(terms)
	}
}

// walk looks at a term and everything in it.
func (u *mutator) walk(t *ast.Term) {
	if t == nil {
		return
	}
	loop := func(b ast.Body, heads ...*ast.Term) bool {
		for _, h := range heads {
			u.walk(h)
		}
		u.body(b)
		return true
	}
	ast.WalkTerms(t, func(t *ast.Term) bool {
		switch v := t.Value.(type) {
		case ast.Ref:
			return true // names are no constants
		case ast.Call:
			u.operator(v[0])
			for _, arg := range v[1:] {
				u.walk(arg)
			}
			return true
		case *ast.ArrayComprehension:
			return loop(v.Body, v.Term)
		case *ast.SetComprehension:
			return loop(v.Body, v.Term)
		case *ast.ObjectComprehension:
			return loop(v.Body, v.Key, v.Value)
		case ast.Number, ast.String, ast.Boolean:
			u.constant(t)
		}
		return false
	})
}

// signs lists what takes the place of an operator, by how it is written.
func signs(sign string) (kind string, others []string) {
	switch sign {
	case ">=":
		return MutComparison, []string{">", "<"}
	case "<=":
		return MutComparison, []string{"<", ">"}
	case ">":
		return MutComparison, []string{">=", "<="}
	case "<":
		return MutComparison, []string{"<=", ">="}
	case "==", "=":
		return MutComparison, []string{"!="}
	case "!=":
		return MutComparison, []string{"=="}
	case "+":
		return MutArithmetic, []string{"-"}
	case "-":
		return MutArithmetic, []string{"+"}
	case "*":
		return MutArithmetic, []string{"+"}
	case "abs":
		return MutArithmetic, []string{""}
	}
	return "", nil
}

var operatorText = regexp.MustCompile(`^(?:>=|<=|==|!=|[<>=+\-*]|abs\b)`)

func (u *mutator) operator(t *ast.Term) {
	if t.Location == nil {
		return
	}
	at := t.Location.Offset
	sign := string(operatorText.Find(u.text[at:]))
	kind, others := signs(sign)
	for _, other := range others {
		u.add(kind, at, at+len(sign), other)
	}
}

var numberText = regexp.MustCompile(`^-?[0-9]+(?:\.[0-9]+)?`)

// constant changes a value that is written out. The true that stands for a
// rule's value is written nowhere.
func (u *mutator) constant(t *ast.Term) {
	if t.Location == nil {
		return
	}
	at := t.Location.Offset
	rest := u.text[at:]
	switch v := t.Value.(type) {
	case ast.Number:
		n := string(numberText.Find(rest))
		for _, step := range []int64{1, -1} {
			if other, ok := moved(n, step); ok {
				u.add(MutConstant, at, at+len(n), other)
			}
		}
	case ast.Boolean:
		if word := strconv.FormatBool(bool(v)); strings.HasPrefix(string(rest), word) {
			u.add(MutConstant, at, at+len(word), strconv.FormatBool(!bool(v)))
		}
	case ast.String:
		if text := string(t.Location.Text); strings.HasPrefix(text, `"`) {
			u.add(MutConstant, at, at+len(text), strconv.Quote(string(v)+"x"))
		}
	}
}

// moved is a number a step away, with as many decimals.
func moved(n string, step int64) (string, bool) {
	r, ok := new(big.Rat).SetString(n)
	if !ok {
		return "", false
	}
	_, decimals, _ := strings.Cut(n, ".")
	return r.Add(r, big.NewRat(step, 1)).FloatString(len(decimals)), true
}
