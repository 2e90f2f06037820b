package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/paper"
)

func (a *app) record() *cobra.Command {
	var out, check string
	page := string(paper.Letter)
	cmd := &cobra.Command{
		Use:   "record BORE --out FILE.pdf|.html|.json",
		Short: "Make the record of a bore that an owner files",
		Long: `record writes everything about a bore into one file: how it stands, who signed,
the limits, the readings and crossings with their pictures, every change and
hold, and the checkpoint with a square code. The ending of the file says what it
is: .pdf to print, .html to read on a phone, .json for machines.

The file shows the bore as its last record left it, judged by the rules of that
record as they are kept in the ledger. The same ledger gives the same bytes; only
the end of a release, which no record marks, changes them once.

With --check FILE it writes nothing: it holds the lines of a page's square code,
kept in FILE ("-" for standard input), against this ledger.

EXIT STATUS  0 fine   4 the page is not from this ledger as it is   1 could not run`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := engine.BoreID(args[0])
			if err != nil {
				return err
			}
			if (out == "") == (check == "") {
				return usage(errors.New("record wants --out or --check, and one of them only"))
			}
			return a.with(cmd.Context(), func(s *site) error {
				if check != "" {
					return a.checkPage(cmd.Context(), s, id, check)
				}
				return a.writeRecord(cmd.Context(), s, id, out, paper.Page(page))
			})
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "file to write: .pdf, .html or .json")
	cmd.Flags().StringVar(&page, "page", page, "size of paper for a .pdf: letter or a4")
	cmd.Flags().StringVar(&check, "check", "", "file with the lines of a square code to hold against the ledger")
	return cmd
}

func (a *app) writeRecord(ctx context.Context, s *site, bore, out string, page paper.Page) error {
	if !slices.Contains(paper.Pages(), page) {
		return usage(fmt.Errorf("there is no paper of size %q; letter or a4", page))
	}
	set := map[string]func(paper.Document) ([]byte, error){
		".pdf":  func(d paper.Document) ([]byte, error) { return paper.PDF(ctx, d) },
		".html": func(d paper.Document) ([]byte, error) { return paper.HTML(ctx, d) },
		".json": paper.JSON,
	}[strings.ToLower(filepath.Ext(out))]
	if set == nil {
		return usage(fmt.Errorf("%s: the file's name must end in .pdf, .html or .json", out))
	}
	e, last, err := asRecorded(ctx, s, bore)
	if err != nil {
		return err
	}
	d, err := paper.Of(ctx, e, s.store, bore, a.config.Lang)
	if err != nil {
		return err
	}
	d.Paper = page
	raw, err := set(d)
	if err != nil {
		return err
	}
	if err := os.WriteFile(out, raw, 0o600); err != nil {
		return &engine.Error{Kind: engine.Storage, Say: out + " cannot be written", Err: err}
	}
	a.printf("%s: bore %s as of record %d, %s; checkpoint %s\n", out, bore, last.Seq, last.At.Format(time.RFC3339), d.Checkpoint.Short)
	return nil
}

// asRecorded is an engine whose clock stands at the last record of a bore, with the
// rules of that record. Where a release has run out since, it stands right after its
// end: no paper may say ready to drill for the want of a record.
func asRecorded(ctx context.Context, s *site, bore string) (*engine.Engine, ledger.Record, error) {
	var last ledger.Record
	revision, jurisdiction := "", ""
	err := s.store.Bore(ctx, bore, 1, func(r ledger.Record) error {
		if last = r; r.Rules != "" {
			revision = r.Rules
		}
		switch {
		case r.Open != nil:
			jurisdiction = r.Open.Jurisdiction
		case r.Moved != nil:
			jurisdiction = r.Moved.Jurisdiction
		}
		return nil
	})
	if err == nil && last.Ver == 0 {
		err = &engine.Error{Kind: engine.NotFound, Say: "there is no bore " + bore, Hint: "firstrod bores lists them"}
	}
	if err != nil {
		return nil, last, err
	}
	book, err := rulesOfThen(ctx, s, revision, jurisdiction, engine.Day(last.At, time.UTC))
	if err != nil {
		return nil, last, err
	}
	at := last.At
	e, err := engine.New(ctx, engine.Config{
		Rules: book, Store: s.store, Registry: s.store, ReadOnly: true, Clock: func() time.Time { return at },
	})
	if err != nil {
		return nil, last, err
	}
	board, err := e.Board(ctx, bore)
	if rel := board.Release; err == nil && rel != nil && s.engine.Now().After(rel.Until) {
		at = rel.Until.Add(time.Second)
	}
	return e, last, err
}

func (a *app) checkPage(ctx context.Context, s *site, bore, file string) error {
	raw, err := readAll(a.in, file)
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "the lines of the square code cannot be read: " + file, Err: err}
	}
	seal, err := paper.ParseSeal(string(raw))
	if err != nil {
		return usage(err)
	}
	if seal.Bore != bore {
		return usage(fmt.Errorf("that page is about bore %s", seal.Bore))
	}
	now, _ := s.store.Checkpoint()
	err = seal.Check(now.Origin, func(fn func(ledger.Record) error) error { return s.store.Records(ctx, 0, fn) })
	if err != nil {
		a.printf("NOT THE SAME: %s\n", err)
		return errDamaged
	}
	a.printf("THE SAME: bore %s, %d records up to number %d, and the whole ledger of %d records as the page has it.\n",
		bore, seal.Version, seal.Last, seal.Size)
	return nil
}

func readAll(in io.Reader, file string) ([]byte, error) {
	if file == "-" {
		return io.ReadAll(io.LimitReader(in, 1<<16))
	}
	return os.ReadFile(file)
}
