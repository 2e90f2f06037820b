package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
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
			return end
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

// testPack tests one pack. The report is nil when that could not be done.
func (a *app) testPack(ctx context.Context, t tested, mutate bool) (*testedJSON, error) {
	report, err := t.test(ctx)
	if err != nil {
		return nil, a.orFaults(t.faults(), err)
	}
	v := testsJSON(report)
	if !a.json {
		a.printTests(t.dir(), report, v.Tests)
	}
	end := untrusted(report)
	if mutate && end == nil && !report.Empty {
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
	switch {
	case report.Empty:
		a.printf("Nothing to test: this pack has no checks of its own. rules check reads what it says of limits and checks.\n")
	case report.OK():
		a.printf("All %d tests of %d checks pass, and they reach every line.\n", tests, len(report.Checks))
	}
}
