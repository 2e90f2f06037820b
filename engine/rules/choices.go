package rules

import (
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// option: a choice can only be one of its options.
func (c *comparing) option(e *ast.Expr, of, with worth) {
	for _, w := range with.oneOf {
		c.option(e, of, w)
	}
	word, isText := with.fixed.(ast.String)
	if isText && len(of.options) > 0 && !slices.Contains(of.options, string(word)) {
		c.fault(e, "%q is not an option of %s; the options are %s%s",
			string(word), of.from, strings.Join(of.options, ", "), near(string(word), of.options))
	}
}

// options holds what two sets that are put together have in them to each other.
func (c *comparing) options(e *ast.Expr, a, b worth) {
	for _, item := range b.items {
		c.option(e, a.item(), item)
	}
	for _, item := range a.items {
		c.option(e, b.item(), item)
	}
}

// part: of the options of a choice, some must have a part that is asked for, and not all.
func (c *comparing) part(e *ast.Expr, op string, of, with worth) {
	word, isText := with.fixed.(ast.String)
	if !isText || len(of.options) == 0 {
		return
	}
	has := map[string]func(s, part string) bool{"startswith": strings.HasPrefix, "endswith": strings.HasSuffix, "contains": strings.Contains}[op]
	n := 0
	for _, o := range of.options {
		if has(o, string(word)) {
			n++
		}
	}
	if n == 0 || n == len(of.options) {
		c.fault(e, "%q is in all options of %s or in none, so this line always says the same; the options are %s", string(word), of.from, strings.Join(of.options, ", "))
	}
}

// member holds a value to the entries of a list or set that it may be in.
func (c *comparing) member(e *ast.Expr, a, list worth) {
	if len(list.items) == 0 {
		item := list.item()
		c.units(e, a, item)
		c.option(e, item, a)
		return
	}
	for _, item := range list.items {
		before := len(c.out.list)
		if c.equals(e, a, item); len(c.out.list) > before {
			return
		}
	}
	has := func(v ast.Value) bool {
		return slices.ContainsFunc(list.items, func(w worth) bool { return w.fixed != nil && w.fixed.Compare(v) == 0 })
	}
	all := len(a.options) > 0 || a.shape == flag && has(ast.Boolean(true)) && has(ast.Boolean(false))
	for _, o := range a.options {
		all = all && has(ast.String(o))
	}
	if all {
		c.fault(e, "every answer that %s can have stands here, so this line always holds", a.called())
	}
}

// same: a value beside itself always gives the same.
func (c *comparing) same(e *ast.Expr, a, b worth) {
	if a.same != "" && a.same == b.same {
		c.fault(e, "both sides are the same, so this line says nothing; compare with another value")
	}
}
