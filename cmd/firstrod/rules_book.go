package main

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
)

// loadBook loads what a candidate holds. Where it has no base, the one inside
// this program is meant; where it has no local packs, there are none. No check that
// this program knows may be missing.
func loadBook(ctx context.Context, c desk.Candidate) (*rules.Book, error) {
	own, err := inside()
	if err != nil {
		return nil, err
	}
	pinned, err := rules.IDs(own.Base)
	if err != nil {
		return nil, err
	}
	book, err := rules.LoadBook(ctx, layersIn(c, own), rules.Options{Pinned: pinned})
	if err != nil {
		return nil, asDesk(err)
	}
	return book, nil
}

// wary refuses rules that load and could still loosen something unsaid: a base of
// one's own that is less strict than the one inside this program, and limits whose
// stricter side is the wrong one. It is asked before rules come into force, and not of
// those that are: a newer program must not take the rules away from a crew.
func wary(ctx context.Context, layers rules.Layers, book *rules.Book) error {
	own, err := inside()
	if err != nil {
		return err
	}
	floor, err := rules.LoadBook(ctx, rules.Layers{Base: own.Base}, rules.Options{})
	if err != nil {
		return err
	}
	for _, err := range []error{
		rules.Weaker(floor.Set("", 0), book.Set("", 0)), rules.WeakerCalls(ctx, own.Base, layers.Base), rules.Wayward(ctx, layers),
	} {
		if err != nil {
			return asDesk(err)
		}
	}
	return nil
}

func layersIn(c desk.Candidate, own rules.Layers) rules.Layers {
	l := rules.Layers{Base: own.Base, Local: c.Local()}
	if base := c.Base(); base != nil {
		l.Base = base
	}
	return l
}

// testBook runs all tests of what a candidate holds: those of its base, and those of
// each local pack over the wider ones.
func testBook(ctx context.Context, c desk.Candidate) error {
	own, err := inside()
	if err != nil {
		return err
	}
	if c.Base() != nil { // the base inside this program was tested with it
		report, err := rules.Test(ctx, c.Base())
		if err != nil {
			return asDesk(err)
		}
		if err := untested("base", report); err != nil {
			return err
		}
	}
	if c.Local() == nil {
		return nil
	}
	layers := layersIn(c, own)
	codes, err := fs.ReadDir(layers.Local, ".")
	if err != nil {
		return err
	}
	for _, code := range codes {
		report, err := rules.TestLocal(ctx, layers, code.Name())
		if err != nil {
			return asDesk(err)
		}
		if err := untested(path.Join("local", code.Name()), report); err != nil {
			return err
		}
	}
	return nil
}

// asDesk keeps each fault of rules by itself.
func asDesk(err error) error {
	var all []desk.Fault
	for _, f := range rules.Faults(err) {
		all = append(all, desk.Fault{File: f.File, Line: f.Line, Say: f.Say, Hint: f.Hint})
	}
	return desk.Refuse(all, err)
}

// untested is nil when the tests of a pack show all they should.
func untested(pack string, report rules.Report) error {
	var all []desk.Fault
	for _, c := range report.Checks {
		file := path.Join(pack, strings.ReplaceAll(c.ID, ".", "/"))
		for _, t := range c.Failed {
			all = append(all, desk.Fault{File: file + "_test.rego", Say: "the test " + t + " fails"})
		}
		for _, l := range c.Uncovered {
			all = append(all, desk.Fault{File: file + ".rego", Line: l.From, Say: "no test reaches this line"})
		}
		for _, l := range c.Lacks {
			all = append(all, desk.Fault{File: file + "_test.rego", Say: l})
		}
	}
	if len(all) == 0 && !report.OK() {
		return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf("the pack %s has no tests", pack)}
	}
	return desk.Refuse(all, nil)
}
