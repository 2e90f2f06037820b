package rules

import (
	"bytes"
	"context"
	"hash"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// baseCode is what the widest layer is called.
const baseCode = "base"

// tierOf says where a tier is read from.
type tierOf struct {
	fsys  fs.FS
	dir   string // in front of its files, "local/va/"; "" for a single pack
	code  string // "base" or the code of a local pack
	local bool
	over  *tier // the next wider layer; nil for the base
	pack  *pack // what was read of it; nil: not read yet
}

// tier is one pack laid over those of wider places: read, linted and compiled.
// Only limits and what is waived for a time still depend on the day.
type tier struct {
	tierOf
	opts    Options
	overlay *overlay // nil for the base
	retired []engine.Retired
	calls   *oneCalls // of the base, may be nil

	checks   []*engine.Check // its own, in the order of the job
	own      limits
	modules  map[string]*ast.Module // its own, by file
	written  map[string][]string    // by check: the rules that count, as text
	table    *table                 // what it and the wider ones may read
	input    map[string]any         // schema of input
	limits   map[string]any         // schema of data.params
	compiler *ast.Compiler
	ready    map[string]*unit // by digest
	content  hash.Cloner      // of the files of the chain
	blob     []byte           // the same files
}

func newTier(ctx context.Context, from tierOf, opts Options) (*tier, error) {
	if from.pack == nil {
		p, err := readPack(from.fsys, from.dir, from.local)
		if err != nil {
			return nil, err
		}
		from.pack = p
	}
	t := &tier{tierOf: from, opts: opts, modules: map[string]*ast.Module{}, written: map[string][]string{}, ready: map[string]*unit{}}
	stages := []func(out *faults){t.read, t.join, t.lint, t.compile, t.unread}
	if !opts.Draft {
		stages = append(stages, t.blanks)
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
	return t, t.keep()
}

// keep makes what all editions of the tier have in common.
func (t *tier) keep() error {
	var files []file
	for _, l := range t.chain() {
		files = append(files, l.pack.files...)
	}
	var err error
	if t.content, err = content(files, []any{capabilities(), t.input, t.limits}); err != nil {
		return err
	}
	t.blob, err = archive(files)
	return err
}

// chain is the layers from the base to this one.
func (t *tier) chain() []*tier {
	if t == nil {
		return nil
	}
	return append(t.over.chain(), t)
}

// all lists the checks of the chain, the base first.
func (t *tier) all() []*engine.Check {
	var all []*engine.Check
	for _, l := range t.chain() {
		all = append(all, l.checks...)
	}
	return all
}

// params lists the limits of the chain as their own layers set them.
func (t *tier) params() []*engine.Param {
	var all []*engine.Param
	for _, l := range t.chain() {
		all = append(all, l.own.all...)
	}
	return all
}

// read reads every file by itself.
func (t *tier) read(out *faults) {
	if t.local {
		t.overlay = readOverlay(t.dir+overlayYAML, t.pack.overlay, out)
		t.retired = t.overlay.retired
	} else if t.pack.retired != nil {
		t.retired = readRetired(t.dir+retiredYAML, t.pack.retired, out)
	}
	for i := range t.retired {
		t.retired[i].Pack = t.code
	}
	if t.pack.oneCall != nil {
		t.calls = readOneCalls(t.dir+oneCallCSV, t.pack.oneCall, out)
	}
	t.readParams(out)
	t.readFiles(out)
	t.readTests(out)
}

func (t *tier) readParams(out *faults) {
	if t.pack.yaml == nil {
		return
	}
	t.own = readLimits(t.dir+paramsYAML, t.pack.yaml, out)
	if len(out.list) > 0 {
		return
	}
	want, err := writeParams(t.own.all)
	if err != nil || !bytes.Equal(want, t.pack.json) {
		out.add(t.dir+paramsJSON, 0, "this file does not match %s; make it anew", paramsYAML)
	}
	names := map[string]bool{}
	for _, p := range t.over.params() {
		names[p.Name] = true
	}
	for _, p := range t.own.all {
		if p.Pack = t.code; names[p.Name] && t.over != nil && t.over.knows(p.Name) {
			out.list = append(out.list, fault{file: t.dir + paramsYAML,
				say:  "the limit " + p.Name + " is there in a wider pack already",
				hint: "Set it under limits in " + overlayYAML + "; " + paramsYAML + " of a local pack is for new limits."})
		} else if names[p.Name] {
			out.add(t.dir+paramsYAML, 0, "the limit %s is there twice", p.Name)
		}
		names[p.Name] = true
	}
}

func (t *tier) knows(limit string) bool { return t.table.names[limit] != nil }

// readFiles reads the checks, each by itself and so on every core there is.
func (t *tier) readFiles(out *faults) {
	results := make([]checkFile, len(t.pack.checks))
	caps := capabilities()
	next := make(chan int)
	var work sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(results)) {
		work.Go(func() {
			for i := range next {
				results[i].read(t.pack.checks[i], t.code, caps)
			}
		})
	}
	for i := range results {
		next <- i
	}
	close(next)
	work.Wait()
	for i, r := range results {
		out.list = append(out.list, r.out.list...)
		if r.check != nil {
			t.modules[t.pack.checks[i].path] = r.module
			t.checks = append(t.checks, r.check)
		}
	}
	slices.SortFunc(t.checks, inOrder)
}

// checkFile is a check as it was read. Without faults it has both parts.
type checkFile struct {
	module *ast.Module
	check  *engine.Check
	out    faults
}

// read reads one file. A panic of the rule engine is one more fault: it would end
// the program otherwise, for the guard of Load does not see another goroutine.
func (c *checkFile) read(f file, layer string, caps *ast.Capabilities) {
	_, err := guard(func() (bool, error) {
		m, parsed := parse(f, caps, &c.out)
		if check, read := readCheck(f, layer, &c.out); parsed && read {
			c.module, c.check = m, check
		}
		return true, nil
	})
	if err != nil {
		c.check = nil
		c.out.list = append(c.out.list, fault{file: f.path, say: "this file cannot be read", err: err})
	}
}

// readTests: tests are not part of a Set, but must not look like a part of a
// check to anybody who runs the pack with the stock engine.
func (t *tier) readTests(out *faults) {
	for _, f := range t.pack.tests {
		line, at := "", 0
		for i, l := range strings.Split(string(f.data), "\n") {
			if line, at = strings.TrimSpace(l), i+1; line != "" && line[0] != '#' {
				break
			}
		}
		want := "package tests." + packageOf(t.code) + "." + strings.TrimSuffix(idOf(f.path), testSuffix)
		if line != want {
			out.add(f.path, at, "this file must begin with %s, and begins with %q", want, line)
		}
	}
}

// lineOf is the first line of a check's file that holds a text, or the first.
func (t *tier) lineOf(c *engine.Check, text string) int {
	for _, l := range t.chain() {
		for _, f := range l.pack.checks {
			if f.path != c.File {
				continue
			}
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
