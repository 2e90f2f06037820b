package main

import (
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
)

// checkpoint prints the latest checkpoint, to be kept where the owner of this
// machine cannot change it.
func (a *app) checkpoint() *cobra.Command {
	return &cobra.Command{
		Use:   "checkpoint",
		Short: "Print the ledger's latest signed checkpoint, to be kept elsewhere",
		Long: `checkpoint prints a signed note of a few lines: the ledger's name, its size and
the root of its tree. Kept somewhere else, in a mail or with the owner of the
line, it shows later with "firstrod verify --pin FILE" that nothing before it
was changed or taken away, not even by whoever holds the ledger's key.`,
		RunE: func(*cobra.Command, []string) error {
			if _, err := os.Stat(filepath.Join(a.config.Data, "ledger.db")); err != nil {
				return &engine.Error{Kind: engine.NotFound, Say: "there is no ledger in " + a.config.Data, Err: err}
			}
			r, err := boltstore.OpenReader(a.config.Data)
			if err != nil {
				return err
			}
			note, err := r.Checkpoint()
			if err != nil {
				return err
			}
			_, err = a.out.Write(note)
			if err != nil {
				return err
			}
			return r.Close()
		},
	}
}
