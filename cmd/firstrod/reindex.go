package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"firstrod/engine"
	"firstrod/engine/boltstore"
)

func (a *app) reindex() *cobra.Command {
	drop := false
	cmd := &cobra.Command{
		Use:   "reindex",
		Short: "Build the index that history answers from again",
		Long: `reindex throws the index of the ledger away and builds it from the records. The
records themselves, their hashes and the checkpoint are not touched. A ledger of
an older firstrod has no index until this was run once: history then reads every
record instead, and says so. Nothing else may use the data folder meanwhile.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return a.runReindex(cmd.Context(), drop) },
	}
	cmd.Flags().BoolVar(&drop, "drop", false, "only throw the index away, to save space")
	return a.jsonFlag(cmd)
}

func (a *app) runReindex(ctx context.Context, drop bool) error {
	if _, err := os.Stat(filepath.Join(a.config.Data, "ledger.db")); err != nil {
		return &engine.Error{Kind: engine.NotFound, Say: "there is no ledger in " + a.config.Data, Hint: "--data names another folder", Err: err}
	}
	s, err := boltstore.Open(a.config.Data, boltstore.Options{})
	if err != nil {
		return err
	}
	if drop {
		err = s.DropTerms(ctx)
	} else {
		err = s.Reindex(ctx, progressBar(a.err))
	}
	size := s.Size()
	if err = errors.Join(err, s.Close()); err != nil {
		return err
	}
	switch {
	case a.json:
		return a.printJSON(map[string]any{"records": size, "dropped": drop})
	case drop:
		a.printf("The index is gone; history reads every record until firstrod reindex.\n")
	default:
		a.printf("%d records are indexed; firstrod verify compares them.\n", size)
	}
	return nil
}

// progressBar draws how far something is, on a terminal and nowhere else.
func progressBar(w io.Writer) func(done, total int64) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return func(done, total int64) {
		const width = 40
		full := int(width * done / max(total, 1))
		fmt.Fprintf(w, "\r[%s%s] %d of %d", strings.Repeat("#", full), strings.Repeat(".", width-full), done, total)
		if done >= total {
			fmt.Fprintln(w)
		}
	}
}
