package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/export"
	"firstrod/engine/ledger"
)

// exporter writes a ledger to a place.
type exporter func(r ledger.Reader, to string, p export.Progress) error

func (a *app) export() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Write the whole ledger for other programs",
		Long: `export writes every record of the ledger, its values and findings, for other
programs. All forms have the same columns; the dictionary in each says what a
column means and in which unit. Names of people are in none of them. What is
there already is never written over.

A SQLite file carries the exact bytes of every record and the checkpoint:
"firstrod verify FILE" checks it like the ledger itself, and every table in it.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	for _, form := range []struct {
		use, short string
		write      exporter
	}{
		{"sqlite FILE", "One SQLite file with a free-text index", export.SQLite},
		{"parquet DIR", "A folder of Parquet files", export.Parquet},
		{"csv DIR", "A folder of CSV files that are safe in a spreadsheet", export.CSV},
		{"jsonl FILE", "JSON lines, an object for each row", jsonLines},
	} {
		cmd.AddCommand(a.jsonFlag(&cobra.Command{
			Use: form.use, Short: form.short, Args: cobra.ExactArgs(1),
			RunE: func(_ *cobra.Command, args []string) error { return a.runExport(form.write, args[0]) },
		}))
	}
	cmd.AddCommand(a.exportTiles())
	for _, sub := range cmd.Commands() {
		wrapArgs(sub)
	}
	return cmd
}

func (a *app) runExport(write exporter, to string) error {
	r, err := boltstore.OpenReader(a.config.Data)
	if err != nil {
		return err
	}
	size, err := exportAll(r, write, to, progressBar(a.err))
	if err = errors.Join(err, r.Close()); err != nil {
		kind := engine.Storage
		if errors.Is(err, fs.ErrExist) {
			kind = engine.Usage
		}
		return &engine.Error{Kind: kind, Say: "the ledger could not be written to " + to, Hint: "give a name that is not there yet", Err: err}
	}
	if a.json {
		return a.printJSON(map[string]any{"written": to, "records": size})
	}
	a.printf("%d records written to %s\n", size, to)
	return nil
}

func exportAll(r ledger.Reader, write exporter, to string, bar func(done, total int64)) (size int64, err error) {
	note, err := r.Checkpoint()
	if err != nil {
		return 0, err
	}
	c, err := ledger.NoteCheckpoint(note)
	if err != nil {
		return 0, err
	}
	return c.Size, write(r, to, func(done int64) {
		if bar != nil {
			bar(done, c.Size)
		}
	})
}

// jsonLines writes to a new file; one that could not be finished is taken away.
func jsonLines(r ledger.Reader, path string, p export.Progress) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	err = export.JSONL(r, w, p)
	if err = errors.Join(err, w.Flush(), f.Sync(), f.Close()); err != nil {
		return errors.Join(fmt.Errorf("writing %s", path), err, os.Remove(path))
	}
	return nil
}
