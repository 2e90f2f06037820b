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
	"errors"
	"sync"
	"sync/atomic"
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
	// People streams the records that introduce people, and those that say whose
	// name was erased, in order.
	People(ctx context.Context, fn func(ledger.Record) error) error
	// Private gives a value kept beside the ledger, such as a person's name;
	// not found once it was erased.
	Private(ctx context.Context, id string) (value string, found bool, err error)
	// Rules streams the records that put rules in force, in order. The last one
	// for a place counts.
	Rules(ctx context.Context, fn func(ledger.Record) error) error
	// Blob gives bytes by their SHA-256 in hex; nil where there are none.
	Blob(ctx context.Context, sum string) ([]byte, error)
}

// Config is what an engine is made of. Store and Registry are two faces of one
// store.
type Config struct {
	Rules    Rulebook
	Store    Store
	Registry Registry
	Reopen   Reopen           // nil: a release never outlives the rules it was given under
	Clock    func() time.Time // nil: time.Now
	ReadOnly bool             // look only: do not record which rules are in force

	Publication Publication // how Rules came into force
}

// Engine runs any number of bores side by side.
type Engine struct {
	book   atomic.Pointer[Rulebook]
	rules  inForce
	store  Store
	known  Registry
	reopen Reopen
	clock  func() time.Time

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
	e := &Engine{store: c.Store, known: c.Registry, reopen: c.Reopen, clock: c.Clock, bores: map[string]*live{}}
	e.book.Store(&c.Rules)
	if err := errors.Join(e.people.load(ctx, c.Registry), e.rules.load(ctx, c.Registry)); err != nil {
		return nil, err
	}
	if c.ReadOnly {
		return e, nil
	}
	return e, e.Publish(ctx, c.Rules, c.Publication)
}

// Catalogue is what the rules say in a jurisdiction today; see [Board.Catalogue]
// for those of a bore.
func (e *Engine) Catalogue(jurisdiction string) *Catalogue {
	return (*e.book.Load()).At(jurisdiction, Day(e.clock(), time.UTC)).Catalogue()
}

// Places lists the jurisdictions that have rules of their own.
func (e *Engine) Places() []string { return (*e.book.Load()).Places() }

// Now is the engine's clock.
func (e *Engine) Now() time.Time { return e.clock() }

// Bores lists bores, the one that moved last first; limit 0 means all.
func (e *Engine) Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error) {
	return e.store.Bores(ctx, limit)
}

// Known says whether a delivery was recorded before, and as which record.
func (e *Engine) Known(ctx context.Context, key string) (seq int64, ok bool, err error) {
	return e.store.Known(ctx, key)
}

// live is a bore in memory: what its records say, and the findings as the rules
// see them now. Its lock is held for a whole turn. A Bore that is in place is
// never changed any more, so that boards can share it; the next one replaces it.
type live struct {
	mu       sync.Mutex
	bore     *Bore
	rules    Evaluator // what it is judged by in this turn
	kept     bool      // they are older than those in force: a release stands on them
	targets  []Target  // every check on every subject of the bore
	findings map[string]Finding
	judged   string    // revision of the rules that made the findings
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
		if err := e.choose(ctx, l, l.bore); err != nil {
			l.mu.Unlock()
			return nil, err
		}
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
	if err := e.choose(ctx, l, b); err != nil {
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
