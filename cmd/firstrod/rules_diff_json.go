package main

import (
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

func (a *app) diffJSON(d rules.Difference) diffJSON {
	v := diffJSON{Added: a.namedJSON(d.Added), Removed: a.namedJSON(d.Removed), Changed: []changedJSON{}, Limits: []limitChangeJSON{}}
	for _, c := range d.Changed {
		v.Changed = append(v.Changed, changedJSON{
			namedJSON{c.After.ID, c.After.Title.In(a.config.Lang)},
			append([]string{}, c.Gone...), append([]string{}, c.New...), detailsJSON(c.What),
		})
	}
	for _, l := range d.Limits {
		v.Limits = append(v.Limits, a.limitChange(l))
	}
	return v
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
