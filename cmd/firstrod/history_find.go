package main

import (
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"firstrod/engine"
	"firstrod/engine/audit"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// printer shows the answer to a question, record by record.
type printer interface {
	row(r ledger.Record) error
	end(e ending) error
}

// ending is what there is to say after the last record.
type ending struct {
	Rows    int    `json:"rows"`
	More    bool   `json:"more"`           // the page is full and there are more
	Next    string `json:"next,omitempty"` // --after for them
	FoundBy string `json:"found_by"`       // "index", or "reading every record"
	Note    string `json:"complete"`       // what the answer proves
}

const (
	foundByIndex   = "index"
	foundByReading = "reading every record"
)

// find answers a question in the form that was asked for.
func (a *app) find(ctx context.Context, s *site, args []string, q *asked) error {
	bore := ""
	if len(args) > 0 {
		id, err := engine.BoreID(args[0])
		if err != nil {
			return err
		}
		bore = id
	}
	zone, err := a.zone(ctx, s, bore, q.zoneGiven)
	if err != nil {
		return err
	}
	query, err := a.query(ctx, s, args, q, zone)
	if err != nil {
		return err
	}
	if err := errors.Join(known(ctx, s, bore), named(ctx, s, q)); err != nil {
		return err
	}
	c, note := s.store.Checkpoint()
	query.Size = c.Size
	p := a.printer(s, q, zone, c, note)
	if q.last > 0 {
		return lastOnes(ctx, s, query, q.last, p)
	}
	return showPage(ctx, s, query, p)
}

func (a *app) printer(s *site, q *asked, zone *time.Location, c ledger.Checkpoint, note []byte) printer {
	words := siteWords(s.engine)
	switch {
	case q.csv:
		return newCSVRows(a.out, a.err, words, zone, c)
	case a.json && q.paged():
		return &jsonAnswer{w: a.out, c: c, note: string(note)}
	case a.json:
		return &jsonArray{w: a.out}
	}
	return &lines{w: a.out, words: words, zone: zone, c: c, plain: !q.paged()}
}

// known refuses a bore that is not there, which is not the same as one without
// such records.
func known(ctx context.Context, s *site, bore string) error {
	if bore == "" {
		return nil
	}
	found := false
	_, err := s.store.Find(ctx, boltstore.Query{Filter: ledger.Filter{Bore: bore}, Limit: 1}, func(ledger.Record) error { found = true; return nil })
	if err == nil && !found {
		return &engine.Error{Kind: engine.NotFound, Say: "there is no bore " + bore, Hint: "firstrod bores lists them"}
	}
	return err
}

// showPage prints what a query finds. It asks for one record more than it shows, to
// know whether there are more.
func showPage(ctx context.Context, s *site, q boltstore.Query, p printer) error {
	var e ending
	limit, last := q.Limit, int64(0)
	if limit > 0 {
		q.Limit++
	}
	byIndex, err := s.store.Find(ctx, q, func(r ledger.Record) error {
		if limit > 0 && e.Rows == limit {
			e.More = true
			return nil
		}
		e.Rows++
		last = r.Seq
		return p.row(r)
	})
	if err != nil {
		return err
	}
	if e.More {
		e.Next = audit.NewCursor(q.Filter, q.Newest, last).String()
	}
	return p.end(e.because(byIndex))
}

// lastOnes prints the last records that a query finds, in the order of the log.
func lastOnes(ctx context.Context, s *site, q boltstore.Query, n int, p printer) error {
	q.Newest, q.Limit = true, n
	var kept []ledger.Record
	byIndex, err := s.store.Find(ctx, q, func(r ledger.Record) error { kept = append(kept, r); return nil })
	if err != nil {
		return err
	}
	for _, r := range slices.Backward(kept) {
		if err := p.row(r); err != nil {
			return err
		}
	}
	return p.end(ending{Rows: len(kept)}.because(byIndex))
}

func (e ending) because(byIndex bool) ending {
	e.FoundBy = foundByIndex
	e.Note = "each record is proved by its number and the checkpoint; that none was left out rests on the index, which firstrod verify compares"
	if !byIndex {
		e.FoundBy = foundByReading
		e.Note = "the index is behind, so every record was read: slower, and nothing was left out; firstrod reindex builds the index"
	}
	return e
}

// siteWords looks names up in the ledger's people and in the rules of today, those
// of the base first.
func siteWords(e *engine.Engine) audit.Words {
	all := catalogues(e)
	return audit.Words{
		Person: func(id string) string { p, _ := e.Person(id); return called(p) },
		Ask: func(id string) string {
			for _, c := range all {
				if a, ok := c.Ask(id); ok {
					return a.Label.In("en")
				}
			}
			return ""
		},
		Check: func(id string) string {
			for _, c := range all {
				if ch, ok := c.Check(id); ok {
					return ch.Title.In("en")
				}
			}
			return ""
		},
	}
}

// called is a name, or that it was erased, with the id that is left.
func called(p engine.Person) string {
	if p.Erased.IsZero() {
		return p.Name
	}
	return p.Called() + " (" + p.ID + ")"
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
