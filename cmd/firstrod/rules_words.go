package main

import (
	"regexp"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// inWords is the value of a limit in people's units, rounded nowhere.
func inWords(p *engine.Param, lang string) string {
	return quantity.PrintIn(p.Value, lang, nil, p.Value)
}

// direction says which way a limit becomes stricter.
func direction(p *engine.Param) string {
	if p.Stricter == "" {
		return "no direction is stricter"
	}
	return p.Stricter + " is stricter"
}

// perWhat says how often a check is made.
func perWhat(s engine.Scope) string {
	if s == engine.PerBore {
		return "bore"
	}
	return string(s)
}

// mayWaive says who can let a check that does not hold through.
func mayWaive(c *engine.Check) string {
	if c.Waivable {
		return "the safety manager, with a reason that is recorded"
	}
	return "nobody"
}

// standsBefore says what a check stands in front of.
func standsBefore(g engine.Gate) string {
	switch g {
	case engine.GateClose:
		return "before the bore is finished"
	case engine.GateDrilling:
		return "while drilling; a release ends when it fails"
	}
	return "before the first rod goes in"
}

// sourceLine is a source with how well it is known.
func sourceLine(s engine.Source) string {
	parts := []string{s.Ref}
	if s.Name != "" && s.Name != s.Ref {
		parts = append(parts, s.Name)
	}
	line := strings.TrimPrefix(strings.Join(parts, ": "), ": ")
	if s.Status == "" {
		return line + " (published)"
	}
	if strings.Contains(line, s.Status) {
		return line
	}
	return line + " (" + s.Status + ")"
}

var placeInText = regexp.MustCompile(`\{[^{}]*\}`)

// filled is a text for crews without a crew: limits have their values, and what
// a bore would fill in stands in brackets.
func filled(cat *engine.Catalogue, t engine.Text, lang string) string {
	limits := map[string]string{}
	for _, p := range cat.Params {
		limits["params."+p.Name] = inWords(p, lang)
	}
	return placeInText.ReplaceAllStringFunc(t.In(lang), func(hole string) string {
		word := strings.Trim(hole, "{}")
		if value, ok := limits[word]; ok {
			return value
		}
		_, last := engine.ScopeOf(word)
		if ask, ok := cat.Ask(last); ok {
			return "[" + ask.Name(lang) + "]"
		}
		return "[" + leafWords(word) + "]"
	})
}

// leafWords is the name of a value in words: "frequency.derived.near_error_um"
// is "near error".
func leafWords(leaf string) string {
	if l, ok := engine.LeafNamed(leaf); ok {
		leaf = strings.TrimSuffix(leaf, "_"+l.Kind.Unit())
	}
	group, rest, deeper := strings.Cut(leaf, ".")
	if deeper && group == "drilling" {
		return leafWords(rest) + " while drilling"
	}
	if deeper && (group == "derived" || group == "frequency" || group == "crossing") {
		return leafWords(rest)
	}
	return strings.NewReplacer("_", " ", ".", " ").Replace(leaf)
}

// kindWords says to people what a question wants to hear.
func kindWords(k quantity.Kind) string {
	switch k {
	case quantity.YesNo:
		return "yes or no"
	case quantity.Choice:
		return "one of a few words"
	case quantity.Serial:
		return "serial number"
	case quantity.Frequencies:
		return "list of frequencies"
	case quantity.Names:
		return "list of names"
	case quantity.Lengths:
		return "readings, one or more"
	case quantity.Pitches:
		return "pitches rod by rod"
	case quantity.Count:
		return "whole number"
	}
	return string(k)
}
