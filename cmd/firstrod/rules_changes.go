package main

import (
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
)

// change is one thing that other rules say otherwise, with the places where they do.
type change struct {
	places []string // sorted; "" for a bore that names none
	text   string
	rules.Difference
	cat *engine.Catalogue // of the first of the places, afterwards
}

// changes is what one book changes about another.
type changes struct {
	all    []change
	places []string // those that were compared, sorted
}

// changesOf compares two books thing by thing, as of today. What is the same at many
// places is there once.
func (a *app) changesOf(old, now *rules.Book) (changes, error) {
	places := append(old.Places(), now.Places()...)
	slices.Sort(places)
	c := changes{places: slices.Compact(places)}
	at := map[string]int{} // by text
	for _, place := range c.places {
		after := now.Set(place, today())
		d, err := rules.Compare(old.Set(place, today()), after)
		if err != nil {
			return changes{}, err
		}
		for _, one := range d.Each() {
			text := a.diffText(one, after.Catalogue())
			i, known := at[text]
			if !known {
				i = len(c.all)
				at[text] = i
				c.all = append(c.all, change{text: text, Difference: one, cat: after.Catalogue()})
			}
			c.all[i].places = append(c.all[i].places, place)
		}
	}
	return c, nil
}

// diffText is a difference in words.
func (a *app) diffText(d rules.Difference, cat *engine.Catalogue) string {
	var text strings.Builder
	on := *a
	on.out = &text
	on.printDiff(d, cat)
	return text.String()
}

// print says what changes, under the places where it does: first what does so
// everywhere.
func (c changes) print(a *app) {
	if len(c.all) == 0 {
		a.printf("Both say the same.\n")
		return
	}
	var order [][]string
	for _, one := range c.all {
		if !slices.ContainsFunc(order, func(o []string) bool { return slices.Equal(o, one.places) }) {
			order = append(order, one.places)
		}
	}
	slices.SortStableFunc(order, func(p, q []string) int { return len(q) - len(p) })
	for _, places := range order {
		if len(c.places) > 1 {
			a.printf("%s:\n", c.where(places))
		}
		for _, one := range c.all {
			if slices.Equal(one.places, places) {
				a.printf("%s", one.text)
			}
		}
	}
}

// met says whether a bore on record lay where something changes.
func (c changes) met(bores map[string]int) bool {
	for jurisdiction := range bores {
		place := jurisdiction
		for place != "" && !slices.Contains(c.places, place) {
			place = ledger.Wider(place)
		}
		if slices.ContainsFunc(c.all, func(one change) bool { return slices.Contains(one.places, place) }) {
			return true
		}
	}
	return false
}

// shownPlaces is how many places are named one by one.
const shownPlaces = 6

// where names places, or all but a few.
func (c changes) where(places []string) string {
	others := slices.DeleteFunc(slices.Clone(c.places), func(p string) bool { return slices.Contains(places, p) })
	switch {
	case len(others) == 0:
		return "Everywhere"
	case len(others) <= shownPlaces && len(others) < len(places):
		return "Everywhere but " + placeWords(others)
	}
	words := placeWords(places)
	return strings.ToUpper(words[:1]) + words[1:]
}

// placeWords is a list of places in words.
func placeWords(places []string) string {
	if places[0] != "" {
		return "in " + strings.Join(places, ", ")
	}
	const none = "where a bore names no place"
	if len(places) == 1 {
		return none
	}
	return none + ", and " + placeWords(places[1:])
}
