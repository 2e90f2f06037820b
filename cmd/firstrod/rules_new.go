package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

func (a *app) rulesNew() *cobra.Command {
	dir, code := "", ""
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
			in, err := packToExtend(cmd.Context(), dir, code)
			if err != nil {
				return err
			}
			files, err := rules.Template(in.files, in.set, in.layer, args[0])
			if err != nil {
				return err
			}
			return a.writeNew(dir, in.dir, files)
		},
	}
	cmd.Flags().StringVar(&dir, "dir", "", "folder of the pack (default: the one that --policies names)")
	cmd.Flags().StringVar(&code, "pack", "", "code of the local pack in that folder, such as va-alder (default: the base)")
	return cmd
}

// extended is a pack that gets a new check.
type extended struct {
	dir   string // on disk
	layer string
	files fs.FS
	set   *rules.Set // with the pack in it
}

// packToExtend finds the base or a local pack in a folder.
func packToExtend(ctx context.Context, dir, code string) (extended, error) {
	p, err := packsNamed(dir)
	if err != nil {
		return extended{}, err
	}
	b, err := rules.LoadBook(ctx, p.layers, rules.Options{Draft: true})
	if err != nil {
		return extended{}, hinted(err, "put the pack right first: firstrod rules check "+dir)
	}
	in := extended{dir: tested{p, basePack}.dir(), layer: basePack, files: p.layers.Base, set: b.Set("", today())}
	if code == "" {
		if _, err := os.Stat(filepath.Join(in.dir, "params.yaml")); err != nil {
			return in, &engine.Error{Kind: engine.Usage, Say: "there is no base pack in " + dir, Hint: "name the local pack with --pack", Err: err}
		}
		return in, nil
	}
	for _, l := range b.Packs() {
		if l.Code == code {
			files, err := fs.Sub(p.layers.Local, code)
			return extended{dir: tested{p, code}.dir(), layer: code, files: files, set: b.Set(l.Holds, today())}, err
		}
	}
	return in, &engine.Error{Kind: engine.Usage, Say: "there is no local pack " + code + " in " + dir,
		Hint: "a local pack begins with local/" + code + "/overlay.yaml; that of va-alder shows how"}
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
func (a *app) writeNew(named, dir string, files []rules.NewFile) error {
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
	a.printf("Fill the blanks (%s); firstrod rules check %s lists those that are left.\n", rules.Blank, named)
	return nil
}

func unwritten(path string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: path + " could not be written", Err: err}
}
