package rules

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// worth is what can be said of a value before there is one. The zero value says
// nothing.
type worth struct {
	shape   shape
	unit    string    // what it, or each of its entries, is counted in; "" where that is not known
	million bool      // it is a million times something in that unit
	options []string  // of a choice, or of a list of choices
	from    string    // the answer or limit that it comes from
	same    string    // two values with the same are the same
	fixed   ast.Value // what stands in the rule; nil where it is no number, text, true or false
	items   []worth   // of a list or set that is written out
	oneOf   []worth   // it is one of these, nobody knows which
	fields  map[string]worth
}

// item is one entry of a list or set.
func (w worth) item() worth {
	return worth{shape: w.shape.item(), unit: w.unit, options: w.options, from: w.from, oneOf: w.items}
}

// plain leaves out what is inside, one level down: lists of lists of lists would
// double it each time.
func (w worth) plain() worth {
	w.items, w.oneOf, w.fields = nil, nil, nil
	return w
}

// worth of a term, as far as it is known.
func (c *comparing) worth(t *ast.Term, known names) worth {
	switch v := t.Value.(type) {
	case ast.Number:
		w := worth{shape: number, unit: bare, same: v.String(), fixed: v}
		if w.zero() {
			w.unit = ""
		}
		return w
	case ast.String:
		return worth{shape: text, same: v.String(), fixed: v}
	case ast.Boolean:
		return worth{shape: flag, same: v.String(), fixed: v}
	case ast.Var:
		w := known[v]
		if w.same == "" {
			w.same = string(v)
		}
		return w
	case *ast.Array:
		return c.list(v.Foreach, known)
	case ast.Set:
		w := c.list(v.Foreach, known)
		w.shape = odd
		return w
	case ast.Object:
		w := worth{fields: map[string]worth{}}
		v.Foreach(func(key, item *ast.Term) {
			if name, ok := key.Value.(ast.String); ok {
				w.fields[string(name)] = c.worth(item, known).plain()
			}
		})
		return w
	case *ast.ArrayComprehension:
		return listOf(c.entry(v.Body, v.Term, known))
	case *ast.SetComprehension:
		w := listOf(c.entry(v.Body, v.Term, known))
		w.shape = odd
		return w
	case ast.Ref:
		return c.read(v, known)
	}
	return worth{}
}

// list is a list that is written out.
func (c *comparing) list(foreach func(func(*ast.Term)), known names) worth {
	var items []worth
	foreach(func(t *ast.Term) { items = append(items, c.worth(t, known).plain()) })
	w := listOf(either(items))
	w.items = items
	return w
}

// entry is one entry of a list that a loop makes.
func (c *comparing) entry(b ast.Body, item *ast.Term, known names) worth {
	inner := maps.Clone(known)
	for _, e := range b {
		c.learn(e, inner)
	}
	return c.worth(item, inner)
}

func listOf(item worth) worth {
	w := worth{unit: item.unit, options: item.options, from: item.from}
	switch item.shape {
	case number:
		w.shape = numbers
	case text:
		w.shape = texts
	}
	return w
}

// either is what is known of a value that is one of several.
func either(all []worth) worth {
	if len(all) == 0 {
		return worth{}
	}
	one := all[0]
	for _, w := range all[1:] {
		if w.shape != one.shape {
			return worth{}
		}
		switch {
		case one.zero():
			one.unit, one.from = w.unit, w.from
		case w.zero():
		case one.unit == "" || w.unit == "":
			one.unit = ""
		case one.unit != w.unit:
			one.unit = mixed
		}
		if !slices.Equal(one.options, w.options) {
			one.options = nil
		}
		one.same, one.fixed, one.items = "", nil, nil
	}
	return one
}

// read is what a rule reads: an answer, a limit, an entry of either, or a helper.
func (c *comparing) read(r ast.Ref, known names) worth {
	if v, ok := r[0].Value.(ast.Var); ok && len(r) == 2 {
		if w, local := known[v]; local {
			return w.at(r[1])
		}
	}
	name, rest := named(r)
	var w worth
	switch {
	case r[0].Equal(ast.InputRootDocument):
		l := c.table.leaves[name]
		w = worth{shape: shapeOf(l.kind), unit: unitOf(l.kind), options: l.options, from: name}
	case strings.HasPrefix(name, "params."):
		path := strings.TrimPrefix(name, "params.")
		w = worth{shape: shapeOf(c.table.kindOf(path)), unit: unitOf(c.table.kindOf(path)), from: path}
		if p := c.table.params[path]; p != nil {
			w.from = p.Name
		}
	default:
		return c.ofRule(r)
	}
	if len(rest) == 1 {
		w = w.at(rest[0])
	}
	w.same = r.String()
	return w
}

// at is the entry of a list at a place, or under a name.
func (w worth) at(place *ast.Term) worth {
	if name, ok := place.Value.(ast.String); ok {
		return w.fields[string(name)]
	}
	if n, ok := place.Value.(ast.Number); ok {
		if i, err := strconv.Atoi(string(n)); err == nil && i >= 0 && i < len(w.items) {
			return w.items[i]
		}
	}
	return w.item()
}

// ofRule is the value of a helper, or of an entry of one.
func (c *comparing) ofRule(r ast.Ref) worth {
	front := r.GroundPrefix()
	for len(front) > 1 && len(c.compiler.GetRulesExact(front)) == 0 {
		front = front[:len(front)-1]
	}
	w := c.helper(front)
	if w.shape == odd && len(front) == len(r) {
		w.shape = fromType(c.compiler.TypeEnv.GetByRef(front))
	}
	if len(r) == len(front)+1 {
		w = w.at(r[len(front)])
	}
	if w.same == "" || w.fixed != nil {
		w.same = r.String()
	}
	if w.shape == flag {
		w.fixed = nil
	}
	return w
}

// helper is the value of a helper rule, which the compiler does not say in full.
func (c *comparing) helper(front ast.Ref) worth {
	key := front.String()
	if w, done := c.helpers[key]; done {
		return w
	}
	var all []worth
	for _, r := range c.compiler.GetRulesExact(front) {
		known := names{}
		for _, e := range r.Body {
			c.learn(e, known)
		}
		switch {
		case len(r.Head.Args) > 0:
			all = append(all, worth{})
		case r.Head.Key != nil:
			w := listOf(c.worth(r.Head.Key, known))
			w.shape = odd
			all = append(all, w)
		default:
			all = append(all, c.worth(r.Head.Value, known))
		}
	}
	c.helpers[key] = either(all)
	return c.helpers[key]
}
