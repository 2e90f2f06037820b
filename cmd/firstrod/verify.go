package main

import (
	"os"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// faultJSON is one fault in JSON; record is -1 where it is about none.
type faultJSON struct {
	Record int64  `json:"record"`
	Code   string `json:"code"`
	Say    string `json:"say"`
}

// verdictJSON is what verify found in all.
type verdictJSON struct {
	OK       bool        `json:"ok"`
	Records  int64       `json:"records"`
	Root     string      `json:"root"`
	Bores    int         `json:"bores"`
	Releases int         `json:"releases"`
	FirstBad int64       `json:"first_bad_record"`
	Anchored bool        `json:"anchored"`
	Checked  []string    `json:"checked"`
	Faults   []faultJSON `json:"faults"`
}

func (a *app) verify() *cobra.Command {
	var pins []string
	cmd := &cobra.Command{
		Use:   "verify [FILE]",
		Short: "Check the ledger from the first record to the last",
		Long: `verify checks the ledger in the data folder: every byte against the hash tree
and the signed checkpoint, every index against the records, and what the
records mean: versions, signatures, and that no bore was released while a rule
did not hold. It names every fault and the first bad record.

With FILE it checks a SQLite export by the bytes that it carries, and then every
table of it; the data folder is not read.

With --pin it also proves that this ledger continues the one an earlier
checkpoint was made over.

EXIT STATUS  0 verified   4 it does not verify   1 could not be read`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.runVerify(pins, args...) },
	}
	cmd.Flags().StringArrayVar(&pins, "pin", nil, "file with a checkpoint kept from earlier; may be given more than once")
	return a.jsonFlag(cmd)
}

func (a *app) runVerify(pinFiles []string, files ...string) error {
	var o ledger.Options
	for _, path := range pinFiles {
		pin, err := os.ReadFile(path)
		if err != nil {
			return &engine.Error{Kind: engine.Usage, Say: "the pinned checkpoint cannot be read: " + path, Err: err}
		}
		o.Pins = append(o.Pins, pin)
	}
	if len(files) > 0 {
		return a.verifyFile(files[0], o)
	}
	r, err := boltstore.OpenReader(a.config.Data)
	if err != nil {
		return err
	}
	faults := []faultJSON{}
	sum := ledger.Verify(r, o, func(f ledger.Fault) {
		if a.json {
			faults = append(faults, faultJSON{f.Seq, f.Code, f.Say})
			return
		}
		a.printf("FAULT %s: %s\n", f.Code, f.Say)
	})
	if err := r.Close(); err != nil {
		return err
	}
	if err := a.reportVerify(sum, faults); err != nil {
		return err
	}
	if sum.Faults > 0 {
		return errDamaged
	}
	return nil
}

func (a *app) reportVerify(sum ledger.Summary, faults []faultJSON) error {
	if a.json {
		return a.printJSON(verdictJSON{
			OK: sum.Faults == 0, Records: sum.Size, Root: sum.Root.String(), Bores: sum.Bores, Releases: sum.Releases,
			FirstBad: sum.First, Anchored: sum.Anchored, Checked: sum.Checked, Faults: faults,
		})
	}
	if sum.Faults > 0 {
		a.printf("DOES NOT VERIFY: %d faults in %d records", sum.Faults, sum.Size)
		if sum.First >= 0 {
			a.printf("; the first bad record is %d", sum.First)
		}
		a.printf("\n")
		return nil
	}
	a.printf("VERIFIED: %d records, %d bores, %d releases; root %s\n", sum.Size, sum.Bores, sum.Releases, sum.Root)
	if !sum.Anchored {
		a.printf("Nobody can have changed it without the log's key. Whoever holds that key could\n" +
			"still have rewritten everything: hold it against a checkpoint that was kept\n" +
			"elsewhere with --pin FILE.\n")
		return nil
	}
	a.printf("It continues the ledger of every pinned checkpoint.\n")
	return nil
}
