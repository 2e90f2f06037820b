package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/keep"
	"firstrod/engine/ledger"
)

// dueJSON is something whose time has passed.
type dueJSON struct {
	Person string    `json:"person,omitempty"`
	Bore   string    `json:"bore,omitempty"`
	Files  []string  `json:"files,omitempty"`
	Since  time.Time `json:"since"`
	Held   bool      `json:"legal_hold"`
	Done   bool      `json:"done"`
}

func (a *app) retain() *cobra.Command {
	var by string
	apply := false
	cmd := &cobra.Command{
		Use:   "retain [--apply --by NAME]",
		Short: "List what has been kept for longer than the settings say, and remove it",
		Long: `retain looks at what lies beside the ledger: names of people who have not spoken for
retention.names years, and files of evidence of bores that have been closed for
retention.evidence years. Without a number of years a class is kept for ever, and that
is what it is when nothing is set.

It lists what is past its time. With --apply it removes that, records each removal,
and writes the ledger's file anew, so that no name is left in it. What is under a
legal hold is listed and stays. The ledger itself is never shortened.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if apply == (by == "") {
				return usage(errors.New("retain wants --apply and --by together"))
			}
			return a.runRetain(cmd.Context(), apply, by)
		},
	}
	cmd.Flags().BoolVar(&apply, "apply", false, "remove it")
	cmd.Flags().StringVar(&by, "by", "", "name of who removes it")
	return a.jsonFlag(cmd)
}

func (a *app) runRetain(ctx context.Context, apply bool, by string) error {
	due := []dueJSON{}
	names := 0
	err := a.with(ctx, func(s *site) error {
		survey, err := keep.Look(ctx, s.store)
		if err != nil {
			return err
		}
		for _, d := range survey.Past(a.keeping(), s.engine.Now()) {
			done := apply && !d.Held
			if done {
				if err := a.remove(ctx, s, by, d); err != nil {
					return err
				}
			}
			if done && d.Person != "" {
				names++
			}
			due = append(due, dueJSON{d.Person, d.Bore, d.Sums, d.Since, d.Held, done})
		}
		if !apply {
			return nil
		}
		return discard(ctx, s.store, survey.Removed()) // what a run that was cut short has left
	})
	if err == nil && names > 0 {
		_, err = boltstore.Compact(a.config.Data)
	}
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(map[string]any{"names_years": a.config.Retention.Names, "evidence_years": a.config.Retention.Evidence, "due": due})
	}
	a.printDue(due, apply)
	return nil
}

// remove records a removal and then does it.
func (a *app) remove(ctx context.Context, s *site, by string, d keep.Due) error {
	if d.Person != "" {
		_, err := s.engine.Erase(ctx, said("retain "+d.Person), engine.Erasure{
			Person: d.Person, By: by, Ground: fmt.Sprintf("by rule: %d years after the last word", a.config.Retention.Names),
		})
		return err
	}
	_, err := s.engine.Remove(ctx, said("retain "+d.Bore), by, ledger.Removed{
		Bore: d.Bore, Sums: d.Sums, Rule: fmt.Sprintf("%d years after the bore was closed", a.config.Retention.Evidence),
	})
	if err != nil {
		return err
	}
	return discard(ctx, s.store, d.Sums)
}

func discard(ctx context.Context, store *boltstore.Store, sums []string) error {
	for _, sum := range sums {
		if _, err := store.Discard(ctx, sum); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) printDue(due []dueJSON, apply bool) {
	a.printf("Names are kept %s, evidence %s.\n", years(a.config.Retention.Names, "after the last word"),
		years(a.config.Retention.Evidence, "after the bore was closed"))
	for _, d := range due {
		what, word := "name of "+d.Person+", last word", "PAST ITS TIME"
		if d.Bore != "" {
			what = fmt.Sprintf("%d files of evidence of bore %s, closed", len(d.Files), d.Bore)
		}
		switch {
		case d.Held:
			word = "LEGAL HOLD, stays"
		case d.Done:
			word = "REMOVED"
		}
		a.printf("%s: %s %s\n", word, what, d.Since.Format(time.DateOnly))
	}
	switch {
	case len(due) == 0:
		a.printf("Nothing is past its time.\n")
	case !apply:
		a.printf("Nothing was removed: firstrod retain --apply --by NAME does it.\n")
	}
}

func years(n int, since string) string {
	if n == 0 {
		return "for ever"
	}
	return fmt.Sprintf("for %d years %s", n, since)
}

// evidenceOf gives evidence for a proof file; none for what was removed by rule.
// What is missing without a record of that is an error, as ever.
func evidenceOf(r *boltstore.Reader) func(sum string) ([]byte, error) {
	return func(sum string) ([]byte, error) {
		b, err := r.Kept(sum)
		if engine.KindOf(err) != engine.NotFound || err == nil {
			return b, err
		}
		survey, lerr := keep.Look(context.Background(), allRecords{r})
		if lerr != nil {
			return nil, lerr
		}
		if slices.Contains(survey.Removed(), sum) {
			return nil, nil
		}
		return nil, err
	}
}

// allRecords reads a ledger that is open for reading.
type allRecords struct{ r *boltstore.Reader }

// Records is of keep.Records.
func (a allRecords) Records(_ context.Context, from int64, fn func(ledger.Record) error) error {
	for {
		rows, err := a.r.Records(from, 1000)
		if err != nil || len(rows) == 0 {
			return err
		}
		for _, row := range rows {
			rec, err := ledger.Decode(row.Data)
			if err != nil {
				return err
			}
			if err := fn(rec); err != nil {
				return err
			}
			from = row.Seq + 1
		}
	}
}

func (a *app) legalHold() *cobra.Command {
	var by, why string
	release := false
	cmd := &cobra.Command{
		Use:   "legal-hold BORE|PERSON --by NAME --why TEXT [--release]",
		Short: "Keep everything of a bore or a person, or let it go again",
		Long: `legal-hold records that nothing of a bore, or of a person, may be erased or removed:
evidence, and the names of those who acted on the bore. It stands until two different
people have each released it with --release.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), func(s *site) error { return a.runLegalHold(cmd.Context(), s, args[0], by, why, release) })
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "name of who says so")
	cmd.Flags().StringVar(&why, "why", "", "why, without names")
	cmd.Flags().BoolVar(&release, "release", false, "one voice for letting go")
	return a.jsonFlag(cmd)
}

func (a *app) runLegalHold(ctx context.Context, s *site, what, by, why string, release bool) error {
	h, err := holdOn(ctx, s, what)
	if err != nil {
		return err
	}
	h.Release = release
	state := func() ([]string, bool, error) {
		survey, err := keep.Look(ctx, s.store)
		if err != nil {
			return nil, false, err
		}
		if h.Bore != "" {
			voices, on := survey.Holds.Bore(h.Bore)
			return voices, on, nil
		}
		voices, on := survey.Holds.Person(h.Person)
		return voices, on, nil
	}
	voices, on, err := state()
	if err != nil {
		return err
	}
	who, known := s.engine.Named(by)
	switch {
	case release && !on:
		return &engine.Error{Kind: engine.Usage, Say: "there is no legal hold on " + h.Bore + h.Person}
	case release && known && slices.Contains(voices, who.ID):
		return &engine.Error{Kind: engine.Forbidden, Say: by + " has released it already; it takes two different people", Hint: "a second person releases it"}
	case !release && on && len(voices) == 0:
		return &engine.Error{Kind: engine.Usage, Say: "there is a legal hold on " + h.Bore + h.Person + " already"}
	}
	receipt, err := s.engine.LegalHold(ctx, said("legal-hold"), by, why, h)
	if err != nil {
		return err
	}
	if voices, on, err = state(); err != nil {
		return err
	}
	if a.json {
		return a.printJSON(map[string]any{"record": receipt.Seq, "bore": h.Bore, "person": h.Person, "legal_hold": on, "released_by": append([]string{}, voices...)})
	}
	switch {
	case on && release:
		a.printf("ONE OF TWO has released the legal hold on %s, record %d. It stands until another person does.\n", h.Bore+h.Person, receipt.Seq)
	case on:
		a.printf("LEGAL HOLD on %s, record %d: nothing of it is erased.\n", h.Bore+h.Person, receipt.Seq)
	default:
		a.printf("RELEASED: the legal hold on %s, record %d.\n", h.Bore+h.Person, receipt.Seq)
	}
	return nil
}

// holdOn finds what is meant: a bore, or a person by name or id.
func holdOn(ctx context.Context, s *site, what string) (ledger.LegalHold, error) {
	if id, err := engine.BoreID(what); err == nil {
		lines, err := s.store.Bores(ctx, 0)
		if err != nil {
			return ledger.LegalHold{}, err
		}
		if slices.ContainsFunc(lines, func(l ledger.BoreLine) bool { return l.Bore == id }) {
			return ledger.LegalHold{Bore: id}, nil
		}
	}
	id, err := personID(ctx, s, what)
	if err != nil {
		return ledger.LegalHold{}, &engine.Error{Kind: engine.NotFound, Say: "there is no bore and no single person " + strings.TrimSpace(what), Err: err}
	}
	return ledger.LegalHold{Person: id}, nil
}
