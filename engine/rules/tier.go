package rules

import (
	"bytes"
	"context"
	"hash"
	"io/fs"
	"regexp"
	"strings"

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

// askLine is the line of a check's file that an ask begins in, the last one where its
// id stands there twice; the first line where it is not found.
func (t *tier) askLine(c *engine.Check, id string) int {
	entry, last := regexp.MustCompile(`^#[\s-]*id:\s*["']?`+regexp.QuoteMeta(id)+`["']?\s*(#.*)?$`), 1
	for _, l := range t.chain() {
		for _, f := range l.pack.checks {
			if f.path != c.File {
				continue
			}
			for i, line := range strings.Split(string(f.data), "\n") {
				if entry.MatchString(strings.TrimSpace(line)) {
					last = i + 1
				}
			}
		}
	}
	return last
}

// inOrder puts checks in the order of the job.
func inOrder(a, b *engine.Check) int {
	if a.Order != b.Order {
		return a.Order - b.Order
	}
	return strings.Compare(a.ID, b.ID)
}
