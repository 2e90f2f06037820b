// Package engine is the story of firstrod: no first rod goes in the ground
// until every rule passes and two people have signed.
//
// Start with [New], then [Engine.Open] a bore. A turn is one call: [Engine.Answer],
// Report, Hold, Reason, Waive, Undo, Sign or Close. Each turn works out the next state of
// the bore, asks the rules ([Evaluator]) about the checks that the turn can touch,
// and appends one record that carries cause and effect together ([Store]).
// Nothing is told to anybody before it is durable. [Engine.Board] shows how a
// bore stands, [Board.Next] what to ask next.
//
// A finding holds only when the rules proved it. Whatever is missing, odd or
// slow does not hold, and a bore with one such finding is never released.
package engine

import (
	"context"
	"fmt"
	"sync"
	"time"

	"firstrod/engine/ledger"
)

// Store keeps the records. Errors are *Error values: Conflict when the bore has
// moved on, Storage when nothing can be written any more.
type Store interface {
	// Append writes one record and what belongs beside it, all or nothing, and
	// returns once it is durable. A known key writes nothing and gives the first
	// delivery's receipt.
	Append(ctx context.Context, e ledger.Entry) (ledger.Receipt, error)
	// Bore streams the records of a bore in order, from version from on.
	Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error
	// Bores lists bores, the one that moved last first; limit 0 means all.
	Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error)
	// Known gives the record that a delivery's key made, if it made one.
	Known(ctx context.Context, key string) (seq int64, ok bool, err error)
}

// Registry is what a store knows across bores: who has been introduced, and
// which rules are in force.
type Registry interface {
	// People streams the records that introduce people, in order.
	People(ctx context.Context, fn func(ledger.Record) error) error
	// Private gives a value kept beside the ledger, such as a person's name;
	// not found once it was erased.
	Private(ctx context.Context, id string) (value string, found bool, err error)
	// Rules gives the record of the rules in force; not found in a new ledger.
	Rules(ctx context.Context) (r ledger.Record, found bool, err error)
}

// Config is what an engine is made of. Store and Registry are two faces of one
// store.
type Config struct {
	Rules    Evaluator
	Store    Store
	Registry Registry
	Clock    func() time.Time // nil: time.Now
	ReadOnly bool             // look only: do not record which rules are in force
}

// Engine runs any number of bores side by side.
type Engine struct {
	rules Evaluator
	store Store
	clock func() time.Time

	mu     sync.Mutex
	bores  map[string]*live
	people roster
}

// Said is what every turn has in common: who said it, where, in which words.
type Said struct {
	By    ledger.Actor
	From  string // "terminal", ...
	Lang  string
	Typed string // the whole message
	Key   string // the delivery's idempotency key, unique for ever
}

// New makes an engine, learns who is known, and records the rule revision in
// force if the ledger does not have it yet.
func New(ctx context.Context, c Config) (*Engine, error) {
	if c.Clock == nil {
		c.Clock = time.Now
	}
	e := &Engine{rules: c.Rules, store: c.Store, clock: c.Clock, bores: map[string]*live{}}
	if err := e.people.load(ctx, c.Registry); err != nil {
		return nil, err
	}
	if c.ReadOnly {
		return e, nil
	}
	return e, e.recordRules(ctx, c.Registry)
}

// Catalogue is what the rules in force say.
func (e *Engine) Catalogue() *Catalogue { return e.rules.Catalogue() }

// Now is the engine's clock.
func (e *Engine) Now() time.Time { return e.clock() }

// Bores lists bores, the one that moved last first; limit 0 means all.
func (e *Engine) Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error) {
	return e.store.Bores(ctx, limit)
}

// Known says whether a delivery was recorded before.
func (e *Engine) Known(ctx context.Context, key string) (bool, error) {
	_, ok, err := e.store.Known(ctx, key)
	return ok, err
}

// recordRules writes down which rules are in force, with their bytes, when they
// are not those that the ledger knows.
func (e *Engine) recordRules(ctx context.Context, known Registry) error {
	c := e.rules.Catalogue()
	last, found, err := known.Rules(ctx)
	if err != nil || found && last.Rules == c.Revision {
		return err
	}
	pack := &ledger.Pack{Blob: ledger.BlobSum(c.Packs), Engine: c.Engine}
	for _, ch := range c.Checks {
		pack.Checks = append(pack.Checks, ledger.PackCheck{
			ID: ch.ID, Each: string(ch.Each), Gate: string(ch.Gate), Digest: ch.Digest, Fixed: !ch.Waivable,
		})
	}
	_, err = e.store.Append(ctx, ledger.Entry{
		Record: ledger.Record{
			V: 1, Key: fmt.Sprintf("rules:%s:after:%d", c.Revision, last.Seq), Kind: ledger.KindRules, At: e.clock().UTC(),
			Rules: c.Revision, Pack: pack,
		},
		Blobs: [][]byte{c.Packs},
	})
	return err
}

// live is a bore in memory: what its records say, and the findings as the rules
// see them now. Its lock is held for a whole turn. A Bore that is in place is
// never changed any more, so that boards can share it; the next one replaces it.
type live struct {
	mu       sync.Mutex
	bore     *Bore
	targets  []Target // every check on every subject of the bore
	findings map[string]Finding
	seen     time.Time // when the rules last looked
}

// bore gives a bore, from its records if need be, locked.
func (e *Engine) bore(ctx context.Context, id string) (*live, error) {
	e.mu.Lock()
	l, ok := e.bores[id]
	if !ok {
		l = &live{}
		e.bores[id] = l
	}
	e.mu.Unlock()
	l.mu.Lock()
	if l.bore != nil {
		return l, nil
	}
	if err := e.load(ctx, id, l); err != nil {
		l.mu.Unlock()
		e.forget(id)
		return nil, err
	}
	return l, nil
}

func (e *Engine) forget(id string) {
	e.mu.Lock()
	delete(e.bores, id)
	e.mu.Unlock()
}

func (e *Engine) load(ctx context.Context, id string, l *live) error {
	b, err := e.read(ctx, id)
	if err != nil {
		return err
	}
	l.bore = b
	e.evaluateAll(ctx, l)
	return nil
}

// read folds a bore's records.
func (e *Engine) read(ctx context.Context, id string) (*Bore, error) {
	b := newBore(id)
	err := e.store.Bore(ctx, id, 1, func(r ledger.Record) error { return b.apply(&r) })
	if err != nil {
		return nil, err
	}
	if b.Ver == 0 {
		return nil, failure("bore_unknown", "bore", id)
	}
	return b, nil
}
