package rules

import (
	"slices"

	"firstrod/engine"
)

// join looks at the checks together, with those of the wider layers.
func (t *tier) join(out *faults) {
	t.ids(out)
	all := t.all()
	t.table = newTable(all, t.params(), t.askLine, out)
	t.input, t.limits = t.table.schemas()
	t.table.places(t.checks, t.lineOf, out)
	guarded(slices.SortedFunc(slices.Values(all), inOrder), out)
	if t.calls != nil {
		t.calls.fits(t.table.names[toleranceZone], out)
	}
	if t.over != nil {
		return
	}
	have := map[string]bool{}
	for _, c := range t.checks {
		have[c.ID] = true
	}
	for _, id := range t.opts.Pinned {
		if !have[id] {
			out.list = append(out.list, fault{
				file: t.dir + fileOf(id), say: "the check " + id + " is missing; checks of the base cannot be taken away",
				hint: "Put the file back, with its tests beside it.",
			})
		}
	}
}

// ids: an id means one check for ever, in every place where it can be met.
func (t *tier) ids(out *faults) {
	taken := map[string]*engine.Check{}
	for _, c := range t.over.all() {
		taken[c.ID] = c
	}
	gone := map[string]engine.Retired{}
	for _, l := range t.chain() {
		for _, r := range l.retired {
			if twice, ok := gone[r.ID]; ok {
				out.add(t.retiredIn(), 0, "the check %s is retired by %s already", r.ID, twice.Pack)
			}
			gone[r.ID] = r
		}
	}
	for _, r := range t.retired {
		if c, ok := taken[r.ID]; ok {
			out.add(t.retiredIn(), 0, "the check %s belongs to %s; only the pack that a check is in can retire it", r.ID, c.Layer)
		}
	}
	for _, c := range t.checks {
		if other, ok := taken[c.ID]; ok {
			out.list = append(out.list, fault{file: c.File, line: 1, say: "there is a check " + c.ID + " in " + other.Layer + " already",
				hint: "Give it a name of its own; a local pack adds checks and cannot write over one."})
		}
		if r, ok := gone[c.ID]; ok {
			out.list = append(out.list, fault{file: c.File, line: 1, say: "the check " + c.ID + " was retired by " + r.Pack + "; its name is never used again",
				hint: "Give it another name."})
		}
	}
}

func (t *tier) retiredIn() string {
	if t.local {
		return t.dir + overlayYAML
	}
	return t.dir + retiredYAML
}

func (t *tier) lint(out *faults) {
	for _, c := range t.checks {
		l := &lint{check: c, module: t.modules[c.File], table: t.table, out: out}
		for _, leaf := range t.table.scopes[c.Each] {
			l.leaves = append(l.leaves, "input."+leaf)
		}
		l.run()
	}
}

// compile compiles the checks of this layer alone: a check reads answers and
// limits and nothing of another check, so that none has to be compiled again
// under a narrower layer.
func (t *tier) compile(out *faults) {
	t.compiler = compile(t.modules, capabilities(), t.input, t.limits)
	if t.compiler.Failed() {
		files := map[string]file{}
		for _, f := range t.pack.checks {
			files[f.path] = f
		}
		translate(t.compiler.Errors, files, out)
		return
	}
	for _, c := range t.checks {
		cmp := &comparing{check: c, compiler: t.compiler, table: t.table, out: out}
		cmp.module(t.compiler.Modules[c.File])
		needs(t.compiler, c, out)
		t.written[c.ID] = reachable(t.modules[c.File])
		c.Digest = digest(c, t.written[c.ID], t.table.params)
	}
}

// unread refuses an ask that no rule reads, not even through a computed value:
// nobody would ever be asked it, which its author did not mean.
func (t *tier) unread(out *faults) {
	cat := engine.NewCatalogue("", "", nil, t.all(), nil)
	for _, c := range t.checks {
		for i := range c.Asks {
			if a := &c.Asks[i]; len(cat.ReadBy(leafName(a))) == 0 {
				out.add(c.File, t.askLine(c, a.ID), "no rule reads input.%s, so nobody would be asked it", leafName(a))
			}
		}
	}
}
