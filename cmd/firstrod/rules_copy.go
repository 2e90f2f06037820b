package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
)

// rulesCopy is how a safety manager begins: with a folder to change.
func (a *app) rulesCopy() *cobra.Command {
	return &cobra.Command{
		Use:   "copy DIR",
		Short: "Write the rules inside this program into a folder, to be changed there",
		Long: `copy writes base/, local/ and schemas/ into a folder that has none of them. Nothing
of it is in force before "rules publish DIR"; from then on name the folder with
--policies.

schemas/ is for the stock rule engine, opa check --strict -s DIR/schemas DIR/base
DIR/local/CODE, and decides nothing: it is not published. "rules schemas DIR --out
DIR/schemas" makes it anew after a question or a limit was added.

Leave base/ away to take every later version of the base from the program itself;
change it only where a local pack cannot do what you want.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			own, err := inside()
			if err != nil {
				return err
			}
			for _, name := range []string{"base", "local", "schemas"} {
				if dir := filepath.Join(args[0], name); exists(dir) {
					return &engine.Error{Kind: engine.Usage, Say: dir + " is there already", Hint: "name a folder without it"}
				}
			}
			for name, pack := range map[string]fs.FS{"base": own.Base, "local": own.Local} {
				dir := filepath.Join(args[0], name)
				if err := os.CopyFS(dir, pack); err != nil {
					return unwritten(dir, errors.Unwrap(err))
				}
			}
			if err := writeSchemas(cmd.Context(), own, filepath.Join(args[0], "schemas")); err != nil {
				return err
			}
			a.printf("The rules are in %s. Change them, look with firstrod rules check %s, and bring them into\nforce with firstrod rules publish %s --by NAME --why TEXT.\n", args[0], args[0], args[0])
			return nil
		},
	}
}
