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

// missed lists what was published since the ledger was judged last, before the
// publication that is in force now. Each was in force for a time, and may have taken
// releases away (on_publish: recheck); a later one does not give them back.
func (a *app) missed(ctx context.Context, store *boltstore.Store, now desk.Publication) ([]inTurn, error) {
	if now.Serial == 0 || a.config.Policies == "" {
		return nil, nil
	}
	bores, err := store.Bores(ctx, 1)
	if err != nil || len(bores) == 0 {
		return nil, err
	}
	last := int64(0)
	err = store.Rules(ctx, func(r ledger.Record) error { last = max(last, r.Pack.Serial); return nil })
	if err != nil {
		return nil, err
	}
	serials, err := desk.Serials(a.config.Policies)
	if err != nil {
		return nil, err
	}
	var all []inTurn
	for _, n := range serials {
		if n <= last || n >= now.Serial {
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
