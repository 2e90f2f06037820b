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
	"firstrod/policies"
)

// ruleBook is the rules of every place, ready to judge.
type ruleBook interface {
	engine.Rulebook
	Set(place string, day int64) *rules.Set
}

// oneBook is a book with the same rules everywhere.
type oneBook struct{ set *rules.Set }

func (b oneBook) At(string, int64) engine.Evaluator { return b.set }
func (b oneBook) Places() []string                  { return []string{""} }
func (b oneBook) Set(string, int64) *rules.Set      { return b.set }

// loadBook loads what a candidate holds. Where it has no base, the one inside
// this program is meant. No check that this program knows may be missing.
func loadBook(ctx context.Context, c desk.Candidate) (ruleBook, error) {
	own, err := fs.Sub(policies.Base, "base")
	if err != nil {
		return nil, err
	}
	pinned, err := rules.IDs(own)
	if err != nil {
		return nil, err
	}
	if c.Local() != nil {
		return nil, &engine.Error{Kind: engine.Rules, Say: "this program cannot use local packs", Hint: "take the folder local away"}
	}
	set, err := rules.Load(ctx, baseOf(c, own), rules.Options{Pinned: pinned})
	if err != nil {
		return nil, inBase(err)
	}
	return oneBook{set}, nil
}

func baseOf(c desk.Candidate, own fs.FS) fs.FS {
	if base := c.Base(); base != nil {
		return base
	}
	return own
}

// testBook runs all tests of what a candidate holds.
func testBook(ctx context.Context, c desk.Candidate) error {
	base := c.Base()
	if base == nil {
		return nil // the base inside this program was tested with it
	}
	report, err := rules.Test(ctx, base)
	if err != nil {
		return inBase(err)
	}
	return untested("base", report)
}

// inBase names files as they lie in the candidate.
func inBase(err error) error {
	var all []desk.Fault
	for _, f := range rules.Faults(err) {
		if f.File != "" {
			f.File = path.Join("base", f.File)
		}
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
