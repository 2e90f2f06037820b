package rules

import (
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// leaf is one value that rules may read as input.NAME.
type leaf struct {
	name      string
	kind      quantity.Kind
	options   []string // of a choice
	low, high int64    // what an answer lies between, as far as it is said
	asked     bool     // an answer; otherwise the engine knows or computes it
}

// anyHigh is taken where nothing says how large a value can be: a thousand
// kilometres in micrometres.
const anyHigh = 1_000_000_000_000

// table is everything that rules may read.
type table struct {
	leaves map[string]leaf
	params map[string]*engine.Param // by path
	names  map[string]*engine.Param // by the name in texts
	scopes map[engine.Scope][]string

	provided []string // leaves that the engine provides
}

// place says in which line of a check's file a text, or the ask of an id, stands.
type place func(c *engine.Check, text string) int

// newTable joins what the engine provides and what the checks ask for, those of
// a wider layer before those of a narrower one.
func newTable(checks []*engine.Check, params []*engine.Param, at place, out *faults) *table {
	t := &table{
		leaves: map[string]leaf{}, params: map[string]*engine.Param{}, names: map[string]*engine.Param{},
		scopes: map[engine.Scope][]string{},
	}
	for _, l := range engine.Leaves() {
		t.provided = append(t.provided, l.Name)
		t.leaves[l.Name] = leaf{name: l.Name, kind: l.Kind, high: anyHigh}
	}
	asked := map[string]string{}
	for _, c := range checks {
		for i := range c.Asks {
			t.ask(c, &c.Asks[i], asked, at, out)
		}
	}
	leads(checks, at, out)
	for _, p := range params {
		t.params[p.Path], t.names[p.Name] = p, p
	}
	t.sortScopes()
	return t
}

// leads: the lead of a group stands on the ask of it that comes first in the job.
func leads(checks []*engine.Check, at place, out *faults) {
	led := map[string]bool{}
	for _, c := range slices.SortedFunc(slices.Values(checks), inOrder) {
		for _, a := range c.Asks {
			group := string(a.Scope) + " " + a.Together
			if a.Lead != nil && led[group] {
				out.add(c.File, at(c, a.ID), "the lead of %q belongs to the first ask of it, and %q is not", a.Together, a.ID)
			}
			led[group] = true
		}
	}
}

func (t *table) ask(c *engine.Check, a *engine.Ask, asked map[string]string, at place, out *faults) {
	switch by, ok := asked[a.ID]; {
	case ok && by == c.ID:
		out.add(c.File, at(c, a.ID), "%q is asked twice in this check; take one of the two away", a.ID)
		return
	case ok:
		out.add(c.File, at(c, a.ID), "%q is asked by %s already; another check just reads it", a.ID, by)
		return
	}
	asked[a.ID] = c.ID
	l := leaf{name: leafName(a), kind: a.Kind, high: anyHigh, asked: true}
	if a.Min != nil {
		l.low = a.Min.Base()
	}
	if a.Max != nil {
		l.high = a.Max.Base()
	}
	for _, o := range a.Options {
		l.options = append(l.options, o.ID)
	}
	for _, own := range t.provided {
		if strings.HasPrefix(own+".", l.name+".") {
			out.add(c.File, at(c, a.ID), "an ask cannot be called %q; the program itself provides input.%s", a.ID, own)
			return
		}
	}
	t.leaves[l.name] = l
}

// leafName is how rules read the answer of an ask.
func leafName(a *engine.Ask) string {
	if a.Scope == engine.PerBore {
		return a.ID
	}
	return string(a.Scope) + "." + a.ID
}

// scopeOf says whose value a leaf is.
func scopeOf(leaf string) engine.Scope {
	for _, s := range scopes() {
		if strings.HasPrefix(leaf, s+".") {
			return engine.Scope(s)
		}
	}
	return engine.PerBore
}

// readable says whether a check of a scope may read a leaf.
func readable(leaf string, by engine.Scope) bool {
	s := scopeOf(leaf)
	return s == engine.PerBore || s == by
}

// sortScopes lists the leaves that a check of each scope may read.
func (t *table) sortScopes() {
	for _, l := range sortedKeys(t.leaves) {
		for _, s := range []engine.Scope{engine.PerBore, engine.PerFrequency, engine.PerCrossing} {
			if readable(l, s) {
				t.scopes[s] = append(t.scopes[s], l)
			}
		}
	}
}

// schemas are the JSON schemas of input and of data.params, for the type
// checker of the rule engine.
func (t *table) schemas() (input, limits map[string]any) {
	input, limits = object(), object()
	for _, name := range sortedKeys(t.leaves) {
		describe(input, name, schemaOf(shapeOf(t.leaves[name].kind)))
	}
	for _, path := range sortedKeys(t.params) {
		describe(limits, path, schemaOf(shapeOf(t.kindOf(path))))
	}
	return input, limits
}

// kindOf is the kind of a limit; where its value could not be read, a count.
func (t *table) kindOf(path string) quantity.Kind {
	if p := t.params[path]; p != nil && p.Value.Valid() {
		return p.Value.Kind()
	}
	return quantity.Count
}

// describe puts the schema of one value at its place below root.
func describe(root map[string]any, name string, schema map[string]any) {
	group, rest, deeper := strings.Cut(name, ".")
	props := root["properties"].(map[string]any)
	if !deeper {
		props[group] = schema
		return
	}
	if props[group] == nil {
		props[group] = object()
	}
	describe(props[group].(map[string]any), rest, schema)
}

func object() map[string]any {
	return map[string]any{"type": "object", "properties": map[string]any{}, "additionalProperties": false}
}

func schemaOf(s shape) map[string]any {
	switch s {
	case number:
		return map[string]any{"type": "integer"}
	case flag:
		return map[string]any{"type": "boolean"}
	case numbers, texts:
		return map[string]any{"type": "array", "items": schemaOf(s.item())}
	}
	return map[string]any{"type": "string"}
}
