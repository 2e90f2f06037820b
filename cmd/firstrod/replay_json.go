package main

import (
	"time"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// replayJSON is a replay in JSON. Values are in base units, and in words.
type replayJSON struct {
	Bores      int                 `json:"bores"`
	Decisions  int                 `json:"decisions"`
	Releases   int                 `json:"releases"`
	Asked      int                 `json:"asked_findings"`
	Difference map[string]diffJSON `json:"difference"` // by place, "" for a bore that names none; only where there is one
	Metal      []string            `json:"metal"`      // what metal can do at a limit that was changed
	Differs    []string            `json:"checks_judged_differently"`
	New        []string            `json:"new_checks"`
	Gone       []string            `json:"gone_checks"`
	Checks     []replayCheckJSON   `json:"checks"`
	Needs      []replayNeedJSON    `json:"would_need"`
	Refused    []replayReleaseJSON `json:"releases_refused"`
	Wanting    []replayReleaseJSON `json:"releases_wanting"`
	Passable   []replayReleaseJSON `json:"newly_passable"`

	Places map[string]int `json:"bores_by_place"` // "" for a bore that names none
}

type replayCheckJSON struct {
	Check  string              `json:"check"`
	Fails  int                 `json:"newly_fails"`
	Holds  int                 `json:"newly_holds"`
	Asks   int                 `json:"would_need"`
	Breaks int                 `json:"breaks"`
	Bores  int                 `json:"bores"`
	Worst  []replayExampleJSON `json:"examples"`
}

type replayExampleJSON struct {
	Bore    string           `json:"bore"`
	Record  int64            `json:"record"`
	At      time.Time        `json:"at"`
	Finding string           `json:"finding"`
	Was     string           `json:"was"`
	Is      string           `json:"is"`
	Missing []string         `json:"missing"`
	Sight   *replaySightJSON `json:"value_against_limit,omitempty"`
	Say     string           `json:"say"`
}

type replaySightJSON struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Limit string `json:"limit"`
	Was   string `json:"limit_was"`
	Is    string `json:"limit_is"`
	Unit  string `json:"unit"`
}

type replayNeedJSON struct {
	Ask       string `json:"ask"`
	Decisions int    `json:"decisions"`
}

type replayReleaseJSON struct {
	Bore    string    `json:"bore"`
	Record  int64     `json:"record"`
	At      time.Time `json:"at"`
	Release bool      `json:"release"`
	Stops   []string  `json:"stops"`
	Missing []string  `json:"missing"`
}

func (a *app) replayJSON(out engine.Outcome, diffs changes, cat *engine.Catalogue) replayJSON {
	j := replayJSON{
		Bores: out.Bores, Decisions: out.Decisions, Releases: out.Releases, Asked: out.Asked,
		Difference: map[string]diffJSON{}, Metal: []string{}, Differs: append([]string{}, out.Differs...),
		New: checkIDs(out.New), Gone: checkIDs(out.Gone), Checks: []replayCheckJSON{}, Needs: []replayNeedJSON{},
		Refused: releasesJSON(out.Refused), Wanting: releasesJSON(out.Wanting), Passable: releasesJSON(out.Passable),
		Places: out.Places,
	}
	for _, one := range diffs.all {
		d := a.diffJSON(one.Difference, one.cat)
		for _, place := range one.places {
			at, known := j.Difference[place]
			if !known {
				at = a.diffJSON(rules.Difference{}, nil)
			}
			at.add(d)
			j.Difference[place] = at
		}
		j.Metal = append(j.Metal, d.Metal...)
	}
	for _, c := range out.Checks {
		row := replayCheckJSON{c.Check.ID, c.Fails, c.Holds, c.Asks, c.Breaks, c.Bores, []replayExampleJSON{}}
		for _, e := range c.Worst {
			row.Worst = append(row.Worst, a.exampleJSON(e, cat))
		}
		j.Checks = append(j.Checks, row)
	}
	for _, n := range out.Needs {
		j.Needs = append(j.Needs, replayNeedJSON{n.Ask, n.Decisions})
	}
	return j
}

func (a *app) exampleJSON(e engine.Example, cat *engine.Catalogue) replayExampleJSON {
	j := replayExampleJSON{
		Bore: e.Bore, Record: e.Record, At: e.At, Finding: e.Key, Was: string(e.Was), Is: string(e.Is),
		Missing: append([]string{}, e.Missing...), Say: a.exampleWords(e, cat),
	}
	if s := e.Sight; s != nil {
		j.Sight = &replaySightJSON{s.Name, s.Value.Exact(), s.Limit, exactOf(s.Was), s.Is.Exact(), s.Is.Kind().Unit()}
	}
	return j
}

func exactOf(v quantity.Value) string {
	if !v.Valid() {
		return ""
	}
	return v.Exact()
}

func checkIDs(all []*engine.Check) []string {
	ids := []string{}
	for _, c := range all {
		ids = append(ids, c.ID)
	}
	return ids
}

func releasesJSON(all []engine.ReleaseChange) []replayReleaseJSON {
	out := []replayReleaseJSON{}
	for _, c := range all {
		out = append(out, replayReleaseJSON{c.Bore, c.Record, c.At, c.Release, append([]string{}, c.Stops...), append([]string{}, c.Missing...)})
	}
	return out
}
