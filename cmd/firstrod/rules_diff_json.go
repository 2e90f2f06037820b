package main

import (
	"cmp"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// diffJSON is what one pack changes about another.
type diffJSON struct {
	Added   []namedJSON       `json:"added"`
	Removed []namedJSON       `json:"removed"`
	Changed []changedJSON     `json:"changed"`
	Limits  []limitChangeJSON `json:"limits"`
	Eased   []easedJSON       `json:"loosened"`
	Packs   []packChangeJSON  `json:"packs"`
	Release string            `json:"on_publish"` // keep or recheck where that differs, "" else
	Metal   []string          `json:"metal"`      // what metal can do at a limit that was changed
}

// placedJSON is one thing that differs, and where.
type placedJSON struct {
	Places     []string `json:"places"` // "" for a bore that names none
	Everywhere bool     `json:"everywhere"`
	Say        string   `json:"say"`
	diffJSON
}

// changesJSON is what one set of packs changes about another: where a bore names no
// place, and under changes thing by thing with the places.
type changesJSON struct {
	diffJSON
	Changes []placedJSON `json:"changes"`
}

type easedJSON struct {
	Way         string `json:"way"`
	Name        string `json:"name"`
	Pack        string `json:"pack"`
	UntilBefore string `json:"until_before"` // "" where it was not loosened
	Until       string `json:"until"`        // "" where it is no more
	ApprovedBy  string `json:"approved_by"`
	Why         string `json:"why"`
	Off         bool   `json:"off"` // a check that is not made
}

type packChangeJSON struct {
	Code   string `json:"code"`
	Before string `json:"before"` // "" where it is new
	After  string `json:"after"`  // "" where it is gone
}

type namedJSON struct {
	Check string `json:"check"`
	Title string `json:"title"`
}

type changedJSON struct {
	namedJSON
	Gone    []string     `json:"gone"`
	New     []string     `json:"new"`
	Details []detailJSON `json:"details"`
}

type detailJSON struct {
	Way    string `json:"way"`
	Name   string `json:"name"`
	Before string `json:"before"`
	After  string `json:"after"`
}

type limitChangeJSON struct {
	Way     string       `json:"way"`
	Before  *limitJSON   `json:"before"` // null: new
	After   *limitJSON   `json:"after"`  // null: gone
	Checks  []string     `json:"checks"`
	Details []detailJSON `json:"details"`
}

// apart prints two values so that neither is rounded onto the other.
func apart(a, b *engine.Param, lang string) (string, string) {
	limits := []quantity.Value{a.Value, b.Value}
	return quantity.PrintIn(a.Value, lang, nil, limits...), quantity.PrintIn(b.Value, lang, nil, limits...)
}

func (a *app) changesJSON(c changes) changesJSON {
	v := changesJSON{a.diffJSON(rules.Difference{}, nil), []placedJSON{}}
	for _, one := range c.all {
		d := a.diffJSON(one.Difference, one.cat)
		if one.places[0] == "" {
			v.add(d)
		}
		v.Changes = append(v.Changes, placedJSON{one.places, len(one.places) == len(c.places), one.text, d})
	}
	return v
}

func (d *diffJSON) add(one diffJSON) {
	d.Added, d.Removed, d.Changed = append(d.Added, one.Added...), append(d.Removed, one.Removed...), append(d.Changed, one.Changed...)
	d.Limits, d.Eased, d.Packs = append(d.Limits, one.Limits...), append(d.Eased, one.Eased...), append(d.Packs, one.Packs...)
	d.Metal, d.Release = append(d.Metal, one.Metal...), cmp.Or(d.Release, one.Release)
}

func (a *app) diffJSON(d rules.Difference, cat *engine.Catalogue) diffJSON {
	v := diffJSON{
		Added: a.namedJSON(d.Added), Removed: a.namedJSON(d.Removed), Changed: []changedJSON{}, Limits: []limitChangeJSON{},
		Eased: []easedJSON{}, Packs: []packChangeJSON{}, Metal: []string{},
	}
	for _, c := range d.Changed {
		v.Changed = append(v.Changed, changedJSON{
			namedJSON{c.After.ID, c.After.Title.In(a.config.Lang)},
			append([]string{}, c.Gone...), append([]string{}, c.New...), detailsJSON(c.What),
		})
	}
	for _, l := range d.Limits {
		v.Limits = append(v.Limits, a.limitChange(l))
		v.Metal = append(v.Metal, metalLines(cat, l, a.config.Lang)...)
	}
	for _, e := range d.Eased {
		v.Eased = append(v.Eased, a.easedJSON(e))
	}
	for _, p := range d.Packs {
		v.Packs = append(v.Packs, packChangeJSON{p.Code, p.Before.In(a.config.Lang), p.After.In(a.config.Lang)})
	}
	if d.Releases != nil {
		v.Release = d.Releases.After
	}
	return v
}

func (a *app) easedJSON(e rules.EaseChange) easedJSON {
	l := e.After
	if l == nil {
		l = e.Before
	}
	one := easedJSON{Way: string(e.Way), Name: l.Name, Pack: l.Pack, ApprovedBy: l.By, Why: l.Why.In(a.config.Lang), Off: l.How == "off"}
	if e.Before != nil {
		one.UntilBefore = a.dateWords(e.Before.Until)
	}
	if e.After != nil {
		one.Until = a.dateWords(e.After.Until)
	}
	return one
}

func (a *app) namedJSON(checks []*engine.Check) []namedJSON {
	all := make([]namedJSON, len(checks))
	for i, c := range checks {
		all[i] = namedJSON{c.ID, c.Title.In(a.config.Lang)}
	}
	return all
}

func (a *app) limitChange(l rules.LimitChange) limitChangeJSON {
	one := limitChangeJSON{Way: string(l.Way), Checks: []string{}, Details: detailsJSON(l.What)}
	for _, c := range l.Readers {
		one.Checks = append(one.Checks, c.ID)
	}
	if l.Before != nil {
		one.Before = &limitsJSON([]*engine.Param{l.Before}, a.config.Lang)[0]
	}
	if l.After != nil {
		one.After = &limitsJSON([]*engine.Param{l.After}, a.config.Lang)[0]
	}
	if l.Before != nil && l.After != nil {
		one.Before.Value, one.After.Value = apart(l.Before, l.After, a.config.Lang)
	}
	return one
}

func detailsJSON(all []rules.Detail) []detailJSON {
	v := make([]detailJSON, len(all))
	for i, d := range all {
		v[i] = detailJSON{string(d.Way), d.Name, d.Before, d.After}
	}
	return v
}
