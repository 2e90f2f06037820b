package main

import (
	"github.com/spf13/cobra"

	"firstrod/engine/boltstore"
)

func (a *app) compact() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "compact",
		Short: "Write the ledger's file anew, without its free pages",
		Long: `compact copies the ledger into a new file, verifies that from the first record to
the last, and puts it in place of the old one. A file that has grown becomes small
again, and nothing is left in it of names that were erased. Nothing else may use the
data folder meanwhile. Cut short anywhere, the old file is still there.`,
		RunE: func(*cobra.Command, []string) error {
			c, err := boltstore.Compact(a.config.Data)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(map[string]int64{"bytes_before": c.Before, "bytes_after": c.After})
			}
			a.printf("COMPACTED: %d KiB, was %d KiB; the new file verifies.\n", c.After>>10, c.Before>>10)
			return nil
		},
	}
	return a.jsonFlag(cmd)
}
