package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

func (a *app) history() *cobra.Command {
	last := 0
	cmd := &cobra.Command{
		Use:   "history [BORE]",
		Short: "Show what was said and decided, in order",
		Long: `history shows the records of one bore, or of all, oldest first. With --json it
is an array of the records as they are stored; the bore's id is under "bore".`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), func(s *site) error { return a.showHistory(cmd.Context(), s, args, last) })
		},
	}
	cmd.Flags().IntVar(&last, "last", 0, "only the last so many records; 0 is all")
	return a.jsonFlag(cmd)
}

func (a *app) showHistory(ctx context.Context, s *site, args []string, last int) error {
	show, end := a.historyText(s.engine)
	if a.json {
		show, end = a.historyJSON()
	}
	var kept []ledger.Record
	each := func(r ledger.Record) error {
		if last <= 0 {
			return show(r)
		}
		if kept = append(kept, r); len(kept) > last {
			kept = kept[1:]
		}
		return nil
	}
	if err := a.walk(ctx, s, args, each); err != nil {
		return err
	}
	for _, r := range kept {
		if err := show(r); err != nil {
			return err
		}
	}
	return end()
}

func (a *app) walk(ctx context.Context, s *site, args []string, each func(ledger.Record) error) error {
	if len(args) == 0 {
		return s.store.Records(ctx, 0, each)
	}
	id, err := engine.BoreID(args[0])
	if err != nil {
		return err
	}
	n := 0
	err = s.store.Bore(ctx, id, 1, func(r ledger.Record) error { n++; return each(r) })
	if err == nil && n == 0 {
		return &engine.Error{Kind: engine.NotFound, Say: "there is no bore " + id, Hint: "firstrod bores lists them"}
	}
	return err
}

// historyJSON streams an array, a record a line, in the bytes that are stored.
func (a *app) historyJSON() (show func(ledger.Record) error, end func() error) {
	sep := "["
	show = func(r ledger.Record) error {
		raw, err := ledger.Encode(r)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(a.out, "%s\n%s", sep, bytes.TrimSpace(raw))
		sep = ","
		return err
	}
	end = func() error {
		if sep == "[" {
			_, err := fmt.Fprintln(a.out, "[]")
			return err
		}
		_, err := fmt.Fprintln(a.out, "\n]")
		return err
	}
	return show, end
}

func (a *app) historyText(e *engine.Engine) (show func(ledger.Record) error, end func() error) {
	show = func(r ledger.Record) error {
		who := ""
		if r.By != nil {
			who = r.By.ID
			if p, ok := e.Person(r.By.ID); ok && p.Name != "" {
				who = p.Name
			}
		}
		_, err := fmt.Fprintf(a.out, "%6d  %s  %-12s %-16s %-8s %s\n",
			r.Seq, r.At.Format("2006-01-02 15:04:05"), r.Bore, who, r.Kind, what(r))
		return err
	}
	return show, func() error { return nil }
}

// shown is a value as people read it, or as it is stored where it cannot be read.
func shown(f ledger.Fact) string {
	v, err := quantity.Parse(quantity.Kind(f.Kind), f.Value, f.Items)
	if err != nil {
		return strings.TrimSpace(f.Value + " " + f.Unit)
	}
	return quantity.Print(v)
}

// what is one line about a record.
func what(r ledger.Record) string {
	var parts []string
	for _, f := range r.Facts {
		parts = append(parts, f.Key+" "+shown(f))
	}
	if r.Event != "" {
		parts = append(parts, r.Event)
	}
	if r.Check != "" {
		parts = append(parts, r.Check)
	}
	if r.Why != "" {
		parts = append(parts, fmt.Sprintf("%q", r.Why))
	}
	if n := len(r.Drops); n > 0 {
		parts = append(parts, fmt.Sprintf("(%d to be given again)", n))
	}
	if fails := r.Findings["fail"]; len(fails) > 0 && r.Kind != ledger.KindOpen {
		parts = append(parts, "FAILS: "+strings.Join(fails, ", "))
	}
	if r.Void != "" {
		parts = append(parts, "RELEASE VOID: "+r.Void)
	}
	if r.Release != nil {
		parts = append(parts, "READY TO DRILL until "+r.Release.Until.Format("2006-01-02 15:04Z"))
	}
	if r.Person != nil {
		parts = append(parts, strings.Join(r.Person.Roles, ", "))
	}
	if r.Pack != nil {
		parts = append(parts, fmt.Sprintf("rules %.8s, %d checks", r.Rules, len(r.Pack.Checks)))
	}
	if r.Open != nil {
		parts = append(parts, r.Open.Place)
	}
	return strings.Join(parts, "; ")
}
