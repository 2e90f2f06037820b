package main

import (
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// rulesVerb groups what is done to rule packs.
func (a *app) rulesVerb() *cobra.Command {
	cmd := &cobra.Command{Use: "rules", Short: "Work on rule packs"}
	cmd.AddCommand(a.rulesLimits())
	return cmd
}

// rulesLimits writes the limits in base units beside those in people's units, so
// that the stock rule engine can test a pack as it lies on disk.
func (a *app) rulesLimits() *cobra.Command {
	return &cobra.Command{
		Use:   "limits DIR",
		Short: "Write params.json beside params.yaml, in the units that rules read",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			source, err := os.ReadFile(filepath.Join(args[0], "params.yaml"))
			if err != nil {
				return &engine.Error{Kind: engine.Usage, Say: "there is no params.yaml in " + args[0], Err: err}
			}
			out, err := rules.ParamsJSON(source)
			if err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(args[0], "params.json"), out, 0o644)
		},
	}
}
