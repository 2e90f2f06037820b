package rules

import (
	"context"
	"fmt"
	"io/fs"
	"time"

	"firstrod/engine"
)

// Options says how a pack is loaded. The zero value is right for the base.
type Options struct {
	Layer    string        // what a single pack is called; "" means "base"
	Pinned   []string      // ids of checks that must be in the base, see IDs
	Draft    bool          // take texts with blanks still to be filled, see Blank
	Deadline time.Duration // for one rule on one subject; 0 means 250 ms
	Total    time.Duration // for the whole of Load (0: 5 s) or LoadBook (0: 20 s)
}

func (o Options) withDefaults(total time.Duration) Options {
	if o.Layer == "" {
		o.Layer = baseCode
	}
	if o.Deadline == 0 {
		o.Deadline = 250 * time.Millisecond
	}
	if o.Total == 0 {
		o.Total = total
	}
	return o
}

// Load reads a single pack, refuses anything odd, tries every rule on made-up
// values and gives a ready Set. Errors are *engine.Error of kind Rules; Say names
// the file, the line and the word. When the time is up Load returns, but the rule
// engine's compiler cannot be stopped and may go on for a while behind it.
func Load(ctx context.Context, fsys fs.FS, opts Options) (*Set, error) {
	opts = opts.withDefaults(5 * time.Second)
	return inTime(ctx, opts.Total, func(ctx context.Context) (*Set, error) {
		t, err := newTier(ctx, tierOf{fsys: fsys, code: opts.Layer}, opts)
		if err != nil {
			return nil, err
		}
		return t.edition(ctx, edition{})
	})
}

// inTime gives up waiting when the time is over.
func inTime[T any](ctx context.Context, total time.Duration, f func(context.Context) (T, error)) (T, error) {
	ctx, cancel := context.WithTimeout(ctx, total)
	defer cancel()
	type result struct {
		got T
		err error
	}
	done := make(chan result, 1)
	go func() {
		got, err := guard(func() (T, error) { return f(ctx) })
		done <- result{got, err}
	}()
	select {
	case r := <-done:
		return r.got, r.err
	case <-ctx.Done():
		var none T
		return none, &engine.Error{
			Kind: engine.Rules, Err: ctx.Err(),
			Say:  fmt.Sprintf("the rules could not be made ready within %s", total),
			Hint: "Look for loops that stand in each other in the rule that was changed last.",
		}
	}
}

// guard turns a panic of the rule engine into a refusal.
func guard[T any](f func() (T, error)) (got T, err error) {
	defer func() {
		if r := recover(); r != nil {
			var none T
			got, err = none, &engine.Error{
				Kind: engine.Rules, Say: "the rules could not be made ready", Err: fmt.Errorf("panic: %v", r),
			}
		}
	}()
	return f()
}
