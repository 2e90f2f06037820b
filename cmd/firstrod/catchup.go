package main

import (
	"context"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/desk"
	"firstrod/engine/ledger"
)

// inTurn is rules in the order in which they came into force.
type inTurn struct {
	book engine.Rulebook
	how  desk.Publication
}

// between lists what was published in the folder of the settings after one publication
// and before another. Each was in force for a time, and may have taken releases away
// (on_publish: recheck); a later one does not give them back. Before a ledger was first
// judged by what was published, it has missed nothing.
func (a *app) between(ctx context.Context, last, now int64) ([]inTurn, error) {
	if last == 0 || now <= last+1 || a.config.Policies == "" {
		return nil, nil
	}
	serials, err := desk.Serials(a.config.Policies)
	if err != nil {
		return nil, err
	}
	var all []inTurn
	for _, n := range serials {
		if n <= last || n >= now {
			continue
		}
		c, err := desk.Kept(a.config.Policies, n)
		if err != nil {
			continue // its copy is damaged: nobody can say any more what it was
		}
		if book, err := loadBook(ctx, c); err == nil { // what does not load was never in force
			all = append(all, inTurn{book, c.Publication})
		}
	}
	return all, nil
}

// missed is what came and went since the ledger was judged last.
func (a *app) missed(ctx context.Context, store *boltstore.Store, now desk.Publication) ([]inTurn, error) {
	last := int64(0)
	err := store.Rules(ctx, func(r ledger.Record) error { last = max(last, r.Pack.Serial); return nil })
	if err != nil {
		return nil, err
	}
	return a.between(ctx, last, now.Serial)
}

// enforce brings a publication into force in an engine that runs, after those that
// came and went between two looks at the folder.
func (a *app) enforce(ctx context.Context, e *engine.Engine, book engine.Rulebook, p desk.Publication) error {
	before, err := a.between(ctx, e.Serial(), p.Serial)
	if err != nil {
		return err
	}
	for _, next := range append(before, inTurn{book, p}) {
		if err := e.Publish(ctx, next.book, published(next.how)); err != nil {
			return err
		}
	}
	return nil
}

// enforced makes an engine whose rules came into force one publication after the
// other, the present one last.
func enforced(ctx context.Context, c engine.Config, before []inTurn) (*engine.Engine, error) {
	now := inTurn{c.Rules, desk.Publication{By: c.Publication.By, Why: c.Publication.Why, Serial: c.Publication.Serial}}
	all := append(before, now)
	c.Rules, c.Publication = all[0].book, published(all[0].how)
	e, err := engine.New(ctx, c)
	for _, next := range all[1:] {
		if err != nil {
			return nil, err
		}
		err = e.Publish(ctx, next.book, published(next.how))
	}
	return e, err
}
