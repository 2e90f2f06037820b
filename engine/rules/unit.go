package rules

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/storage"
	"github.com/open-policy-agent/opa/v1/storage/inmem"

	"firstrod/engine"
)

// unit is one check made ready.
type unit struct {
	check  *engine.Check
	slots  []slot // everything its rules can read
	exempt *query // nil where the check has no exempt rule
	pass   *query
	notes  []string // what was odd in it, or when it was tried

	limits   []*engine.Param // that its rules read
	compares bool            // and does not only want answers to be there
}

// slot is one leaf that a check can read.
type slot struct {
	leaf
	shape shape
}

// query is one rule of a check, with the input that it can see.
type query struct {
	prepared rego.PreparedEvalQuery
	reads    []int // slots
	input    *branch
}

// branch is one level of the input: values and further levels.
type branch struct {
	keys []*ast.Term
	at   []int     // slot of each key, or -1
	sub  []*branch // level of each key, or nil
}

// limitsStore is data.params, read without conversion.
func limitsStore(params []*engine.Param) storage.Store {
	return inmem.NewFromObjectWithOpts(map[string]any{"params": tree(params)}, inmem.OptReturnASTValuesOnRead(true))
}

func newUnit(ctx context.Context, c *ast.Compiler, store storage.Store, check *engine.Check, t *table) (*unit, error) {
	u := &unit{check: check}
	for _, l := range slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(check.ExemptReads), check.PassReads...)))) {
		u.slots = append(u.slots, slot{t.leaves[l], shapeOf(t.leaves[l].kind)})
	}
	var err error
	if len(check.ExemptReads) > 0 {
		if u.exempt, err = u.query(ctx, c, store, "exempt", check.ExemptReads); err != nil {
			return nil, err
		}
	}
	u.pass, err = u.query(ctx, c, store, "pass", check.PassReads)
	return u, err
}

func (u *unit) query(ctx context.Context, c *ast.Compiler, store storage.Store, rule string, reads []string) (*query, error) {
	q := &query{input: &branch{}}
	for i, s := range u.slots {
		if slices.Contains(reads, s.name) {
			q.reads = append(q.reads, i)
			q.input.grow(strings.Split(s.name, "."), i)
		}
	}
	var err error
	q.prepared, err = rego.New(
		rego.ParsedQuery(ast.NewBody(ast.NewExpr(ast.NewTerm(refOf(u.check, rule))))),
		rego.Compiler(c), rego.Store(store), rego.StrictBuiltinErrors(true),
	).PrepareForEval(ctx)
	return q, err
}

// grow adds a leaf to the input.
func (b *branch) grow(path []string, slot int) {
	key := ast.StringTerm(path[0])
	for i, k := range b.keys {
		if k.Equal(key) && b.sub[i] != nil {
			b.sub[i].grow(path[1:], slot)
			return
		}
	}
	b.keys = append(b.keys, key)
	if len(path) == 1 {
		b.at, b.sub = append(b.at, slot), append(b.sub, nil)
		return
	}
	next := &branch{}
	next.grow(path[1:], slot)
	b.at, b.sub = append(b.at, -1), append(b.sub, next)
}

// document is the input made of the values of the slots.
func (b *branch) document(values []*ast.Term) ast.Value {
	items := make([][2]*ast.Term, len(b.keys))
	for i, key := range b.keys {
		if b.sub[i] != nil {
			items[i] = [2]*ast.Term{key, ast.NewTerm(b.sub[i].document(values))}
		} else {
			items[i] = [2]*ast.Term{key, values[b.at[i]]}
		}
	}
	return ast.NewObject(items...)
}

// term puts a value into the form of the rule engine. It takes exactly the
// form that belongs to the leaf: a text where a number belongs would compare
// as larger than every number.
func (s slot) term(v any) (*ast.Term, error) {
	switch v := v.(type) {
	case int64:
		if s.shape == number {
			return numberTerm(v), nil
		}
	case bool:
		if s.shape == flag {
			return ast.BooleanTerm(v), nil
		}
	case string:
		if len(s.options) > 0 && !slices.Contains(s.options, v) {
			return nil, fmt.Errorf("%s: %q is not one of its options", s.name, v)
		}
		if s.shape == text {
			return ast.StringTerm(v), nil
		}
	case []int64:
		if s.shape == numbers {
			return listTerm(v, numberTerm), nil
		}
	case []string:
		if s.shape == texts {
			return listTerm(v, ast.StringTerm), nil
		}
	}
	return nil, fmt.Errorf("%s should be %s and is %T", s.name, s.shape, v)
}

func listTerm[T any](all []T, term func(T) *ast.Term) *ast.Term {
	terms := make([]*ast.Term, len(all))
	for i, v := range all {
		terms[i] = term(v)
	}
	return ast.ArrayTerm(terms...)
}

func numberTerm(n int64) *ast.Term {
	return ast.NumberTerm(json.Number(strconv.FormatInt(n, 10)))
}
