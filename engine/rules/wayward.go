package rules

import (
	"context"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// Wayward refuses a check of a local pack that lets something through because a limit
// was made stricter: then "stricter" is the wrong way round in params.yaml, or a sign
// in the rule, and a narrower pack could loosen it without anybody's leave. It tries
// made-up answers around each limit; finding nothing proves nothing.
func Wayward(ctx context.Context, layers Layers) error {
	opts := Options{}.withDefaults(bookTime)
	_, err := inTime(ctx, opts.Total, func(ctx context.Context) (bool, error) {
		sh, err := newShelf(ctx, layers, opts)
		if err != nil {
			return false, err
		}
		out := &faults{}
		for _, t := range sh.local {
			r := t.resolve(edition{place: t.place(), row: sh.row(t.place())}, out)
			for _, c := range t.checks {
				if err := t.wayward(ctx, c, r, out); err != nil {
					return false, err
				}
			}
		}
		return true, out.err()
	})
	return err
}

func (t *tier) wayward(ctx context.Context, c *engine.Check, r *resolved, out *faults) error {
	now, err := t.withLimits(ctx, c, r, nil)
	if err != nil {
		return err
	}
	for _, path := range c.Params {
		p := r.paths[path]
		for _, step := range stricterSteps(p) {
			moved, err := t.withLimits(ctx, c, r, step)
			if err != nil {
				return err
			}
			if t.letsThrough(ctx, now, moved) {
				out.list = append(out.list, fault{file: c.File, line: 1,
					say:  "made stricter, which for " + p.Name + " is " + p.Stricter + ", this limit lets through what the check stopped",
					hint: "Turn round the word after \"stricter\" in params.yaml, or the sign in the rule; a check of one's own wants a limit of its own."})
				break
			}
		}
	}
	return nil
}

// withLimits is a check made ready with the limits it reads, one of them moved.
func (t *tier) withLimits(ctx context.Context, c *engine.Check, r *resolved, moved *engine.Param) (*unit, error) {
	var read []*engine.Param
	for _, path := range c.Params {
		p := r.paths[path]
		if moved != nil && p.Path == moved.Path {
			p = moved
		}
		read = append(read, p)
	}
	u, err := newUnit(ctx, t.compiler, limitsStore(read), c, t.table)
	if err != nil {
		return nil, err
	}
	u.limits = read
	return u, nil
}

// stricterSteps are a little stricter and much stricter.
func stricterSteps(p *engine.Param) []*engine.Param {
	var all []*engine.Param
	for _, to := range map[string][]int64{
		"higher": {p.Value.Base() + 1, 2 * p.Value.Base()},
		"lower":  {p.Value.Base() - 1, p.Value.Base() / 2},
	}[p.Stricter] {
		if v := quantity.Of(p.Value.Kind(), to); v.Valid() && !v.Equal(p.Value) {
			moved := *p
			moved.Value = v
			all = append(all, &moved)
		}
	}
	return all
}

// letsThrough says whether some made-up answers that did not hold are passed once a
// limit has moved. Exempt is no hole: a check stands back where another one stops.
func (t *tier) letsThrough(ctx context.Context, now, moved *unit) bool {
	s := &Set{deadline: t.opts.Deadline}
	around := make([][]any, len(now.slots))
	for i, slot := range now.slots {
		around[i] = append(now.around(slot), moved.around(slot)...)
	}
	for n := range probes {
		g := guess{now, around, n}
		if !s.fails(now, g) {
			continue
		}
		if proved, err := s.attempt(ctx, moved, moved.pass, g); err == nil && proved {
			return true
		}
	}
	return false
}
