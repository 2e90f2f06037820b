package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/proof"
)

func (a *app) exportTiles() *cobra.Command {
	return &cobra.Command{
		Use:   "tiles DIR",
		Short: "Write the ledger as a tiled transparency log, for other people's tools to check",
		Long: `tiles writes the whole ledger into a folder as C2SP tlog-tiles has it: the
checkpoint, tile/ with the hashes, tile/entries/ with the exact bytes of every
record. Served as it is by any web server, it can be followed and checked with
tools that know nothing of this program.

Run again, it adds what is new. Where the folder has something else than the
ledger says, nothing more is written: that would be two histories.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.runTiles(args[0]) },
	}
}

func (a *app) runTiles(dir string) error {
	r, err := a.reader()
	if err != nil {
		return err
	}
	files, err := tilesOf(r, dir)
	if err = errors.Join(err, r.Close()); err != nil {
		if _, ok := errors.AsType[*engine.Error](err); ok {
			return err
		}
		return &engine.Error{Kind: engine.Storage, Say: "the ledger could not be exported", Err: err, Hint: "firstrod verify says whether it is sound"}
	}
	a.printf("%d files new or changed in %s\n", files, dir)
	return nil
}

// tilesOf writes what is not in dir yet. The checkpoint comes last, so that it
// never covers what is not there.
func tilesOf(r *boltstore.Reader, dir string) (written int, err error) {
	if old, err := os.ReadFile(filepath.Join(dir, "checkpoint")); err == nil {
		if err := proof.Continues(r, old); err != nil {
			return 0, &engine.Error{Kind: engine.Damaged, Err: err, Say: dir + " is of another history than the ledger", Hint: "keep both; firstrod verify --pin with the checkpoint in that folder says more"}
		}
	}
	_, err = proof.Tiles(r, func(path string, data []byte) error {
		full := filepath.Join(dir, filepath.FromSlash(path))
		have, err := os.ReadFile(full)
		switch {
		case err == nil && bytes.Equal(have, data):
			return nil
		case err == nil && path != "checkpoint":
			return &engine.Error{Kind: engine.Damaged, Say: full + " is of another history than the ledger", Hint: "keep both; firstrod verify --pin with the checkpoint in that folder says more"}
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return err
		}
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			return err
		}
		written++
		return writeFile(full, func(w io.Writer) error {
			_, err := w.Write(data)
			return err
		})
	})
	return written, err
}
