package rules

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

const floorHint = "A stricter rule goes into a local pack as a check of its own, and a limit is loosened there, with relax. " +
	"Take the folder base away to use the base inside this program."

// Weaker lists, as a refusal, what a base of somebody's own makes less strict than the
// base it was copied from, or nil. It may add checks, make limits stricter and say
// things in other words. Whatever else could be a way round the relax of local packs:
// what was approved, by whom, and until when would stand nowhere.
func Weaker(floor, own *Set) error {
	d, err := Compare(floor, own)
	if err != nil {
		return err
	}
	out := &faults{}
	limits := path.Join(path.Dir(path.Dir(own.catalogue.Checks[0].File)), paramsYAML)
	for _, c := range d.Removed {
		weak(out, c.File, "the check %s is missing", c.ID)
	}
	for _, l := range d.Limits {
		if l.Before != nil {
			weakLimit(out, limits, l)
		}
	}
	for _, c := range d.Changed {
		if len(c.Gone)+len(c.New) > 0 { // one more rule is one more way to pass
			weak(out, c.After.File, "the rule of %s is another than in the base inside this program", c.After.ID)
		}
		for _, w := range c.What {
			switch {
			case w.Way == Looser:
				weak(out, c.After.File, "%s, %s: was %q, is now %q, which is less strict", c.After.ID, w.Name, w.Before, w.After)
			case w.Way == Other && !onlySaid(w.Name):
				weak(out, c.After.File, "%s, %s is another than in the base inside this program", c.After.ID, w.Name)
			}
		}
	}
	return out.err()
}

// onlySaid are details that change what people read and nothing that counts. What a
// new answer voids, its unit, or the words of a choice decide what is recorded.
func onlySaid(name string) bool {
	_, ask, found := strings.Cut(name, ": ")
	if found {
		name = ask
	}
	return slices.Contains([]string{
		"source", "title", "title in Spanish", "words when it does not hold", "words when it holds", "reason", "what to do next",
		"place in the order", "words",
	}, name)
}

// WeakerCalls lists what the table of states of one's own makes narrower or surer than
// the one it was copied from. A width is changed for a state in a local pack, which
// says why, or with the program.
func WeakerCalls(ctx context.Context, floor, own fs.FS) error {
	was, err := callsOf(ctx, floor)
	if err != nil {
		return err
	}
	is, err := callsOf(ctx, own)
	if err != nil {
		return err
	}
	out := &faults{}
	for _, state := range sortedKeys(was) {
		if now, there := is[state]; !there || now.weaker(was[state]) {
			weak(out, path.Join("base", oneCallCSV), "%s has not the width, or not the standing, of the table inside this program", state)
		}
	}
	return out.err()
}

func callsOf(ctx context.Context, base fs.FS) (map[string]oneCall, error) {
	sh, err := newShelf(ctx, Layers{Base: base}, Options{}.withDefaults(bookTime))
	if err != nil || sh.base.calls == nil {
		return nil, err
	}
	return sh.base.calls.rows, nil
}

// weaker: another row is only as strict if it says the same, or a wider zone as surely.
func (o oneCall) weaker(than oneCall) bool {
	if o.status != than.status || than.half && !o.half || len(o.inches) != len(than.inches) {
		return o.raw != than.raw
	}
	for i, n := range o.inches {
		if n < than.inches[i] {
			return true
		}
	}
	return false
}

// weakLimit goes by what the floor calls stricter, not by what the copy does.
func weakLimit(out *faults, file string, l LimitChange) {
	was, is := l.Before, l.After
	switch {
	case is == nil:
		weak(out, file, "the limit %s is missing", was.Name)
	case is.Value.Kind() != was.Value.Kind() || isLooser(was, is.Value):
		weak(out, file, "%s is less strict than in the base inside this program", was.Name)
	case is.Stricter != was.Stricter || was.Fixed && !is.Fixed:
		weak(out, file, "%s may be loosened more easily than in the base inside this program", was.Name)
	case was.Fixed && !is.Value.Equal(was.Value):
		weak(out, file, "%s is fixed, and another than in the base inside this program", was.Name)
	}
}

func weak(out *faults, file, format string, args ...any) {
	out.list = append(out.list, fault{file: file, say: fmt.Sprintf(format, args...), hint: floorHint})
}
