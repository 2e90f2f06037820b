package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

func (a *app) rulesReplay() *cobra.Command {
	var since, against string
	full := false
	cmd := &cobra.Command{
		Use:   "replay DIR",
		Short: "Say what other rules would have done to the bores on record",
		Long: `replay asks the rules in DIR about every bore in the data folder, at each release
and where it stands last, with those of its place and the clock of then, and holds
that against the rules in force: which checks would newly fail or hold, which releases would not have been
given, and what the crews would have had to say that nobody asked them. A question
that old records cannot answer is no failure; it has a column of its own.

Only checks that the two sets of rules judge differently are asked; of the others
the findings on record stand. --full asks about everything.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, err := a.replayOptions(since, full)
			if err != nil {
				return err
			}
			return a.runReplay(cmd.Context(), args[0], against, o)
		},
	}
	cmd.Flags().StringVar(&since, "since", "", "only decisions from this day on, such as 2026-11-30")
	cmd.Flags().StringVar(&against, "against", "", "folder with other rules to hold DIR against, or base (default: the rules in force)")
	cmd.Flags().BoolVar(&full, "full", false, "ask both sets of rules about everything, and believe no record")
	return a.jsonFlag(cmd)
}

func (a *app) replayOptions(since string, full bool) (o engine.ReplayOptions, err error) {
	o.Full = full
	if since == "" {
		return o, nil
	}
	zone, err := time.LoadLocation(a.config.Zone)
	if err != nil {
		return o, usage(fmt.Errorf("the time zone %s is not known", a.config.Zone))
	}
	if o.Since, err = time.ParseInLocation(time.DateOnly, since, zone); err != nil {
		return o, usage(fmt.Errorf("%q is not a day such as 2026-11-30", since))
	}
	return o, nil
}

func (a *app) runReplay(ctx context.Context, dir, against string, o engine.ReplayOptions) error {
	candidate, err := draftBook(ctx, dir)
	if err != nil {
		return err
	}
	old, err := a.bookAgainst(ctx, against)
	if err != nil {
		return err
	}
	diffs, err := a.changesOf(old, candidate)
	if err != nil {
		return err
	}
	p, err := openPast(a.config.Data)
	if err != nil {
		return err
	}
	out, err := a.replayPast(ctx, p, old, candidate, o)
	if err = errors.Join(err, p.close()); err != nil {
		return err
	}
	cat := candidate.Set("", today()).Catalogue()
	if a.json {
		return a.printJSON(a.replayJSON(out, diffs, cat))
	}
	a.printReplay(out, diffs, cat)
	return nil
}

func today() int64 { return engine.Day(time.Now(), time.Local) }

// draftBook loads a folder to look at it, for all places. "base" is the base inside
// this program alone.
func draftBook(ctx context.Context, name string) (*rules.Book, error) {
	p, err := packsNamed(name)
	if err != nil {
		return nil, err
	}
	if name == basePack {
		p.layers.Local = nil
	}
	b, err := rules.LoadBook(ctx, p.layers, rules.Options{Draft: true})
	if err != nil {
		return nil, hinted(err, "firstrod rules check "+name+" lists all that is wrong there")
	}
	return b, nil
}

// bookAgainst is what a candidate is held against.
func (a *app) bookAgainst(ctx context.Context, against string) (*rules.Book, error) {
	if against != "" {
		return draftBook(ctx, against)
	}
	inForce, _, err := a.inForce(ctx)
	if err != nil {
		return nil, err
	}
	book, ok := inForce.(*rules.Book)
	if !ok {
		return nil, fmt.Errorf("the rules in force are a %T", inForce)
	}
	return book, nil
}

func (a *app) replayPast(ctx context.Context, p *past, old, candidate *rules.Book, o engine.ReplayOptions) (engine.Outcome, error) {
	earlier, err := engine.NewRerunner(ctx, p, p, reopen)
	if err != nil {
		return engine.Outcome{}, err
	}
	o.Earlier = func(revision string) *engine.Catalogue { return earlier.Catalogue(ctx, revision) }
	if isTerminal(a.err) {
		b := &bar{w: a.err, every: 100 * time.Millisecond}
		defer b.clear()
		o.Progress = b.show
	}
	return engine.Replay(ctx, p, old.At, candidate.At, o)
}

// bar shows on one line of a terminal how far something is.
type bar struct {
	w     io.Writer
	every time.Duration
	last  time.Time
}

const barWidth = 30

func (b *bar) show(done, total int) {
	if now := time.Now(); now.Sub(b.last) < b.every && done < total {
		return
	} else {
		b.last = now
	}
	full := barWidth * done / max(total, 1)
	fmt.Fprintf(b.w, "\r[%s%s] %d of %d bores", strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), done, total)
}

// clear leaves no trace of the bar.
func (b *bar) clear() { fmt.Fprint(b.w, "\r\x1b[K") }
