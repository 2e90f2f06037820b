package desk

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"runtime/debug"

	"firstrod/engine"
)

// Judge is the child's end of [Trial]: it sets the limits for this process, for
// good, then reads an archive from in, asks accept, and writes the verdict to
// out. The error is nil whenever a verdict was written. It must be the first
// thing a child does.
func Judge(ctx context.Context, in io.Reader, out io.Writer, limits Limits, accept func(context.Context, Candidate) error) error {
	limits = limits.withDefaults()
	if err := confine(limits); err != nil {
		return &engine.Error{Kind: engine.Internal, Say: "the limits of a trial could not be set", Err: err}
	}
	debug.SetMemoryLimit(limits.Data / 2) // the collector knows of the bound before it is met
	v := judge(ctx, in, accept)
	if err := json.NewEncoder(out).Encode(v); err != nil {
		return unwritten("the result of the trial", err)
	}
	return nil
}

func judge(ctx context.Context, in io.Reader, accept func(context.Context, Candidate) error) (v verdict) {
	c, err := received(in)
	if err == nil {
		v.Sum = c.Sum
		err = guarded(ctx, c, accept)
	}
	if err != nil {
		v.Say, v.Hint = inWords(err)
		v.Faults = FaultsOf(err)
		return v
	}
	v.OK = true
	return v
}

func received(in io.Reader) (Candidate, error) {
	blob, err := io.ReadAll(io.LimitReader(in, maxArchive+1))
	if err != nil {
		return Candidate{}, unreadable("the rules on trial", err)
	}
	files, _, err := unpack(blob)
	if err != nil {
		return Candidate{}, err
	}
	return newCandidate(files, "trial")
}

func guarded(ctx context.Context, c Candidate, accept func(context.Context, Candidate) error) (err error) {
	defer caught(&err, "the rules made the rule engine fail")
	return errors.Join(accept(ctx, c), ctx.Err())
}
