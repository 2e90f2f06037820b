package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
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
	mutate := false
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
names it, with the reason.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.testPack(cmd.Context(), a.packOf(args), mutate)
		},
	}
	cmd.Flags().BoolVar(&mutate, "mutate", false, "also ask whether the tests would notice a slip in a rule")
	return a.jsonFlag(cmd)
}

func (a *app) testPack(ctx context.Context, name string, mutate bool) error {
	pack, err := packNamed(name)
	if err != nil {
		return err
	}
	report, err := rules.Test(ctx, pack)
	if err != nil {
		if faults := rules.Faults(err); len(faults) > 0 {
			return errors.Join(a.sayFaults(name, faults), unusable(len(faults)))
		}
		return err
	}
	v := testsJSON(report)
	if !a.json {
		a.printTests(name, report, v.Tests)
	}
	end := untrusted(report)
	if mutate && end == nil {
		if v.Slips, err = a.mutate(ctx, name, pack); v.Slips == nil {
			return err
		}
		end = err
	}
	if v.OK = end == nil; a.json {
		return errors.Join(a.printJSON(v), end)
	}
	return end
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
func (a *app) mutate(ctx context.Context, name string, pack fs.FS) (*slipsOfPackJSON, error) {
	list, known, err := explained(name)
	if err != nil {
		return nil, err
	}
	report, err := rules.Mutate(ctx, pack, rules.MutateOptions{Workers: 2, Progress: a.progress()})
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
			a.printf("%s:%d: no test notices this slip:\n    %s\n    %s\n", filepath.Join(name, m.File), m.Line, m.Before, m.After)
		}
		a.printf("%d slips made: %d noticed, %d cannot be loaded, %d explained, %d unnoticed.\n",
			v.Made, v.Noticed, v.Refused, v.Explained, len(v.Survivors))
	}
	return v, errors.Join(stale, report.Err())
}

// explained reads the list beside a folder, where there is one.
func explained(pack string) (list string, known []rules.Explained, err error) {
	if pack == "" || pack == basePack {
		return "", nil, nil
	}
	list = filepath.Clean(pack)
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
