package main

import (
	"errors"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/policies"
)

// rulesVerb groups what is done to rule packs.
func (a *app) rulesVerb() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "Look at the rules, change them, and see what a change does",
		Long: `A rule pack is a folder: a file for each check, its tests beside it, and the
limits in params.yaml, in feet, hours and kHz. A folder that holds base and local
has a base pack and, under local, one pack for each state or county; its
overlay.yaml says where it holds and what it changes. Where DIR may be left out,
the folder that --policies names is meant, or else the rules inside this program.

A change, step by step: edit params.yaml or a check, write params.json anew with
"rules limits", look for faults with "rules check", run the tests with "rules
test", see what is stricter or looser now with "rules diff base DIR", and what
that would have done to the bores on record with "rules replay DIR".
"rules publish" brings a folder into force; "rules rollback" takes that back.

EXIT STATUS  0 fine   1 the rules cannot be used, or their tests do not hold
2 wrong usage`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.rulesList(), a.rulesExplain(), a.rulesCheck(), a.rulesTest(), a.rulesNew(),
		a.rulesDiff(), a.rulesReplay(), a.rulesDoc(), a.rulesLimits(), a.rulesSchemas(),
		a.rulesCopy(), a.rulesPublish(), a.rulesPublished(), a.rulesRollback(), a.rulesKey(), a.rulesExport(), a.rulesImport(), a.rulesTrial())
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

// rulesLimits writes the limits in base units beside those in people's units, so
// that the stock rule engine can test a pack as it lies on disk.
func (a *app) rulesLimits() *cobra.Command {
	return &cobra.Command{
		Use:   "limits DIR",
		Short: "Write params.json beside params.yaml, in the units that rules read",
		Long: `limits makes params.json of params.yaml in a pack, the base or a local one, or in
every pack of a folder that holds base and local.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dirs := limitDirs(args[0])
			if len(dirs) == 0 {
				return &engine.Error{Kind: engine.Usage, Say: "there is no params.yaml in " + args[0]}
			}
			for _, dir := range dirs {
				if err := writeLimits(dir); err != nil {
					return err
				}
			}
			return nil
		},
	}
}
