package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

func (a *app) rotateKey() *cobra.Command {
	var by, why string
	retire := false
	cmd := &cobra.Command{
		Use:   "rotate-key --by NAME --why TEXT",
		Short: "Change the key that the ledger signs with",
		Long: `rotate-key makes a new key and records it: the old key signs for the new one, over
the records so far, so that whoever trusts the old key can follow. From then on every
checkpoint has the signatures of both, until "rotate-key --retire" gives the old one
up; witnesses and auditors have that long to learn the new one, which "firstrod
checkpoint --public-key" prints.

Checkpoints and proof files of before stay as good as they were. A checkpoint of
after the change that only the old key has signed is a fault by name: whoever made
it has the old key, and another ledger.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if retire {
				return a.retireKey(cmd.Context())
			}
			return a.runRotate(cmd.Context(), by, why)
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "name of who changes it")
	cmd.Flags().StringVar(&why, "why", "", "why")
	cmd.Flags().BoolVar(&retire, "retire", false, "give up the old key, which has signed beside the new one")
	cmd.MarkFlagsMutuallyExclusive("retire", "by")
	return a.jsonFlag(cmd)
}

func (a *app) runRotate(ctx context.Context, by, why string) error {
	if strings.TrimSpace(why) == "" {
		return &engine.Error{Kind: engine.Usage, Say: "it must be said why the key is changed", Hint: "--why TEXT"}
	}
	return a.with(ctx, func(s *site) error {
		d := said("rotate-key")
		who, err := s.engine.Speaker(ctx, d, by)
		if err != nil {
			return err
		}
		receipt, err := s.store.Rotate(ctx, ledger.Record{
			Key: d.Key, At: s.engine.Now().UTC(), From: d.From, By: &who, Why: strings.TrimSpace(why),
		})
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(map[string]any{"record": receipt.Seq, "key": s.store.Key()})
		}
		a.printf("CHANGED: the ledger signs with a new key from record %d on, and with the old one beside it.\n%s\n"+
			"Give the new key to witnesses and auditors, back log.key up, then: firstrod rotate-key --retire\n", receipt.Seq, s.store.Key())
		return nil
	})
}

func (a *app) retireKey(ctx context.Context) error {
	return a.with(ctx, func(s *site) error {
		if err := s.store.Retire(); err != nil {
			return err
		}
		if a.json {
			return a.printJSON(map[string]any{"key": s.store.Key()})
		}
		a.printf("RETIRED: from the next record on only the current key signs.\n%s\n", s.store.Key())
		return nil
	})
}
