package main

import (
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
	Erased   int         `json:"erased"`   // names
	Rotated  []int64     `json:"rotated"`  // records that change the log's key
	Restored []int64     `json:"restored"` // records that say that a backup was put back
	FirstBad int64       `json:"first_bad_record"`
	Anchored bool        `json:"anchored"`
	Cosigned string      `json:"cosigned"`
	Checked  []string    `json:"checked"`
	Faults   []faultJSON `json:"faults"`
}

// verifyFlags are what verify is told.
type verifyFlags struct {
	pins      []string
	policy    string
	key, bore string
	quick     bool
}

func (a *app) verify() *cobra.Command {
	var f verifyFlags
	cmd := &cobra.Command{
		Use:   "verify [FILE]",
		Short: "Check the ledger from the first record to the last, or a file made of it",
		Long: `verify checks the ledger in the data folder: every byte against the hash tree
and the signed checkpoint, every index against the records, and what the
records mean: versions, signatures, and that no bore was released while a rule
did not hold. It names every fault and the first bad record.

With FILE it checks a file that "firstrod prove" wrote, wherever it came from: no
data folder and no network is needed. It also has the rules that were in force
judge again, and says in words what is proved and what is not. Of a SQLite file
that "firstrod export sqlite" wrote it checks the bytes of every record that the
file carries, and then every table against them.

With --pin it also proves that the ledger, or the file's, continues the one an
earlier checkpoint was made over. With --policy it wants the checkpoint cosigned
as a policy file (C2SP tlog-policy) says.

EXIT STATUS  0 verified   4 it does not verify   1 could not be read
             5 FILE verifies, but nothing except the log's own key speaks for it`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				if isSQLite(args[0]) {
					return a.verifySQLite(args[0], f)
				}
				return a.verifyFile(cmd.Context(), args[0], f)
			}
			if f.bore != "" || f.quick {
				return &engine.Error{Kind: engine.Usage, Say: "--bore and --quick go with a FILE; the ledger is checked whole"}
			}
			return a.runVerify(f)
		},
	}
	cmd.Flags().StringArrayVar(&f.pins, "pin", nil, "file with a checkpoint kept from earlier; may be given more than once")
	cmd.Flags().StringVar(&f.policy, "policy", "", "file that says who must have cosigned")
	cmd.Flags().StringVar(&f.key, "key", "", "the log's public key, if you were given it")
	cmd.Flags().StringVar(&f.bore, "bore", "", "with FILE: the bore that it should be about")
	cmd.Flags().BoolVar(&f.quick, "quick", false, "with FILE: do not have the rules judge again")
	return a.jsonFlag(cmd)
}

func (a *app) runVerify(f verifyFlags) error {
	pins, err := readPins(f.pins)
	if err != nil {
		return err
	}
	policy, err := readPolicy(f.policy)
	if err != nil {
		return err
	}
	var cosigned []byte
	if policy != nil {
		if cosigned, err = a.readCosigned(); err != nil {
			return err
		}
		if cosigned != nil {
			pins = append(pins, cosigned)
		}
	}
	r, err := boltstore.OpenReader(a.config.Data)
	if err != nil {
		return err
	}
	faults := []faultJSON{}
	report := a.faultTo(&faults)
	sum := ledger.Verify(r, ledger.Options{Key: f.key, Pins: pins}, report)
	who := ""
	if policy != nil {
		who = a.cosigned(policy, cosigned, &sum, report)
	}
	if err := r.Close(); err != nil {
		return err
	}
	if err := a.reportVerify(sum, who, faults); err != nil {
		return err
	}
	if sum.Faults > 0 {
		return errDamaged
	}
	return nil
}

func (a *app) reportVerify(sum ledger.Summary, who string, faults []faultJSON) error {
	if a.json {
		return a.printJSON(verdictJSON{
			OK: sum.Faults == 0, Records: sum.Size, Root: sum.Root.String(), Bores: sum.Bores, Releases: sum.Releases,
			Erased: sum.Erased, Rotated: append([]int64{}, sum.Rotated...), Restored: append([]int64{}, sum.Restored...),
			FirstBad: sum.First, Anchored: sum.Anchored, Cosigned: who, Checked: sum.Checked, Faults: faults,
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
	if sum.Erased > 0 {
		a.printf("Names erased on demand or by rule: %d.\n", sum.Erased)
	}
	for _, seq := range sum.Rotated {
		a.printf("The log's key was changed by record %d, and the key before signed for it.\n", seq)
	}
	for _, seq := range sum.Restored {
		a.printf("A backup of %d records was put back; what came after it then is not in this ledger.\n", seq)
	}
	if !sum.Anchored {
		a.printf("Nobody can have changed it without the log's key. Whoever holds that key could\n" +
			"still have rewritten everything: hold it against a checkpoint that was kept\n" +
			"elsewhere with --pin FILE.\n")
		return nil
	}
	a.printf("It continues the ledger of every pinned checkpoint.\n")
	if who != "" {
		a.printf("One of them was cosigned by %s.\n", who)
	}
	return nil
}
