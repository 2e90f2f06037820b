package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/keep"
)

// erased is what erase did, in JSON.
type erased struct {
	Person string `json:"person"`
	Record int64  `json:"record"`
	Left   int    `json:"left"` // how often the name still stands in the data folder
}

func (a *app) erase() *cobra.Command {
	var by, ground string
	cmd := &cobra.Command{
		Use:   "erase PERSON --by NAME --ground TEXT",
		Short: "Erase the name of a person, who is a name or an id",
		Long: `erase deletes a person's name and reference, and the salt that a record commits to
them with, and records that it did: who asked, the legal ground, and whose name, by
id. Afterwards the ledger's file is written anew, so that nothing is left of the name
in it. Proofs, checkpoints, roles and signatures stay as they are; where the name
stood, it says since when there is none.

It is refused while a legal hold stands, and for somebody who has signed or waived
until retention.names has passed. What the crew typed is part of the ledger: if the
name was typed somewhere, erase says so and cannot take it away. Backups made before
have the name as long as they are kept.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runErase(cmd.Context(), args[0], by, ground)
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "name of who asks for it")
	cmd.Flags().StringVar(&ground, "ground", "", "the legal ground, without the name")
	return a.jsonFlag(cmd)
}

func (a *app) runErase(ctx context.Context, who, by, ground string) error {
	var gone engine.Person
	out := erased{}
	err := a.with(ctx, func(s *site) (err error) {
		id, err := personID(ctx, s, who)
		if err != nil {
			return err
		}
		gone, _ = s.engine.Person(id)
		survey, err := keep.Look(ctx, s.store)
		if err != nil {
			return err
		}
		if err := survey.MayErase(id, a.keeping(), s.engine.Now()); err != nil {
			return err
		}
		receipt, err := s.engine.Erase(ctx, said("erase"), engine.Erasure{Person: id, Ground: ground, By: by})
		out.Person, out.Record = id, receipt.Seq
		return err
	})
	if err != nil {
		return err
	}
	if _, err := boltstore.Compact(a.config.Data); err != nil {
		return errors.Join(&engine.Error{Kind: engine.Storage, Err: err,
			Say: "the name is erased, but its bytes are still in free pages of the file", Hint: "firstrod compact"})
	}
	if out.Left, err = a.occurs(gone); err != nil {
		return err
	}
	if a.json {
		return a.printJSON(out)
	}
	a.printf("ERASED: the name of %s, record %d. Backups of before still have it.\n", out.Person, out.Record)
	if out.Left > 0 {
		a.printf("The same letters still stand %d times in the data folder: in what was typed, which is\n"+
			"part of the ledger and stays, or because somebody else is called so.\n", out.Left)
	}
	return nil
}

// occurs counts how often a name or reference stands in the files, byte for byte.
func (a *app) occurs(p engine.Person) (n int, err error) {
	for _, name := range []string{"ledger.db", "mail.db"} {
		raw, err := os.ReadFile(filepath.Join(a.config.Data, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return n, &engine.Error{Kind: engine.Storage, Say: "the file cannot be read again: " + name, Err: err}
		}
		for _, text := range []string{p.Name, p.Ref} {
			if text != "" {
				n += bytes.Count(raw, []byte(text))
			}
		}
	}
	return n, nil
}

// said is a delivery of the command line.
func said(what string) engine.Said {
	return engine.Said{From: "terminal", Lang: "en", Key: what + " " + time.Now().UTC().Format(time.RFC3339Nano)}
}

func (a *app) keeping() keep.Rule {
	return keep.Rule{Names: a.config.Retention.Names, Evidence: a.config.Retention.Evidence}
}
