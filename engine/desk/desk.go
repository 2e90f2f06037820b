package desk

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"firstrod/engine"
)

// Source is where rules come from: a [Folder] or a [Web].
type Source interface {
	// Read gives what is there now.
	Read(ctx context.Context) (Candidate, error)
	// Kept gives what came into force last, from a copy that needs nobody else.
	Kept(ctx context.Context) (Candidate, error)
	// Keep is called before a candidate comes into force, so that Kept has it.
	Keep(ctx context.Context, c Candidate) error
}

// Live is the rules that are in force. It never changes.
type Live struct {
	Rulebook    engine.Rulebook
	Publication Publication
	Since       time.Time // when they came into force here
	RenewBy     time.Time // the day by which their signer has promised to sign anew; zero: no promise
}

// Clock is what the desk does with time.
type Clock struct {
	Now   func() time.Time
	Sleep func(ctx context.Context, d time.Duration) error // ctx's error when that ends first
}

// Config is what a desk is made of. Source, Accept and Alert are needed.
type Config struct {
	Source Source
	// Accept makes a candidate ready to judge, or says why not: a *Refusal names
	// files and lines. It loads, checks, tests and tries; ctx ends with Patience.
	Accept func(ctx context.Context, c Candidate) (engine.Rulebook, error)
	// Record writes down that a publication comes into force, just before it
	// does, and hands its rules to whoever judges by them. On an error it does
	// not. May be nil.
	Record func(ctx context.Context, book engine.Rulebook, p Publication) error
	Alert  func(Alert)   // called by Run, one at a time
	Every  time.Duration // between two looks; 0 means 3 s
	// Patience is how long Accept may take; 0 means 60 s.
	Patience time.Duration
	Clock    Clock
	Live     Live        // in force from the beginning; Rulebook may be nil, see Start
	Last     Publication // the newest that was ever in force here, as the ledger has it; may be zero
}

// Desk brings rules into force. One goroutine calls Start and Run, any number
// call Live.
type Desk struct {
	cfg     Config
	live    atomic.Pointer[Live]
	last    Publication // nothing before it comes into force
	seen    string      // mark of the look before this one
	trouble *trouble    // what an alert was raised about, until all is well again
	stale   *stale      // the broken promise that was told of
}

// New makes a desk. It reads nothing yet.
func New(cfg Config) (*Desk, error) {
	if cfg.Source == nil || cfg.Accept == nil || cfg.Alert == nil {
		return nil, &engine.Error{Kind: engine.Internal, Say: "a desk needs a source, a way to accept rules and somebody to tell"}
	}
	cfg.Every, cfg.Patience = cmp.Or(cfg.Every, 3*time.Second), cmp.Or(cfg.Patience, time.Minute)
	if cfg.Record == nil {
		cfg.Record = func(context.Context, engine.Rulebook, Publication) error { return nil }
	}
	if cfg.Clock.Now == nil || cfg.Clock.Sleep == nil {
		cfg.Clock = Clock{time.Now, sleep}
	}
	d := &Desk{cfg: cfg, last: cfg.Last}
	if cfg.Live.Rulebook != nil {
		d.live.Store(&cfg.Live)
		if cfg.Live.Publication.Serial > d.last.Serial {
			d.last = cfg.Live.Publication
		}
	}
	return d, nil
}

func sleep(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Live is what is in force now, or nil where nothing is: then nothing may be
// released. Take it once for each evaluation.
func (d *Desk) Live() *Live { return d.live.Load() }

// Start brings into force what the source has kept, or else what it has now.
// With an error nothing has changed; whoever has no other rules must not go on.
func (d *Desk) Start(ctx context.Context) error {
	kept, err := d.cfg.Source.Kept(ctx)
	if err == nil {
		if err = d.bring(ctx, kept); err == nil {
			return nil
		}
	}
	now, err2 := d.read(ctx)
	switch {
	case err2 != nil:
	case !now.Published:
		err2 = &engine.Error{Kind: engine.Rules, Say: now.Unpublished, Hint: publishHint}
	default:
		if err2 = d.bring(ctx, now); err2 == nil {
			return nil
		}
	}
	if errors.Is(err, context.Canceled) || engine.KindOf(err) == engine.NotFound {
		return err2 // that nothing was kept yet tells nobody anything
	}
	return errors.Join(err, err2)
}

const publishHint = "firstrod rules publish brings them into force"

// Run looks at the source until ctx ends.
func (d *Desk) Run(ctx context.Context) error {
	for {
		d.look(ctx)
		d.watchPromise()
		if err := d.cfg.Clock.Sleep(ctx, d.cfg.Every); err != nil {
			return err
		}
	}
}

// look looks once. Only what two looks in a row have found is dealt with, so
// that a folder in the middle of being copied raises no alert.
func (d *Desk) look(ctx context.Context) {
	c, err := d.read(ctx)
	if ctx.Err() != nil {
		return
	}
	mark := markOf(c, err)
	if mark != d.seen {
		d.seen = mark
		return
	}
	switch {
	case err != nil:
		d.raise(mark, Unreadable, c, err)
	case !c.Published:
		// One alert for as long as somebody is editing, not one for each save.
		d.raise(string(Unpublished), Unpublished, c, &engine.Error{Kind: engine.Rules, Say: c.Unpublished, Hint: publishHint})
	default:
		d.offer(ctx, mark, c)
	}
}

// read reads the source; a panic there is an error.
func (d *Desk) read(ctx context.Context) (c Candidate, err error) {
	defer caught(&err, "the rules could not be read")
	return d.cfg.Source.Read(ctx)
}

// markOf tells apart what two looks have found.
func markOf(c Candidate, err error) string {
	if err != nil {
		say, _ := inWords(err) // the cause may hold a port or a time
		return "error: " + say
	}
	return fmt.Sprintf("%s %t %+v %s", c.Sum, c.Published, c.Publication, c.RenewBy)
}

// offer brings a published candidate into force if it can.
func (d *Desk) offer(ctx context.Context, mark string, c Candidate) {
	live := d.Live()
	if live != nil && c.Publication.Same(live.Publication) {
		if err := d.renew(ctx, c); err != nil {
			d.raise(mark, Refused, c, err)
			return
		}
		d.mended()
		return
	}
	if d.trouble.waits(mark, d.cfg.Clock.Now()) {
		return
	}
	err := d.bring(ctx, c)
	switch {
	case ctx.Err() != nil:
	case err != nil:
		d.raise(mark, Refused, c, err)
	default:
		d.mended()
		d.cfg.Alert(inForce(c.Publication))
	}
}

// bring accepts a candidate and brings it into force. It is recorded first: what
// cannot be written down does not hold.
func (d *Desk) bring(ctx context.Context, c Candidate) error {
	if err := c.Publication.Follows(d.last); err != nil {
		return err
	}
	book, err := d.accept(ctx, c)
	if err != nil {
		return err
	}
	if err := d.cfg.Source.Keep(ctx, c); err != nil {
		return err
	}
	if !c.Publication.Same(d.last) {
		if err := d.cfg.Record(ctx, book, c.Publication); err != nil {
			return err
		}
	}
	d.last = c.Publication
	d.live.Store(&Live{book, c.Publication, d.cfg.Clock.Now(), c.RenewBy})
	return nil
}

// accept asks the caller. No answer, a panic and a nil are refusals.
func (d *Desk) accept(ctx context.Context, c Candidate) (book engine.Rulebook, err error) {
	ctx, done := context.WithTimeout(ctx, d.cfg.Patience)
	defer done()
	defer caught(&err, "the rules could not be looked at")
	book, err = d.cfg.Accept(ctx, c)
	if err == nil && book == nil {
		err = &engine.Error{Kind: engine.Internal, Say: "the rules were accepted without any being there"}
	}
	if err == nil && ctx.Err() != nil {
		err = refuse("the rules could not be looked at within %s", d.cfg.Patience)
	}
	return book, err
}

// caught turns a panic into an error.
func caught(err *error, say string) {
	if r := recover(); r != nil {
		*err = &engine.Error{Kind: engine.Internal, Say: say, Hint: "the log has the reason", Err: fmt.Errorf("panic: %v", r)}
	}
}
