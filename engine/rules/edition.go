package rules

import (
	"context"
	"fmt"
	"slices"

	"firstrod/engine"
)

// edition says which rules of a tier are meant. The zero value is the tier's
// own, from the first day on.
type edition struct {
	place string
	day   int64    // the first day of the edition; 0: no earlier one
	row   *oneCall // of the state; nil where the table has none
}

// edition makes the rules of a place ready for the days from one day on. Nothing
// is left that could fail when the day comes.
func (t *tier) edition(ctx context.Context, e edition) (*Set, error) {
	out := &faults{}
	r := t.resolve(e, out)
	if err := out.err(); err != nil {
		return nil, err
	}
	m := &making{tier: t, resolved: r, set: &Set{units: map[string]*unit{}, deadline: t.opts.Deadline}}
	for _, l := range t.chain() {
		for _, c := range l.checks {
			if r.off[c.ID] {
				continue
			}
			if err := m.add(ctx, l, c); err != nil {
				return nil, err
			}
		}
	}
	cat, err := t.catalogue(e, r, m.checks)
	if err != nil {
		return nil, err
	}
	if t.unasked(r, cat, out); len(out.list) > 0 {
		return nil, out.err()
	}
	m.set.catalogue = cat
	if err := m.set.try(ctx, m.fresh); err != nil {
		return nil, err
	}
	return m.set, nil
}

// making is a Set on its way.
type making struct {
	tier     *tier
	resolved *resolved
	set      *Set
	checks   []*engine.Check
	fresh    []*unit // not used by an earlier edition
}

// add makes one check ready, or takes it as an earlier edition has made it where
// it reads the same limits.
func (m *making) add(ctx context.Context, l *tier, c *engine.Check) error {
	sum, changed := c.Digest, m.resolved.firm[c.ID]
	if m.resolved.differs(c, l.table) {
		sum, changed = digest(c, l.written[c.ID], m.resolved.paths), true
	}
	if changed {
		c = new(*c)
		c.Digest, c.Waivable = sum, c.Waivable && !m.resolved.firm[c.ID]
	}
	m.checks = append(m.checks, c)
	u := l.ready[sum]
	if u == nil {
		var err error
		var read []*engine.Param
		for _, path := range c.Params {
			read = append(read, m.resolved.paths[path])
		}
		if u, err = newUnit(ctx, l.compiler, limitsStore(read), c, l.table); err != nil {
			return &engine.Error{Kind: engine.Rules, Say: c.File + ": this check could not be made ready", Err: err}
		}
		u.limits, u.compares, u.notes = read, compares(l.modules[c.File]), l.table.remarks(c, l.modules[c.File])
		l.ready[sum] = u
		m.fresh = append(m.fresh, u)
	}
	m.set.units[c.ID] = u
	return nil
}

// differs says whether a check reads a limit that is not as its layer knows it.
func (r *resolved) differs(c *engine.Check, known *table) bool {
	return slices.ContainsFunc(c.Params, func(path string) bool { return !r.paths[path].Value.Equal(known.params[path].Value) })
}

// catalogue is everything that an edition says.
func (t *tier) catalogue(e edition, r *resolved, checks []*engine.Check) (*engine.Catalogue, error) {
	rev, err := revision(t.content, e.marks()...)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(checks, inOrder)
	cat := engine.NewCatalogue(rev, engineName(), t.blob, checks, r.list())
	cat.Place, cat.Day, cat.Loose, cat.Ended = e.place, e.day, r.loose, r.ended
	cat.OnPublish = engine.PublishKeep
	for _, l := range t.chain() {
		cat.Retired = append(cat.Retired, l.retired...)
		if l.overlay == nil {
			cat.Layers = append(cat.Layers, engine.Layer{Code: l.code, Title: engine.Text{"en": "Base", "es": "Base"}})
			if e.row != nil {
				cat.Layers = append(cat.Layers, e.row.layer())
			}
			continue
		}
		cat.Layers = append(cat.Layers, engine.Layer{Code: l.code, Title: l.overlay.title, Holds: l.overlay.holds})
		if l.overlay.publish == engine.PublishRecheck {
			cat.OnPublish = engine.PublishRecheck
		}
	}
	// A pack that sets the width itself answers for it.
	if zone := r.params[toleranceZone]; r.reason != nil && (zone.Pack == baseCode || zone.Pack == oneCallCode) {
		cat.Notices = append(cat.Notices, notice(zone, e.place, r.reason))
	}
	return cat, nil
}

// marks tell apart what is made of the same files: another state of the table,
// and the days after an end date.
func (e edition) marks() []string {
	var all []string
	if e.row != nil {
		all = append(all, "one-call "+e.row.raw)
	}
	if e.day != 0 {
		all = append(all, fmt.Sprintf("from day %d", e.day))
	}
	return all
}

func (o *oneCall) layer() engine.Layer {
	return engine.Layer{Code: oneCallCode, Holds: o.state, Row: true, Title: engine.Text{
		"en": "One-call law of " + o.state, "es": "Ley de una llamada de " + o.state,
	}}
}
