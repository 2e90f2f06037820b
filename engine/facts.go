package engine

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"firstrod/engine/quantity"
)

// view is what checks may see of a bore at one moment: it turns leaves into
// values, and says which facts are still to be given where it cannot.
type view struct {
	bore *Bore
	cat  *Catalogue
	now  time.Time
}

// of is the view of one check on one subject.
func (v *view) of(t Target) Facts { return subjectView{v, t.Check.Each, t.Subject} }

type subjectView struct {
	*view
	scope   Scope
	subject string
}

// Value implements Facts.
func (s subjectView) Value(leaf string) (any, []string, error) {
	scope, rest := scopeOfLeaf(leaf)
	if scope != PerBore && scope != s.scope {
		return nil, nil, fmt.Errorf("%s is read by a check that is not asked for each %s", leaf, scope)
	}
	if d, ok := derived(leaf); ok {
		return s.derive(d)
	}
	switch {
	case leaf == "frequency.hz", leaf == "crossing.name":
		return s.item()
	case scope == PerBore && strings.Contains(rest, "."):
		return s.provided(rest)
	case scope == PerBore:
		return s.fact(rest, "")
	}
	return s.fact(rest, s.subject)
}

func (s subjectView) item() (any, []string, error) {
	if s.scope == PerCrossing {
		return s.subject, nil, nil
	}
	v, err := quantity.Parse(quantity.Frequency, s.subject, nil)
	if err != nil {
		return nil, nil, err
	}
	return v.Base(), nil, nil
}

func (v *view) fact(ask, subject string) (any, []string, error) {
	key := Key(ask, subject)
	g, ok := v.bore.facts[key]
	if !ok || v.stale(ask, g) {
		return nil, []string{key}, nil
	}
	a, ok := v.cat.Ask(ask)
	if !ok {
		return nil, nil, fmt.Errorf("no rule asks for %s", ask)
	}
	value := g.Value
	if item, ok := a.Kind.Item(); ok && item == value.Kind() {
		// One reading, given when the rules asked for one only.
		value = quantity.OfList(a.Kind, value)
	}
	if a.Kind != value.Kind() {
		// The rules changed what they ask for under this name.
		return nil, []string{key}, nil
	}
	return plain(value), nil, nil
}

// stale says whether an answer is one no more: its time is over, or it was read in
// a check while drilling before the bore was released anew. Such a check is about the
// depth shown on that release; what was verified since is judged by itself.
func (v *view) stale(ask string, g *Given) bool {
	a, ok := v.cat.Ask(ask)
	if !ok {
		return false
	}
	if ch, ok := v.cat.Check(a.Check); ok && ch.Gate == GateDrilling && g.Seq < v.bore.since {
		return true
	}
	return a.GoodFor > 0 && v.now.After(g.At.Add(a.GoodFor))
}

// plain is a value in the form that rules read.
func plain(v quantity.Value) any {
	switch v.Kind() {
	case quantity.YesNo:
		return v.Yes()
	case quantity.Frequencies, quantity.Lengths, quantity.Pitches:
		list := []int64{}
		for _, item := range v.List() {
			list = append(list, item.Base())
		}
		return list
	case quantity.Names:
		return append([]string{}, v.Items()...)
	}
	if v.Kind().Numeric() {
		return v.Base()
	}
	return v.Str()
}

// provided gives what the engine itself knows.
func (v *view) provided(leaf string) (any, []string, error) {
	group, name, _ := strings.Cut(leaf, ".")
	switch group {
	case "clock":
		return v.clock(name)
	case "signing":
		return v.signing(name)
	case "drilling":
		return v.drilling(name)
	}
	return nil, nil, fmt.Errorf("the engine does not provide %s", leaf)
}

// drilling counts what happened: all holds, one kind of event, or the events
// that cast doubt on readings since these were taken.
func (v *view) drilling(name string) (any, []string, error) {
	if name == "holds" {
		return int64(v.bore.holds), nil, nil
	}
	since, missing := int64(-1), []string(nil)
	match := func(e string) bool { return e == name }
	if name == "since_verified" {
		_, since, missing = v.verified()
		match = func(e string) bool { return e == "interference" || e == "new_shift" }
	}
	n := int64(0)
	for _, e := range v.bore.events {
		if match(e.name) && e.seq > since {
			n++
		}
	}
	return n, missing, nil
}

// verified is when the oldest of the readings at the marks was given, and by
// which record.
func (v *view) verified() (oldest time.Time, seq int64, missing []string) {
	if _, ok := v.bore.facts[listOf(PerFrequency)]; !ok {
		return oldest, 0, []string{listOf(PerFrequency)}
	}
	for _, hz := range v.bore.subjects(PerFrequency) {
		for _, ask := range []string{"near_reading", "far_reading"} {
			key := Key(ask, hz)
			g, ok := v.bore.facts[key]
			switch {
			case !ok || v.stale(ask, g):
				missing = append(missing, key)
			case oldest.IsZero() || g.At.Before(oldest):
				oldest, seq = g.At, g.Seq
			}
		}
	}
	return oldest, seq, missing
}

func (v *view) clock(name string) (any, []string, error) {
	switch name {
	case "now":
		return v.now.Unix(), nil, nil
	case "verified":
		at, _, missing := v.verified()
		return at.Unix(), missing, nil
	}
	return Day(v.now, v.bore.Zone), nil, nil
}

// Day is the civil date of a moment in a zone, as days since 1970-01-01.
func Day(t time.Time, zone *time.Location) int64 {
	y, m, d := t.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400
}

// signing is known only once as many people have signed as the rules want, so
// that a board without signatures needs them and does not fail for them.
func (v *view) signing(name string) (any, []string, error) {
	want, ok := v.cat.Param("signoff.people")
	if !ok {
		return nil, nil, fmt.Errorf("the rules do not say how many people sign")
	}
	people, roles := map[string]bool{}, map[string]bool{}
	for _, s := range v.bore.signs {
		people[s.By.ID], roles[s.By.Role] = true, true
	}
	if int64(len(people)) < want.Value.Base() {
		return nil, []string{SignatureKey}, nil
	}
	switch name {
	case "people":
		return int64(len(people)), nil, nil
	case "roles":
		return int64(len(roles)), nil, nil
	case "signed_as":
		return slices.Sorted(maps.Keys(roles)), nil, nil
	}
	return roles[name], nil, nil
}

func (s subjectView) derive(d derivation) (any, []string, error) {
	lists, every := map[string][]float64{}, map[string][][]float64{}
	var missing []string
	for _, read := range d.reads {
		var gap []string
		var err error
		if bare := bareLeaf(read); bare != read {
			every[read], gap, err = s.everyValue(bare)
		} else {
			lists[read], gap, err = s.numbers(read)
		}
		if err != nil {
			return nil, nil, err
		}
		missing = append(missing, gap...)
	}
	if len(missing) > 0 {
		return nil, missing, nil
	}
	limits, err := s.limits(d.params)
	if err != nil {
		return nil, nil, err
	}
	n, err := d.of(known{
		num:   func(leaf string) float64 { return lists[leaf][0] },
		list:  func(leaf string) []float64 { return lists[leaf] },
		every: func(leaf string) [][]float64 { return every[leaf] },
		param: func(path string) float64 { return limits[path] },
	})
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", d.leaf, err)
	}
	return n, nil, nil
}

// numbers is the number or the numbers of a leaf, at least one.
func (s subjectView) numbers(leaf string) ([]float64, []string, error) {
	v, missing, err := s.Value(leaf)
	if err != nil || len(missing) > 0 {
		return nil, missing, err
	}
	switch v := v.(type) {
	case int64:
		return []float64{float64(v)}, nil, nil
	case []int64:
		all := make([]float64, len(v))
		for i, n := range v {
			all[i] = float64(n)
		}
		if len(all) > 0 {
			return all, nil, nil
		}
	}
	return nil, nil, fmt.Errorf("%s is not a number", leaf)
}

// everyValue is a leaf of every item of its scope.
func (s subjectView) everyValue(leaf string) ([][]float64, []string, error) {
	scope, _ := scopeOfLeaf(leaf)
	list := listOf(scope)
	if _, ok := s.bore.facts[list]; !ok {
		return nil, []string{list}, nil
	}
	var all [][]float64
	var missing []string
	for _, item := range s.bore.subjects(scope) {
		n, gap, err := subjectView{s.view, scope, item}.numbers(leaf)
		if err != nil {
			return nil, nil, err
		}
		all, missing = append(all, n), append(missing, gap...)
	}
	return all, missing, nil
}

func (v *view) limits(paths []string) (map[string]float64, error) {
	limits := make(map[string]float64, len(paths))
	for _, path := range paths {
		p, ok := v.cat.Param(path)
		if !ok {
			return nil, fmt.Errorf("the rules do not set %s", path)
		}
		limits[path] = float64(p.Value.Base())
	}
	return limits, nil
}
