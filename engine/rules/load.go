package rules

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// Options says how a pack is loaded. The zero value is right for the base.
type Options struct {
	Layer    string        // "" means "base"
	Pinned   []string      // ids of checks that must be there, see IDs
	Draft    bool          // take texts with blanks still to be filled, see Blank
	Deadline time.Duration // for one rule on one subject; 0 means 250 ms
	Total    time.Duration // for the whole of Load; 0 means 5 s
}

func (o Options) withDefaults() Options {
	if o.Layer == "" {
		o.Layer = "base"
	}
	if o.Deadline == 0 {
		o.Deadline = 250 * time.Millisecond
	}
	if o.Total == 0 {
		o.Total = 5 * time.Second
	}
	return o
}

// Load reads a pack, refuses anything odd, tries every rule on made-up values
// and gives a ready Set. Errors are *engine.Error of kind Rules; Say names the
// file, the line and the word. When the time is up Load returns, but the rule
// engine's compiler cannot be stopped and may go on for a while behind it.
func Load(ctx context.Context, fsys fs.FS, opts Options) (*Set, error) {
	opts = opts.withDefaults()
	ctx, cancel := context.WithTimeout(ctx, opts.Total)
	defer cancel()
	type result struct {
		set *Set
		err error
	}
	done := make(chan result, 1)
	go func() {
		set, err := guard(func() (*Set, error) { return build(ctx, fsys, opts) })
		done <- result{set, err}
	}()
	select {
	case r := <-done:
		return r.set, r.err
	case <-ctx.Done():
		return nil, &engine.Error{
			Kind: engine.Rules, Err: ctx.Err(),
			Say:  fmt.Sprintf("the rules could not be made ready within %s", opts.Total),
			Hint: "Look for loops that stand in each other in the rule that was changed last.",
		}
	}
}

// guard turns a panic of the rule engine into a refusal.
func guard(f func() (*Set, error)) (set *Set, err error) {
	defer func() {
		if r := recover(); r != nil {
			set, err = nil, &engine.Error{
				Kind: engine.Rules, Say: "the rules could not be made ready", Err: fmt.Errorf("panic: %v", r),
			}
		}
	}()
	return f()
}

// draft is a pack on its way to a Set.
type draft struct {
	pack     *pack
	opts     Options
	caps     *ast.Capabilities
	checks   []*engine.Check
	modules  map[string]*ast.Module // by file
	params   []*engine.Param
	table    *table
	input    map[string]any // schema of input
	limits   map[string]any // schema of data.params
	compiler *ast.Compiler
}

func build(ctx context.Context, fsys fs.FS, opts Options) (*Set, error) {
	p, err := readPack(fsys)
	if err != nil {
		return nil, err
	}
	d := &draft{pack: p, opts: opts, caps: capabilities(), modules: map[string]*ast.Module{}}
	stages := []func(out *faults){d.read, d.join, d.lint, d.compile}
	if !opts.Draft {
		stages = append(stages, d.blanks)
	}
	for _, stage := range stages {
		out := &faults{}
		if stage(out); len(out.list) > 0 {
			return nil, out.err()
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	s, err := d.set(ctx)
	if err != nil {
		return nil, err
	}
	return s, s.try(ctx)
}

// read reads every file by itself.
func (d *draft) read(out *faults) {
	d.readParams(out)
	d.readFiles(out)
	d.readTests(out)
}

func (d *draft) readParams(out *faults) {
	d.params = readParams(d.pack.yaml, out)
	if len(out.list) > 0 {
		return
	}
	want, err := writeParams(d.params)
	if err != nil || !bytes.Equal(want, d.pack.json) {
		out.add(paramsJSON, 0, "this file does not match %s; make it anew", paramsYAML)
	}
}

func (d *draft) readFiles(out *faults) {
	for _, f := range d.pack.checks {
		m, parsed := parse(f, d.caps, out)
		c, read := readCheck(f, d.opts.Layer, out)
		if parsed && read {
			d.modules[f.path] = m
			d.checks = append(d.checks, c)
		}
	}
}

// readTests: tests are not part of a Set, but must not look like a part of a
// check to anybody who runs the pack with the stock engine.
func (d *draft) readTests(out *faults) {
	for _, f := range d.pack.tests {
		line, at := "", 0
		for i, l := range strings.Split(string(f.data), "\n") {
			if line, at = strings.TrimSpace(l), i+1; line != "" && line[0] != '#' {
				break
			}
		}
		want := "package tests." + d.opts.Layer + "." + strings.TrimSuffix(idOf(f.path), testSuffix)
		if line != want {
			out.add(f.path, at, "this file must begin with %s, and begins with %q", want, line)
		}
	}
}

// join looks at the checks together.
func (d *draft) join(out *faults) {
	slices.SortFunc(d.checks, inOrder)
	d.table = newTable(d.checks, d.params, d.lineOf, out)
	d.input, d.limits = d.table.schemas()
	d.table.places(d.checks, d.lineOf, out)
	guarded(d.checks, out)
	have := map[string]bool{}
	for _, c := range d.checks {
		have[c.ID] = true
	}
	for _, id := range d.opts.Pinned {
		if !have[id] {
			out.list = append(out.list, fault{
				file: fileOf(id), say: "the check " + id + " is missing; checks of the base cannot be taken away",
				hint: "Put the file back, with its tests beside it.",
			})
		}
	}
}

// lineOf is the first line of a check's file that holds a text, or the first.
func (d *draft) lineOf(c *engine.Check, text string) int {
	for _, f := range d.pack.checks {
		if f.path == c.File {
			if before, _, ok := bytes.Cut(f.data, []byte(text)); ok {
				return bytes.Count(before, []byte("\n")) + 1
			}
		}
	}
	return 1
}

// inOrder puts checks in the order of the job.
func inOrder(a, b *engine.Check) int {
	if a.Order != b.Order {
		return a.Order - b.Order
	}
	return strings.Compare(a.ID, b.ID)
}

func (d *draft) lint(out *faults) {
	for _, c := range d.checks {
		l := &lint{check: c, module: d.modules[c.File], table: d.table, out: out}
		for _, leaf := range d.table.scopes[c.Each] {
			l.leaves = append(l.leaves, "input."+leaf)
		}
		l.run()
	}
}

func (d *draft) compile(out *faults) {
	d.compiler = compile(d.modules, d.caps, d.input, d.limits)
	if d.compiler.Failed() {
		files := map[string]file{}
		for _, f := range d.pack.checks {
			files[f.path] = f
		}
		translate(d.compiler.Errors, files, out)
		return
	}
	for _, c := range d.checks {
		cmp := &comparing{check: c, compiler: d.compiler, table: d.table, out: out}
		cmp.module(d.compiler.Modules[c.File])
		needs(d.compiler, c, out)
		c.Digest = digest(c, d.modules[c.File], d.table)
	}
}

// set makes the Set.
func (d *draft) set(ctx context.Context) (*Set, error) {
	rev, err := revision(d.pack, d.caps, d.input, d.limits)
	if err != nil {
		return nil, err
	}
	blob, err := archive(d.pack.files)
	if err != nil {
		return nil, err
	}
	s := &Set{
		catalogue: engine.NewCatalogue(rev, engineName(), blob, d.checks, d.params),
		units:     map[string]*unit{}, deadline: d.opts.Deadline,
	}
	if err := d.unread(s.catalogue); err != nil {
		return nil, err
	}
	store := limitsStore(d.params)
	for _, c := range d.checks {
		if s.units[c.ID], err = newUnit(ctx, d.compiler, store, c, d.table); err != nil {
			return nil, &engine.Error{Kind: engine.Rules, Say: c.File + ": this check could not be made ready", Err: err}
		}
	}
	return s, nil
}

// unread refuses an ask that no rule reads, not even through a computed value:
// nobody would ever be asked it, which its author did not mean.
func (d *draft) unread(cat *engine.Catalogue) error {
	out := &faults{}
	for _, c := range d.checks {
		for i := range c.Asks {
			if a := &c.Asks[i]; len(cat.ReadBy(leafName(a))) == 0 {
				out.add(c.File, d.lineOf(c, "id: "+a.ID), "no rule reads input.%s, so nobody would be asked it", leafName(a))
			}
		}
	}
	return out.err()
}
