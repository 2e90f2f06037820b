package rules

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"firstrod/engine"
)

// Way says what a change means for a crew.
type Way string

// The ways of a change.
const (
	Stricter Way = "stricter"
	Looser   Way = "looser"
	Other    Way = "changed" // neither can be said
)

// Difference is what one pack changes about another.
type Difference struct {
	Added   []*engine.Check // each makes the rules stricter
	Removed []*engine.Check // each makes them looser
	Changed []CheckChange
	Limits  []LimitChange
	Eased   []EaseChange
	Packs   []PackChange

	Releases *ReleaseChange // nil where both mean the same for releases
}

// None reports whether nothing differs.
func (d Difference) None() bool { return len(d.Each()) == 0 }

// CheckChange is a check that is in both packs and not the same in them.
type CheckChange struct {
	Before, After *engine.Check
	Gone, New     []string // rules as they are written, where the rules themselves differ
	What          []Detail // all else that differs
}

// Detail is one thing that differs. Texts for crews are named and not repeated:
// Before and After are empty then.
type Detail struct {
	Way           Way
	Name          string // "gate", "question metal_distance: largest answer"
	Before, After string
}

// LimitChange is a limit that is not the same in both packs. Before is nil for
// one that is new, After for one that is gone.
type LimitChange struct {
	Before, After *engine.Param
	Way           Way
	What          []Detail // what differs besides the value
	Readers       []*engine.Check
}

// Compare says what b changes about a.
func Compare(a, b *Set) (Difference, error) {
	var d Difference
	for _, after := range b.catalogue.Checks {
		before, both := a.catalogue.Check(after.ID)
		switch {
		case !both && switchedOff(a.catalogue, after):
			continue // what was eased has it
		case !both:
			d.Added = append(d.Added, after)
			continue
		}
		c, err := compareChecks(a, b, before, after)
		if err != nil {
			return Difference{}, err
		}
		if len(c.Gone)+len(c.New)+len(c.What) > 0 {
			d.Changed = append(d.Changed, c)
		}
	}
	for _, c := range a.catalogue.Checks {
		if _, both := b.catalogue.Check(c.ID); !both && !switchedOff(b.catalogue, c) {
			d.Removed = append(d.Removed, c)
		}
	}
	d.Limits, d.Eased = compareLimits(a.catalogue, b.catalogue), compareEased(a.catalogue, b.catalogue)
	d.Packs, d.Releases = comparePacks(a.catalogue, b.catalogue), compareReleases(a.catalogue, b.catalogue)
	return d, nil
}

func compareLimits(a, b *engine.Catalogue) []LimitChange {
	var all []LimitChange
	for _, after := range b.Params {
		before, both := a.Param(after.Path)
		if !both {
			all = append(all, LimitChange{After: after, Way: Other, Readers: ReadersOf(b, after.Path)})
			continue
		}
		c := LimitChange{Before: before, After: after, Way: wayOf(before, after), Readers: ReadersOf(b, after.Path)}
		c.What = details(limitWords(before), limitWords(after))
		if len(c.What) > 0 || !before.Value.Equal(after.Value) {
			all = append(all, c)
		}
	}
	for _, before := range a.Params {
		if _, both := b.Param(before.Path); !both {
			all = append(all, LimitChange{Before: before, Way: Other, Readers: ReadersOf(a, before.Path)})
		}
	}
	return all
}

// wayOf says what a new value means. Where the packs do not agree on which way
// is stricter, nothing can be said.
func wayOf(before, after *engine.Param) Way {
	same := before.Value.Kind() == after.Value.Kind() && before.Stricter == after.Stricter
	switch {
	case before.Value.Equal(after.Value) || !same || before.Stricter == "":
		return Other
	case !isLooser(before, after.Value):
		return Stricter
	case before.Stricter == Superset && !holdsAll(before.Value, after.Value):
		return Other // some came, some went
	}
	return Looser
}

func compareChecks(a, b *Set, before, after *engine.Check) (CheckChange, error) {
	c := CheckChange{Before: before, After: after, What: compareWords(before, after)}
	was, err := writtenRules(a, before)
	if err != nil {
		return c, err
	}
	is, err := writtenRules(b, after)
	if err != nil {
		return c, err
	}
	for _, r := range was {
		if !slices.ContainsFunc(is, r.same) {
			c.Gone = append(c.Gone, r.written)
		}
	}
	for _, r := range is {
		if !slices.ContainsFunc(was, r.same) {
			c.New = append(c.New, r.written)
		}
	}
	return c, nil
}

// written is one rule: what it says to the engine, and how it stands in the file.
type written struct{ meaning, written string }

func (w written) same(o written) bool { return w.meaning == o.meaning }

// writtenRules reads the rules of a check from the files that a set was made of.
func writtenRules(s *Set, c *engine.Check) ([]written, error) {
	pack, err := Open(s.catalogue.Packs)
	if err != nil {
		return nil, err
	}
	text, err := fs.ReadFile(pack, c.File)
	if err != nil {
		return nil, unreadable(c.File, err)
	}
	m, err := parsePlain(c.File, text)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Rules, Say: c.File + ": this cannot be read", Err: err}
	}
	all := make([]written, len(m.Rules))
	for i, r := range m.Rules {
		all[i] = written{r.String(), string(r.Location.Text)}
	}
	return all, nil
}

// words is one thing that can differ, by name.
type words struct {
	name, value string
	long        bool   // a text for crews: that it differs is enough
	strict      *int64 // where a larger number is stricter
	more        bool   // where the value is a list, and one more entry is stricter
}

// details compares two lists of the same things by name.
func details(before, after []words) []Detail {
	was := map[string]words{}
	for _, w := range before {
		was[w.name] = w
	}
	var all []Detail
	for _, w := range after {
		old := was[w.name]
		if old.value == w.value {
			continue
		}
		d := Detail{Way: w.since(old), Name: w.name, Before: old.value, After: w.value}
		if w.long {
			d.Before, d.After = "", ""
		}
		all = append(all, d)
	}
	return all
}

// since says what the change from old means.
func (w words) since(old words) Way {
	switch {
	case w.strict != nil && old.strict != nil && *w.strict != *old.strict:
		if *w.strict > *old.strict {
			return Stricter
		}
		return Looser
	case w.more && subset(old.value, w.value):
		return Stricter
	case w.more && subset(w.value, old.value):
		return Looser
	}
	return Other
}

// subset reports whether every entry of one list is in the other.
func subset(list, in string) bool {
	all := strings.Split(in, ", ")
	return list == "" || !slices.ContainsFunc(strings.Split(list, ", "), func(s string) bool { return !slices.Contains(all, s) })
}

func limitWords(p *engine.Param) []words {
	return []words{
		{name: "stricter direction", value: p.Stricter},
		{name: "fixed", value: yesNo(p.Fixed), strict: rank(p.Fixed)},
		{name: "source", value: sourceWords(p.Source)},
		{name: "reason", value: textWords(p.Reason), long: true},
	}
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func rank(yes bool) *int64 {
	if yes {
		return new(int64(1))
	}
	return new(int64(0))
}

func sourceWords(s engine.Source) string {
	return strings.Trim(strings.Join([]string{s.Ref, s.Name, s.Status}, "; "), "; ")
}

func textWords(t engine.Text) string { return fmt.Sprint(map[string]string(t)) }
