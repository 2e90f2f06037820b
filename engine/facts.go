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
