package main

import (
	"context"
	"fmt"
	"time"

	"firstrod/engine"
	"firstrod/engine/audit"
	"firstrod/engine/ledger"
)

// storyJSON is a story in JSON, after the moments.
type storyJSON struct {
	Bore       string         `json:"bore"`
	Zone       string         `json:"zone"`
	Checkpoint checkpointJSON `json:"checkpoint"`
	Moments    []audit.Moment `json:"moments"`
}

// checkpointJSON is a checkpoint in JSON; the note is what is signed.
type checkpointJSON struct {
	Origin string `json:"origin"`
	Size   int64  `json:"size"`
	Root   string `json:"root"`
	Note   string `json:"note"`
}

// tellStory tells one bore's records in words.
func (a *app) tellStory(ctx context.Context, s *site, bore string, q *asked) error {
	id, err := engine.BoreID(bore)
	if err == nil {
		err = known(ctx, s, id)
	}
	if err != nil {
		return err
	}
	zone, err := a.zone(ctx, s, id, q.zoneGiven)
	if err != nil {
		return err
	}
	c, note := s.store.Checkpoint()
	story := audit.NewStory(siteWords(s.engine), q.silence, zone)
	if a.json {
		out := storyJSON{Bore: id, Zone: zone.String(), Checkpoint: checkpointJSON{c.Origin, c.Size, c.Root.String(), string(note)}}
		err := s.store.Bore(ctx, id, 1, func(r ledger.Record) error { out.Moments = append(out.Moments, story.Tell(r)...); return nil })
		if err != nil {
			return err
		}
		return a.printJSON(out)
	}
	a.printf("The story of %s, times in %s\n", id, zone)
	day := ""
	err = s.store.Bore(ctx, id, 1, func(r ledger.Record) error {
		for _, m := range story.Tell(r) {
			day = a.moment(m, day)
		}
		return nil
	})
	a.printf("\nFrom a ledger of %d records, checkpoint %s. The numbers in [ ] are records.\n", c.Size, c.Short())
	return err
}

// moment prints one moment, under its day when that is another one.
func (a *app) moment(m audit.Moment, day string) string {
	if d := m.At.Format("Monday 2006-01-02"); d != day && m.Silence == 0 {
		a.printf("\n%s\n", d)
		day = d
	}
	if m.Silence > 0 {
		a.printf("          ... %s\n", m.What[0])
		return day
	}
	a.printf("%s  %s [%d]\n", m.At.Format(time.TimeOnly), visible(m.Who), m.Record)
	for _, what := range m.What {
		fmt.Fprintf(a.out, "          %s\n", visible(what))
	}
	return day
}
