package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/audit"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// asked is what the flags of history say.
type asked struct {
	person, since, until string
	kind                 string
	void, loose          string // a reason, a limit, or "any"
	fast, silence        time.Duration
	filter               ledger.Filter // the rest of it, as typed

	last, limit   int
	newest        bool
	after         string
	csv, table    bool
	story, waiver bool
	zoneGiven     bool
}

func (a *app) history() *cobra.Command {
	var q asked
	cmd := &cobra.Command{
		Use:   "history [BORE]",
		Short: "Find what was said and decided; tell the story of a bore",
		Long: `history shows the records of one bore, or of all, oldest first. Filters narrow it
down; what they say must all hold. Times are those of --zone, else of the bore's
site, else of this machine. A date for --until has all of that day.

  --check C --status fail   C came to fail in that record
  --jurisdiction US-VA      bores there, and in places within it
  --fast 2s                 answers that came less than two whole seconds after the
                            same person spoke last on that bore, which is when the
                            bot asked; up to 10s

With --json a plain history is an array of the records as they are stored. With a
filter, an order or a page it is an object: "records", the checkpoint they are
covered by, "next" to go on with --after, and how complete it is.

The checkpoint and a record's number prove that a record is in the ledger. That
nothing was left out rests on the index, which "firstrod verify" compares with
every record.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			q.zoneGiven = cmd.Flags().Changed("zone")
			if cmd.Flags().Changed("fast") && q.fast == 0 {
				q.fast = -1 // refused below: it would be no filter at all
			}
			if err := errors.Join(noneEmpty(cmd), q.check(a.json, args)); err != nil {
				return err
			}
			return a.with(cmd.Context(), func(s *site) error {
				if q.story {
					return a.tellStory(cmd.Context(), s, args[0], &q)
				}
				return a.find(cmd.Context(), s, args, &q)
			})
		},
	}
	q.flags(cmd)
	return a.jsonFlag(cmd)
}

func (q *asked) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&q.person, "person", "", "who spoke, or was introduced: a name or an id")
	f.StringVar(&q.filter.Role, "role", "", "in which role: "+strings.Join(engine.Roles(), ", "))
	f.StringVar(&q.filter.Check, "check", "", "this check's finding changed; with @ and a subject only that one")
	f.StringVar(&q.filter.Status, "status", "", "a finding came to: pass, exempt, fail, needs, broken, waived, gone")
	f.StringVar(&q.kind, "kind", "", "kind of record: answer, hold, sign, ...")
	f.StringVar(&q.filter.Place, "jurisdiction", "", "jurisdiction of the bore, or one above it")
	f.StringVar(&q.filter.Rules, "rules", "", "rule revision, or its first digits")
	f.StringVar(&q.filter.Serial, "serial", "", "serial of a piece of gear")
	f.StringVar(&q.since, "since", "", "written at this date or time or later")
	f.StringVar(&q.until, "until", "", "written before this time, or to the end of this date")
	f.BoolVar(&q.waiver, "waivers", false, "waivers that were given")
	f.StringVar(&q.loose, "loosened", "", "releases with this limit looser than the base's, or any")
	f.StringVar(&q.void, "void", "", "releases that held no longer, for this reason, or any")
	f.BoolVar(&q.filter.Release, "releases", false, "releases")
	f.DurationVar(&q.fast, "fast", 0, "answers that came faster than this, in whole seconds")
	f.BoolVar(&q.newest, "newest", false, "the latest record first")
	f.IntVar(&q.limit, "limit", 0, "how many at the most; 0 is all")
	f.StringVar(&q.after, "after", "", "go on where a page ended")
	f.IntVar(&q.last, "last", 0, "only the last so many records; 0 is all")
	f.BoolVar(&q.csv, "csv", false, "print CSV")
	f.BoolVar(&q.table, "table", false, "print lines for people, which is what it does by itself")
	f.BoolVar(&q.story, "story", false, "tell the story of one bore")
	f.DurationVar(&q.silence, "silence", 2*time.Hour, "for a story: how long a silence is worth a line")
}

// check refuses flags that say two things.
func (q *asked) check(asJSON bool, args []string) error {
	bad := func(say string) error { return &engine.Error{Kind: engine.Usage, Say: say} }
	forms := 0
	for _, on := range []bool{asJSON, q.csv, q.table} {
		if on {
			forms++
		}
	}
	switch {
	case forms > 1:
		return bad("--json, --csv and --table exclude each other")
	case q.story && (len(args) == 0 || q.paged() || q.last > 0 || q.csv):
		return bad("a story is of one bore, whole, in words or as JSON")
	case q.last > 0 && (q.newest || q.after != "" || q.limit > 0):
		return bad("--last goes with no order and no page; use --newest --limit")
	case q.last < 0 || q.limit < 0:
		return bad("a number of records is not negative")
	case q.waiver && q.kind != "" && q.kind != string(ledger.KindWaive):
		return bad("--waivers is --kind waive; it cannot be another kind as well")
	case q.fast%time.Second != 0 || q.fast < 0 || q.fast > ledger.MaxFast:
		return bad("--fast is whole seconds, 1s up to " + ledger.MaxFast.String())
	}
	return q.spelt()
}

// paged says whether anything but a plain history was asked for.
func (q *asked) paged() bool {
	return q.newest || q.limit > 0 || q.after != "" || q.person != "" || q.since != "" || q.until != "" || q.kind != "" ||
		q.void != "" || q.loose != "" || q.fast > 0 || q.waiver || q.filter != ledger.Filter{}
}

// query reads what was typed.
func (a *app) query(ctx context.Context, s *site, args []string, q *asked, zone *time.Location) (boltstore.Query, error) {
	out := boltstore.Query{Filter: q.filter, Newest: q.newest, Limit: q.limit}
	f := &out.Filter
	f.Kind, f.Fast = ledger.Kind(q.kind), int(q.fast/time.Second)
	f.Serial = strings.Join(strings.Fields(f.Serial), "")
	if q.waiver {
		f.Kind = ledger.KindWaive
	}
	if f.Void, f.Voids = q.void, q.void != ""; q.void == anyOne {
		f.Void = ""
	}
	if f.Loose, f.Looser = q.loose, q.loose != ""; q.loose == anyOne {
		f.Loose = ""
	}
	var err, ferr error
	if len(args) > 0 {
		f.Bore, err = engine.BoreID(args[0])
	}
	if q.since != "" {
		f.Since, ferr = audit.ParseWhen(q.since, zone, false)
		err = errors.Join(err, ferr)
	}
	if q.until != "" {
		f.Until, ferr = audit.ParseWhen(q.until, zone, true)
		err = errors.Join(err, ferr)
	}
	if err = errors.Join(err, f.Valid()); err != nil {
		return out, usage(err)
	}
	if q.person != "" {
		if f.Person, err = personID(ctx, s, q.person); err != nil {
			return out, err
		}
	}
	return out, goOn(&out, q.after)
}

// goOn begins where a page ended.
func goOn(q *boltstore.Query, after string) error {
	if after == "" {
		return nil
	}
	c, err := audit.ParseCursor(after)
	if err != nil {
		return usage(err)
	}
	if !c.Fits(q.Filter, q.Newest) {
		return &engine.Error{Kind: engine.Usage, Say: "this page belongs to another question", Hint: "give the same filters and order as before"}
	}
	q.After = &c.After
	return nil
}

// personID finds somebody by id or by name.
func personID(ctx context.Context, s *site, typed string) (string, error) {
	if p, ok := s.engine.Person(typed); ok {
		return p.ID, nil
	}
	found := map[string]bool{}
	err := s.store.People(ctx, func(r ledger.Record) error {
		if r.Person == nil {
			return nil
		}
		if p, ok := s.engine.Person(r.Person.ID); ok && strings.EqualFold(p.Name, strings.Join(strings.Fields(typed), " ")) {
			found[p.ID] = true
		}
		return nil
	})
	if err != nil {
		return "", err
	}
	switch len(found) {
	case 0:
		return "", &engine.Error{Kind: engine.NotFound, Say: fmt.Sprintf("nobody in this ledger is called %q", typed)}
	case 1:
		for id := range found {
			return id, nil
		}
	}
	return "", &engine.Error{Kind: engine.Usage, Say: fmt.Sprintf("%d people are called %q", len(found), typed),
		Hint: "give the id: " + strings.Join(sortedKeys(found), " or ")}
}

// zone is the one that times are read and shown in.
func (a *app) zone(ctx context.Context, s *site, bore string, given bool) (*time.Location, error) {
	name := a.config.Zone
	if bore != "" && !given {
		err := s.store.Bore(ctx, bore, 1, func(r ledger.Record) error {
			if r.Open != nil {
				name = r.Open.Zone
			}
			return errEnough
		})
		if err != nil && !errors.Is(err, errEnough) {
			return nil, err
		}
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "there is no time zone " + name, Hint: "write it as America/Chicago", Err: err}
	}
	return zone, nil
}

// errEnough ends a walk that has what it wants.
var errEnough = errors.New("enough")
