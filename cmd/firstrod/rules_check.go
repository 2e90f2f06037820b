package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// checkedJSON says whether a pack can be used.
type checkedJSON struct {
	Usable   bool            `json:"usable"`
	Revision string          `json:"revision"`
	Checks   int             `json:"checks"`
	Faults   []packFaultJSON `json:"faults"`
	Notes    []string        `json:"notes"`
}

type packFaultJSON struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Say  string `json:"say"`
	Hint string `json:"hint"`
}

func (a *app) rulesCheck() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check [DIR]",
		Short: "Look for faults in a rule pack, as a bot that starts with it would",
		Long: `check reads a pack exactly as "firstrod chat --policies DIR" does and prints
every fault with its file and line, and what to do about it. Faults that hide
others come first: when they are gone, check again. It runs no tests; "rules
test" does.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			pack := a.packOf(args)
			if _, err := packNamed(pack); err != nil {
				return err
			}
			if a.config.Policies = pack; pack == basePack {
				a.config.Policies = ""
			}
			set, err := a.policySet(cmd.Context())
			if err == nil {
				return a.sayUsable(set)
			}
			faults := rules.Faults(err)
			if len(faults) == 0 {
				return err
			}
			return errors.Join(a.sayFaults(pack, faults), unusable(len(faults)))
		},
	}
	return a.jsonFlag(cmd)
}

// unusable ends a verb whose output has named the faults already.
func unusable(n int) error {
	say, hint := "1 fault; a bot would not start with these rules", "put it right and check again"
	if n > 1 {
		say = fmt.Sprintf("%d faults; a bot would not start with these rules", n)
		hint = "put them right and check again; one may be hiding another"
	}
	return &engine.Error{Kind: engine.Rules, Say: say, Hint: hint}
}

func (a *app) sayUsable(set *rules.Set) error {
	cat := set.Catalogue()
	if a.json {
		notes := append([]string{}, set.Notes()...)
		return a.printJSON(checkedJSON{true, cat.Revision, len(cat.Checks), []packFaultJSON{}, notes})
	}
	for _, n := range set.Notes() {
		a.printf("note: %s\n", n)
	}
	a.printf("These rules can be used: %d checks, %d questions, %d limits; revision %.16s.\n",
		len(cat.Checks), len(cat.Asks), len(cat.Params), cat.Revision)
	return nil
}

func (a *app) sayFaults(pack string, faults []rules.Fault) error {
	if a.json {
		v := checkedJSON{Faults: make([]packFaultJSON, len(faults)), Notes: []string{}}
		for i, f := range faults {
			v.Faults[i] = packFaultJSON{f.File, f.Line, f.Say, f.Hint}
		}
		return a.printJSON(v)
	}
	for _, f := range faults {
		if at := located(pack, f); at != "" {
			a.printf("%s: ", at)
		}
		a.printf("%s\n", f.Say)
		if f.Hint != "" {
			a.printf("    %s\n", f.Hint)
		}
	}
	return nil
}
