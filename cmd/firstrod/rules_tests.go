package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// testedJSON says how the tests of a pack went.
type testedJSON struct {
	OK     bool             `json:"ok"`
	Tests  int              `json:"tests"`
	Checks []testsOfCheck   `json:"checks"`
	Slips  *slipsOfPackJSON `json:"slips,omitempty"` // with --mutate
}

type testsOfCheck struct {
	Check     string   `json:"check"`
	OK        bool     `json:"ok"`
	Passed    int      `json:"passed"`
	Failed    []string `json:"failed"`
	Unreached [][2]int `json:"unreached"` // first and last line
	Lacks     []string `json:"lacks"`
}

type slipsOfPackJSON struct {
	Made      int        `json:"made"`
	Noticed   int        `json:"noticed"`
	Refused   int        `json:"refused"`
	Explained int        `json:"explained"`
	Survivors []slipJSON `json:"survivors"`
}

type slipJSON struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Kind   string `json:"kind"`
	Before string `json:"before"`
	After  string `json:"after"`
}

func (a *app) rulesTest() *cobra.Command {
	mutate, w := false, where{}
	cmd := &cobra.Command{
		Use:   "test [DIR]",
		Short: "Run the tests of a rule pack",
		Long: `test runs every test beside every check, and says which tests fail, which lines
of a check no test reaches, and which checks are never shown to hold or not to
hold. Blanks of a new check may still be open.

With --mutate it then puts one slip after the other into each check: "at least"
becomes "more than", a number one more, a condition is left out, and so on. For
each the tests of that check must fail. A slip that nothing noticed is printed
with its line. Where none can be noticed, DIR.survivors.yaml beside the folder
of the pack names it, with the reason.

The base is tested by itself, and each local pack over the wider ones; with
--place only those that hold there.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.testPacks(cmd.Context(), a.packOf(args), &w, mutate)
		},
	}
	cmd.Flags().BoolVar(&mutate, "mutate", false, "also ask whether the tests would notice a slip in a rule")
	return a.jsonFlag(w.flags(cmd))
}

// tested is the tests of one pack of a folder.
type tested struct {
	packs
	code string // "base" or that of a local pack
}

// tested lists the packs to be tested: the base and all local ones, or, with a place,
// those that hold there.
func (p packs) tested(w *where) ([]tested, error) {
	all := []tested{{p, basePack}}
	if p.layers.Local == nil {
		return all, nil
	}
	b, err := rules.LoadBook(context.Background(), p.layers, rules.Options{Draft: true})
	if err != nil {
		return nil, err
	}
	set, err := w.set(b)
	if err != nil {
		return nil, err
	}
	for _, l := range b.Packs() {
		in := slices.ContainsFunc(set.Catalogue().Layers, func(o engine.Layer) bool { return o.Code == l.Code })
		if in || w.place == "" {
			all = append(all, tested{p, l.Code})
		}
	}
	return all, nil
}

func (t tested) test(ctx context.Context) (rules.Report, error) {
	if t.code == basePack {
		return rules.Test(ctx, t.layers.Base)
	}
	return rules.TestLocal(ctx, t.layers, t.code)
}

func (t tested) mutate(ctx context.Context, o rules.MutateOptions) (rules.MutationReport, error) {
	if t.code == basePack {
		return rules.Mutate(ctx, t.layers.Base, o)
	}
	return rules.MutateLocal(ctx, t.layers, t.code, o)
}

// dir is the folder of the pack.
func (t tested) dir() string {
	switch {
	case t.single:
		return t.name
	case t.code == basePack:
		return filepath.Join(t.name, "base")
	}
	return filepath.Join(t.name, "local", t.code)
}

func (a *app) testPacks(ctx context.Context, name string, w *where, mutate bool) error {
	p, err := packsNamed(name)
	if err != nil {
		return err
	}
	all, err := p.tested(w)
	if err != nil {
		return a.orFaults(p, err)
	}
	v := testedJSON{OK: true, Checks: []testsOfCheck{}}
	var ends []error
	for _, t := range all {
		if len(all) > 1 && !a.json {
			a.printf("%s:\n", t.code)
		}
		one, end := a.testPack(ctx, t, mutate)
		if one == nil {
			return a.orFaults(t.faults(), end)
		}
		v.add(one)
		ends = append(ends, end)
	}
	end := errors.Join(ends...)
	if v.OK = end == nil; a.json {
		return errors.Join(a.printJSON(v), end)
	}
	return end
}

// faults is where the faults of a pack that is tested by itself lie.
func (t tested) faults() packs {
	if t.code == basePack {
		return packs{name: t.dir()}
	}
	return t.packs
}

// testPack tests one pack. The report is nil when that could not be done.
func (a *app) testPack(ctx context.Context, t tested, mutate bool) (*testedJSON, error) {
	report, err := t.test(ctx)
	if err != nil {
		return nil, err
	}
	v := testsJSON(report)
	if !a.json {
		a.printTests(t.dir(), report, v.Tests)
	}
	end := untrusted(report)
	if mutate && end == nil {
		if v.Slips, err = a.mutate(ctx, t); v.Slips == nil {
			return nil, err
		}
		end = err
	}
	return &v, end
}

// add joins the tests of another pack.
func (v *testedJSON) add(o *testedJSON) {
	v.Tests += o.Tests
	v.Checks = append(v.Checks, o.Checks...)
	switch {
	case o.Slips == nil:
	case v.Slips == nil:
		v.Slips = o.Slips
	default:
		v.Slips.Made += o.Slips.Made
		v.Slips.Noticed += o.Slips.Noticed
		v.Slips.Refused += o.Slips.Refused
		v.Slips.Explained += o.Slips.Explained
		v.Slips.Survivors = append(v.Slips.Survivors, o.Slips.Survivors...)
	}
}

func testsJSON(report rules.Report) testedJSON {
	v := testedJSON{Checks: []testsOfCheck{}}
	for _, c := range report.Checks {
		v.Tests += len(c.Passed) + len(c.Failed)
		one := testsOfCheck{c.ID, c.OK(), len(c.Passed), append([]string{}, c.Failed...), [][2]int{}, append([]string{}, c.Lacks...)}
		for _, l := range c.Uncovered {
			one.Unreached = append(one.Unreached, [2]int{l.From, l.To})
		}
		v.Checks = append(v.Checks, one)
	}
	return v
}

// untrusted is nil when the tests show all they should.
func untrusted(report rules.Report) error {
	if report.OK() {
		return nil
	}
	n := 0
	for _, c := range report.Checks {
		if !c.OK() {
			n++
		}
	}
	return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf("the tests do not speak for %d of %d checks", n, len(report.Checks))}
}

func (a *app) printTests(pack string, report rules.Report, tests int) {
	for _, c := range report.Checks {
		file := filepath.Join(pack, strings.ReplaceAll(c.ID, ".", "/"))
		for _, t := range c.Failed {
			a.printf("%s_test.rego: %s failed\n", file, t)
		}
		for _, l := range c.Uncovered {
			lines := fmt.Sprintf("line %d", l.From)
			if l.To > l.From {
				lines = fmt.Sprintf("lines %d to %d", l.From, l.To)
			}
			a.printf("%s.rego:%d: no test reaches %s\n", file, l.From, lines)
		}
		for _, l := range c.Lacks {
			a.printf("%s_test.rego: %s\n", file, l)
		}
	}
	if report.OK() {
		a.printf("All %d tests of %d checks pass, and they reach every line.\n", tests, len(report.Checks))
	}
}

// mutate asks whether the tests would notice slips. The report is nil when that
// could not be found out.
func (a *app) mutate(ctx context.Context, t tested) (*slipsOfPackJSON, error) {
	list, known, err := t.explained()
	if err != nil {
		return nil, err
	}
	report, err := t.mutate(ctx, rules.MutateOptions{Workers: 2, Progress: a.progress()})
	if err != nil {
		return nil, err
	}
	stale := report.Settle(list, known)
	v := &slipsOfPackJSON{report.Total(), report.Killed, report.Refused, report.Explained(), []slipJSON{}}
	for _, m := range report.Survivors {
		v.Survivors = append(v.Survivors, slipJSON{m.File, m.Line, m.Kind, m.Before, m.After})
	}
	if !a.json {
		for _, m := range report.Survivors {
			a.printf("%s:%d: no test notices this slip:\n    %s\n    %s\n", t.slip(m), m.Line, m.Before, m.After)
		}
		a.printf("%d slips made: %d noticed, %d cannot be loaded, %d explained, %d unnoticed.\n",
			v.Made, v.Noticed, v.Refused, v.Explained, len(v.Survivors))
	}
	return v, errors.Join(stale, report.Err())
}

// slip is the file of a slip. Those of a local pack are named from the folder that
// holds all packs.
func (t tested) slip(m rules.Mutation) string {
	if t.code == basePack {
		return filepath.Join(t.dir(), m.File)
	}
	return t.file(m.File)
}

// explained reads the list beside the folder of a pack, where there is one.
func (t tested) explained() (list string, known []rules.Explained, err error) {
	if t.name == "" {
		return "", nil, nil
	}
	list = filepath.Clean(t.dir())
	if end := filepath.Base(list); end == "." || end == ".." {
		if list, err = filepath.Abs(list); err != nil {
			return "", nil, err
		}
	}
	list += ".survivors.yaml"
	text, err := os.ReadFile(list)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return list, nil, nil
	case err != nil:
		return "", nil, &engine.Error{Kind: engine.Rules, Say: "the explained survivors cannot be read", Err: err}
	}
	known, err = rules.ReadExplained(list, text)
	return list, known, err
}

// progress counts on a terminal and is silent otherwise.
func (a *app) progress() func(done, total int) {
	if !isTerminal(a.err) {
		return nil
	}
	return func(done, total int) {
		end := "\r"
		if done == total {
			end = "\r\x1b[K"
		}
		fmt.Fprintf(a.err, "%d of %d slips%s", done, total, end)
	}
}
