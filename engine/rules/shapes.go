package rules

import (
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/types"

	"firstrod/engine/quantity"
)

// shape is what rules see of a value: the form that an answer takes in Go and
// in Rego.
type shape int

const (
	odd     shape = iota // nothing that can be said beforehand
	number               // int64, number
	text                 // string, string
	flag                 // bool, boolean
	numbers              // []int64, array
	texts                // []string, array
)

func (s shape) String() string {
	return [...]string{"something unclear", "a number", "a text", "a yes or no", "a list of numbers", "a list of texts"}[s]
}

func shapeOf(k quantity.Kind) shape {
	if item, ok := k.Item(); ok && item.Numeric() {
		return numbers
	}
	switch {
	case k == quantity.YesNo:
		return flag
	case k == quantity.Names:
		return texts
	case k.Numeric():
		return number
	case k == quantity.Choice, k == quantity.Text, k == quantity.Serial:
		return text
	}
	return odd
}

// item is the shape of one entry of a list.
func (s shape) item() shape {
	switch s {
	case numbers:
		return number
	case texts:
		return text
	}
	return odd
}

// shape of a term, as far as it is known.
func (c *comparing) shape(t *ast.Term, known map[ast.Var]shape) shape {
	switch v := t.Value.(type) {
	case ast.Number:
		return number
	case ast.String:
		return text
	case ast.Boolean:
		return flag
	case ast.Var:
		return known[v]
	case *ast.Array:
		return c.array(v, known)
	case ast.Ref:
		return c.refShape(v, known)
	}
	return odd
}

func (c *comparing) array(a *ast.Array, known map[ast.Var]shape) shape {
	s := odd
	for i := range a.Len() {
		item := c.shape(a.Elem(i), known)
		if i > 0 && item != s {
			return odd
		}
		s = item
	}
	switch s {
	case number:
		return numbers
	case text:
		return texts
	}
	return odd
}

func (c *comparing) refShape(r ast.Ref, known map[ast.Var]shape) shape {
	if v, ok := r[0].Value.(ast.Var); ok && len(r) == 2 && known[v] != odd {
		return known[v].item()
	}
	name, rest := named(r)
	switch {
	case r[0].Equal(ast.InputRootDocument):
		s := shapeOf(c.table.leaves[name].kind)
		if len(rest) == 1 {
			return s.item()
		}
		return s
	case strings.HasPrefix(name, "params."):
		s := shapeOf(c.table.kindOf(strings.TrimPrefix(name, "params.")))
		if len(rest) == 1 {
			return s.item()
		}
		return s
	}
	if !r.IsGround() {
		return odd
	}
	if s := fromType(c.compiler.TypeEnv.GetByRef(r)); s != odd {
		return s
	}
	return c.helper(c.compiler.GetRulesExact(r))
}

// helper is the shape of the value of a helper rule where the compiler does
// not say it, as for the smaller of two values.
func (c *comparing) helper(rules []*ast.Rule) shape {
	all := odd
	for i, r := range rules {
		known := map[ast.Var]shape{}
		for _, e := range r.Body {
			c.learn(e, known)
		}
		s := odd
		if r.Head.Key == nil && len(r.Head.Args) == 0 {
			s = c.shape(r.Head.Value, known)
		}
		if i > 0 && s != all {
			return odd
		}
		all = s
	}
	return all
}

func fromType(t types.Type) shape {
	switch t := t.(type) {
	case types.Number:
		return number
	case types.String:
		return text
	case types.Boolean:
		return flag
	case *types.Array:
		switch fromType(t.Dynamic()) {
		case number:
			return numbers
		case text:
			return texts
		}
	}
	return odd
}
