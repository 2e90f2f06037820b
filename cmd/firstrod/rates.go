package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/audit"
	"firstrod/engine/ledger"
)

// ratesJSON is what rates counted.
type ratesJSON struct {
	By         string         `json:"by"`
	Checkpoint checkpointJSON `json:"checkpoint"`
	Groups     []audit.Group  `json:"groups"`
}

func (a *app) rates() *cobra.Command {
	by := ""
	top := 0
	cmd := &cobra.Command{
		Use:   "rates",
		Short: "Count how often checks pass the first time, and why releases ended",
		Long: `rates reads every record and counts:

  first time   of the findings of a check that were judged (pass, fail or broken),
               how many passed the first time; exempt, waived and unanswered ones
               were not judged
  failed       how often a finding of the check came to fail, or could not be judged
  to release   hours from opening a bore to its first release: the median, and the
               time that nine in ten did not exceed (nearest rank)
  void         releases that held no longer, by reason; "closed" is the good end

--by crew puts bores together by the people who answered or signed on them, month
by when they were opened on the site's calendar, jurisdiction by where they are.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch audit.By(by) {
			case audit.ByAll, audit.ByCrew, audit.ByMonth, audit.ByPlace:
			default:
				return &engine.Error{Kind: engine.Usage, Say: "--by is crew, month or jurisdiction, not " + by}
			}
			return a.with(cmd.Context(), func(s *site) error { return a.showRates(cmd.Context(), s, audit.By(by), top) })
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "put bores together by crew, month or jurisdiction")
	cmd.Flags().IntVar(&top, "top", 10, "how many checks to print; 0 is all, as with --json")
	return a.jsonFlag(cmd)
}

func (a *app) showRates(ctx context.Context, s *site, by audit.By, top int) error {
	c, note := s.store.Checkpoint()
	t := audit.NewTally(by)
	err := s.store.Records(ctx, 0, func(r ledger.Record) error {
		if r.Seq < c.Size {
			t.Add(r)
		}
		return nil
	})
	if err != nil {
		return err
	}
	groups := t.Groups()
	if a.json {
		if groups == nil {
			groups = []audit.Group{}
		}
		return a.printJSON(ratesJSON{string(by), checkpointJSON{c.Origin, c.Size, c.Root.String(), string(note)}, groups})
	}
	words := siteWords(s.engine)
	for _, g := range groups {
		a.printGroup(g, by, words, top)
	}
	a.printf("Counted over every record of a ledger of %d, checkpoint %s.\n", c.Size, c.Short())
	return nil
}

func (a *app) printGroup(g audit.Group, by audit.By, words audit.Words, top int) {
	switch {
	case by == audit.ByCrew:
		var names []string
		for _, id := range strings.Split(g.Name, "+") {
			names = append(names, words.Who(&ledger.Actor{ID: id}))
		}
		a.printf("Crew %s\n", visible(strings.Join(names, ", ")))
	case g.Name != "":
		a.printf("%s %s\n", by, visible(g.Name))
	case by != audit.ByAll:
		a.printf("No %s\n", by)
	}
	a.printf("%d bores, %d released, %d releases in all\n", g.Bores, g.Released, g.Releases)
	if g.Released > 0 {
		a.printf("hours from open to release: median %.2f, nine in ten within %.2f\n", g.Median, g.P90)
	}
	for _, why := range sortedKeys(g.Voids) {
		a.printf("  release void %4d times: %s\n", g.Voids[why], audit.Void(why))
	}
	a.printf("%7s %11s %7s %7s  %s\n", "judged", "first time", "failed", "broken", "check")
	for i, c := range g.Checks {
		if top > 0 && i == top {
			a.printf("and %d checks that failed less; --top 0 has all\n", len(g.Checks)-top)
			break
		}
		rate := "-"
		if c.Judged > 0 {
			rate = fmt.Sprintf("%.1f %%", 100*c.Rate)
		}
		a.printf("%7d %11s %7d %7d  %s\n", c.Judged, rate, c.Failed, c.Broken, c.Check)
	}
	a.printf("\n")
}
