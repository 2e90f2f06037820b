package main

import (
	"errors"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

func (a *app) rulesNew() *cobra.Command {
	dir := ""
	cmd := &cobra.Command{
		Use:   "new AREA/CHECK",
		Short: "Begin a check in a pack: the rule, its question and its tests, with blanks to fill",
		Long: `new writes AREA/CHECK.rego and AREA/CHECK_test.rego into the pack. They work as
they are: one question, answered yes or no, and its tests. What only you can
write is marked ` + rules.Blank + `; "rules check" lists these blanks, and no bot starts with
rules that have any left.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if dir == "" {
				dir = a.config.Policies
			}
			if dir == "" {
				return usage(errors.New("name the folder of the pack with --dir"))
			}
			pack, err := packNamed(dir)
			if err != nil {
				return err
			}
			set, err := rules.Load(cmd.Context(), pack, rules.Options{Draft: true})
			if err != nil {
				return hinted(err, "put the pack right first: firstrod rules check "+dir)
			}
			files, err := rules.Template(pack, set, args[0])
			if err != nil {
				return err
			}
			return a.writeNew(dir, files)
		},
	}
	cmd.Flags().StringVar(&dir, "dir", "", "folder of the pack (default: the one that --policies names)")
	return cmd
}

// hinted gives an error of ours another hint.
func hinted(err error, hint string) error {
	e, ok := errors.AsType[*engine.Error](err)
	if !ok {
		return err
	}
	return &engine.Error{Kind: e.Kind, Say: e.Say, Hint: hint, Err: e.Err}
}

// writeNew writes files that are not there yet.
func (a *app) writeNew(dir string, files []rules.NewFile) error {
	for _, f := range files {
		path := filepath.Join(dir, filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return unwritten(path, err)
		}
		out, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return unwritten(path, err)
		}
		_, err = out.Write(f.Data)
		if err = errors.Join(err, out.Close()); err != nil {
			return unwritten(path, err)
		}
		a.printf("wrote %s\n", path)
	}
	a.printf("Fill the blanks (%s); firstrod rules check %s lists those that are left.\n", rules.Blank, dir)
	return nil
}

func unwritten(path string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: path + " could not be written", Err: err}
}
