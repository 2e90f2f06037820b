package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/depth"
)

// depth groups the calculators. They read nothing but their flags and one file,
// and write into no ledger.
func (a *app) depth() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "depth",
		Short: "Work out what depth readings are worth",
		Long: `The depth calculators answer one question each, from the numbers given to them.
They read no ledger and write into none.

LENGTHS are written with a unit, such as "14 ft", "10 ft 2 1/2 in", "3.5 in" or
"4.27 m", or all of one call as bare numbers in one unit of your own. The two are never mixed.
Answers come in the unit of the first length, named "unit" in JSON, or in your
own for bare numbers.

FILES are CSV with a line of column names; - reads standard input. Lines that
start with # are passed over.

EXIT STATUS  0 worked out, whatever the answer   2 a number or a flag cannot be
used; the sentence names it   1 could not run`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.depthFit(), a.depthBudget(), a.depthConform(), a.depthNulls(),
		a.depthStandoff(), a.depthSignal(), a.depthClearance(), a.depthDiagnose())
	for _, sub := range cmd.Commands() {
		wrapArgs(sub)
	}
	return cmd
}

// wrong is a fault of what was typed, in one sentence.
func wrong(format string, args ...any) error {
	return &engine.Error{Kind: engine.Usage, Say: fmt.Sprintf(format, args...)}
}

// refused turns the engine's refusal of a field into a sentence that names the
// flag the value came from. An error about anything else passes as it is.
func refused(err error, flags map[string]string) error {
	field, ok := errors.AsType[*depth.FieldError](err)
	if !ok {
		return err
	}
	name, ok := flags[field.Field]
	if !ok {
		name = field.Field
	}
	return wrong("%s: %s", name, field.Why)
}
