package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// rulesVerb groups what is done to rule packs.
func (a *app) rulesVerb() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "Look at the rules, change them, and see what a change does",
		Long: `A rule pack is a folder: a file for each check, its tests beside it, and the
limits in params.yaml, in feet, hours and kHz. Where DIR may be left out, the
folder that --policies names is meant, or else the rules inside this program.

A change, step by step: edit params.yaml or a check, write params.json anew with
"rules limits", look for faults with "rules check", run the tests with "rules
test", see what is stricter or looser now with "rules diff base DIR", and what
that would have done to the bores on record with "rules replay DIR".

EXIT STATUS  0 fine   1 the rules cannot be used, or their tests do not hold
2 wrong usage`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.rulesList(), a.rulesExplain(), a.rulesCheck(), a.rulesTest(), a.rulesNew(),
		a.rulesDiff(), a.rulesReplay(), a.rulesDoc(), a.rulesLimits())
	for _, sub := range cmd.Commands() {
		wrapArgs(sub)
	}
	return cmd
}

// packNamed opens a pack: a folder, or "base" or nothing for the one inside this
// program.
func packNamed(name string) (fs.FS, error) {
	if name == "" || name == basePack {
		return fs.Sub(policies.Base, "base")
	}
	info, err := os.Stat(name)
	if err == nil && !info.IsDir() {
		err = errors.New("it is a file")
	}
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "there is no policy folder " + name, Err: err,
			Hint: "name a folder, or base for the rules inside this program"}
	}
	return os.DirFS(name), nil
}

// basePack is what the pack inside this program is called on the command line.
const basePack = "base"

// packOf is the pack that a verb with an optional DIR is about.
func (a *app) packOf(args []string) string {
	if len(args) > 0 {
		return args[0]
	}
	return a.config.Policies
}

// located puts the folder in front of a place in a pack.
func located(pack string, f rules.Fault) string {
	if pack == "" || f.File == "" {
		return f.Place()
	}
	return filepath.Join(pack, f.Place())
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
