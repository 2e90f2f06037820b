package engine

import (
	"context"
	"runtime"
	"sync"
	"time"

	"firstrod/engine/ledger"
)

// Past is what [Replay] and [Rerunner] read of a store: the bores on record.
type Past interface {
	// Bores lists bores, the one that moved last first; limit 0 means all.
	Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error)
	// Bore streams the records of a bore in order, from version from on. It is
	// called by many goroutines at once, for different bores.
	Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error
}

// Picker gives the rules for a bore in a jurisdiction on a day, as
// [Rulebook.At] does. It is called by many goroutines at once.
type Picker func(jurisdiction string, day int64) Evaluator

// ReplayOptions says how a replay is made. The zero value is right.
type ReplayOptions struct {
	Since    time.Time             // decisions before it are left out; zero: none
	Workers  int                   // 0: as many as there are processors to use
	Progress func(done, total int) // bores so far; never called twice at once
	Examples int                   // at most so many for each check and way; 0: 3
	// Earlier gives what an earlier revision said, so that findings recorded under
	// it need not be made again, or nil where it is not known. It is never called
	// twice at once, and may be nil.
	Earlier func(revision string) *Catalogue
	// Full asks both sets of rules about everything and believes no record. It
	// finds the same, and takes many times as long.
	Full bool
}

func (o ReplayOptions) withDefaults() ReplayOptions {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Examples <= 0 {
		o.Examples = 3
	}
	return o
}

// Replay says what other rules would have done to the bores on record: which
// checks would have come out another way, and which releases would not have been
// given, or would. It looks at each bore at its decisions: at every release, and
// where it stands last, each at the clock of then. What people signed in between
// had the facts of the release; what a hold drops was never a decision.
//
// Only checks that the two sets of rules judge differently are asked, see
// [Catalogue.Reach]; of all others the recorded finding stands. The findings
// do not depend on the number of workers.
func Replay(ctx context.Context, past Past, old, candidate Picker, o ReplayOptions) (Outcome, error) {
	o = o.withDefaults()
	bores, err := past.Bores(ctx, 0)
	if err != nil {
		return Outcome{}, err
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	r := &replay{past: past, old: old, candidate: candidate, options: o, plans: newPlans(o)}
	todo, seen := make(chan string), &counter{total: len(bores), tell: o.Progress}
	parts := make([]*tally, o.Workers)
	var wg sync.WaitGroup
	for w := range o.Workers {
		wg.Go(func() {
			parts[w] = newTally(o.Examples)
			for id := range todo {
				if err := r.bore(ctx, id, parts[w]); err != nil {
					stop(err) // the first error counts
					return
				}
				seen.add()
			}
		})
	}
	feed(ctx, todo, bores)
	wg.Wait()
	if err := context.Cause(ctx); err != nil {
		return Outcome{}, err
	}
	whole := newTally(o.Examples)
	for _, part := range parts {
		whole.merge(part)
	}
	return whole.outcome(r.plans), nil
}

func feed(ctx context.Context, todo chan<- string, bores []ledger.BoreLine) {
	defer close(todo)
	for _, b := range bores {
		select {
		case todo <- b.Bore:
		case <-ctx.Done():
			return
		}
	}
}

// counter tells how far a replay is.
type counter struct {
	mu          sync.Mutex
	done, total int
	tell        func(done, total int)
}

func (c *counter) add() {
	if c.tell == nil {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.done++
	c.tell(c.done, c.total)
}

// replay is what its workers share.
type replay struct {
	past           Past
	old, candidate Picker
	options        ReplayOptions
	plans          *plans
}

// decision is a bore at one moment.
type decision struct {
	bore    *Bore
	seq     int64
	at      time.Time
	release bool // given here
}

// bore folds one bore and looks at its decisions.
func (r *replay) bore(ctx context.Context, id string, t *tally) error {
	b := newBore(id)
	b.reading = t.reading
	var last decision
	err := r.past.Bore(ctx, id, 1, func(rec ledger.Record) error {
		if err := b.apply(&rec); err != nil {
			return err
		}
		last = decision{b, rec.Seq, rec.At, rec.Release != nil}
		if !last.release {
			return nil
		}
		return r.decision(ctx, last, t)
	})
	if err != nil || b.Ver == 0 {
		return err
	}
	if !last.release {
		if err := r.decision(ctx, last, t); err != nil {
			return err
		}
	}
	t.endBore(b.Jurisdiction)
	return nil
}

// decision asks both sets of rules about a bore at one moment.
func (r *replay) decision(ctx context.Context, d decision, t *tally) error {
	if d.at.Before(r.options.Since) {
		return nil
	}
	day := Day(d.at, d.bore.Zone)
	c := &contrast{
		decision: d, old: r.old(d.bore.Jurisdiction, day), candidate: r.candidate(d.bore.Jurisdiction, day), tally: t,
	}
	c.plan = r.plans.of(c.old.Catalogue(), c.candidate.Catalogue(), d.bore.Rules)
	c.find(ctx)
	if err := ctx.Err(); err != nil {
		return err // a cancelled look at the rules makes everything broken
	}
	c.count()
	return nil
}
