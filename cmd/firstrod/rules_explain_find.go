package main

import (
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// dottedID is an id however it is typed: with a slash, or as the name of a file.
func dottedID(typed string) string {
	return strings.ReplaceAll(strings.TrimSuffix(typed, ".rego"), "/", ".")
}

// findCheck finds a check by its id. Where there is none it says where else there is
// one, or names the nearest: by the whole id, or by its last part alone.
func findCheck(cat *engine.Catalogue, book *rules.Book, typed string) (*engine.Check, error) {
	id := dottedID(typed)
	if c, ok := cat.Check(id); ok {
		return c, nil
	}
	e := &engine.Error{Kind: engine.NotFound, Say: "there is no check and no limit " + typed, Hint: "firstrod rules list shows them all"}
	if cat.Place == "" {
		e.Say += " in the base"
	} else {
		e.Say += " in " + cat.Place
	}
	if at := elsewhere(book, id); at != "" {
		e.Hint = at
		return nil, e
	}
	if best := nearestID(book, id); best != "" {
		e.Hint = "did you mean " + best + "? " + e.Hint
		if _, here := cat.Check(best); !here && !holdsLimit(cat, best) {
			e.Hint = "did you mean " + best + "? " + elsewhere(book, best)
		}
	}
	return nil, e
}

// elsewhere says where a check or limit holds; "" where it is nowhere.
func elsewhere(book *rules.Book, id string) string {
	var places []string
	for _, e := range book.Editions() {
		cat := e.Set.Catalogue()
		if _, ok := cat.Check(id); ok || holdsLimit(cat, id) {
			places = append(places, e.Place)
		}
	}
	places = slices.Compact(places)
	if len(places) == 0 || places[0] == "" {
		return ""
	}
	return "it holds in " + strings.Join(places, ", ") + ": --place " + places[0]
}

func holdsLimit(cat *engine.Catalogue, id string) bool {
	_, ok := limitNamed(cat, id)
	return ok
}

// nearestID is the check or limit of any place that was probably meant.
func nearestID(book *rules.Book, id string) string {
	var ids, parts []string
	whole := map[string]string{}
	for _, e := range book.Editions() {
		for _, c := range e.Set.Catalogue().Checks {
			_, part, _ := strings.Cut(c.ID, ".")
			ids, parts, whole[part] = append(ids, c.ID), append(parts, part), c.ID
		}
		for _, p := range e.Set.Catalogue().Params {
			ids = append(ids, p.Name)
		}
	}
	if best := rules.Nearest(id, ids); best != "" {
		return best
	}
	return whole[rules.Nearest(id, parts)]
}
