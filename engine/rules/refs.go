package rules

import (
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// ref checks what a rule reads: one known answer or one known limit, by name.
func (l *lint) ref(at *ast.Location, r ast.Ref) {
	switch {
	case r[0].Equal(ast.InputRootDocument):
		l.input(at, r)
	case r[0].Equal(ast.DefaultRootDocument):
		l.data(at, r)
	}
}

func (l *lint) input(at *ast.Location, r ast.Ref) {
	name, rest := named(r)
	if leaf, ok := l.table.leaves[name]; ok {
		switch {
		case !readable(name, l.check.Each):
			l.fault(at, "input.%s is there only in a check with each: %s", name, scopeOf(name))
		case len(rest) > 1, len(rest) == 1 && shapeOf(leaf.kind).item() == odd:
			l.fault(at, "input.%s is %s; there is nothing inside it", name, shapeOf(leaf.kind))
		}
		return
	}
	// input.frequencies.x and input.frequencies[0] have a leaf in front.
	for i := 1; i < len(r)-len(rest); i++ {
		if front, _ := named(r[:i+1]); l.table.leaves[front].name != "" {
			l.fault(at, "input.%s is %s; there is nothing called %s inside it",
				front, shapeOf(l.table.leaves[front].kind), r[i+1].Value)
			return
		}
	}
	if len(rest) > 0 || l.group(name) {
		l.fault(at, "%s reads more than one value; name each value that the rule needs", r)
		return
	}
	l.fault(at, "there is no input.%s%s", name, near("input."+name, l.leaves))
}

// group says whether a name stands for several leaves, as input.frequency does.
func (l *lint) group(name string) bool {
	for leaf := range l.table.leaves {
		if name == "" || strings.HasPrefix(leaf, name+".") {
			return true
		}
	}
	return false
}

func (l *lint) data(at *ast.Location, r ast.Ref) {
	name, rest := named(r)
	path, ok := strings.CutPrefix(name, "params.")
	switch {
	case !ok && name != "params":
		l.fault(at, "a rule reads answers (input.…) and limits (data.params.…), not %s", r)
	case l.table.params[path] == nil, len(rest) > 1, len(rest) == 1 && shapeOf(l.table.kindOf(path)).item() == odd:
		l.fault(at, "there is no limit %s%s", r, near("data."+name, l.limits()))
		l.out.list[len(l.out.list)-1].hint = "A new limit goes into " + paramsYAML + " of the pack, which you may have to make; then firstrod rules limits DIR writes " + paramsJSON + "."
	}
}

func (l *lint) limits() []string {
	var all []string
	for _, path := range sortedKeys(l.table.params) {
		all = append(all, "data.params."+path)
	}
	return all
}

// named gives the words after input or data joined by dots, up to the first
// part that is not a fixed word, and the parts from there on.
func named(r ast.Ref) (string, ast.Ref) {
	var words []string
	for i, part := range r[1:] {
		s, ok := part.Value.(ast.String)
		if !ok {
			return strings.Join(words, "."), r[i+1:]
		}
		words = append(words, string(s))
	}
	return strings.Join(words, "."), nil
}

// guarded: a scope that checks are asked for needs one check that fails when
// there is no item, or no item would mean nothing to fail.
func guarded(checks []*engine.Check, out *faults) {
	guards := map[engine.Scope][]*engine.Check{}
	for _, c := range checks {
		if c.Guards != engine.PerBore {
			guards[c.Guards] = append(guards[c.Guards], c)
		}
	}
	told := map[engine.Scope]bool{}
	for _, c := range checks {
		if c.Each == engine.PerBore || told[c.Each] || len(guards[c.Each]) > 0 {
			continue
		}
		told[c.Each] = true
		out.add(c.File, 1, "this check is for each %s, and no check has guards: %s; with no %s at all nothing would be checked",
			c.Each, c.Each, c.Each)
	}
	for _, s := range scopes() {
		if g := guards[engine.Scope(s)]; len(g) > 1 {
			out.add(g[1].File, 1, "%s has guards: %s already; there is one such check", g[0].ID, s)
		}
	}
}
