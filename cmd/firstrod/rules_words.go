package main

import (
	"regexp"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// inWords is the value of a limit in people's units, rounded nowhere.
func inWords(p *engine.Param, lang string) string {
	return quantity.PrintIn(p.Value, lang, nil, p.Value)
}

// exactly is a value in base units; a list has its entries with commas between.
func exactly(v quantity.Value) string {
	if items := v.Items(); items != nil {
		return strings.Join(items, ", ")
	}
	return v.Exact()
}

// packName is the layer that gave a limit its value.
func packName(p *engine.Param) string {
	if p.Pack == "" {
		return basePack
	}
	return p.Pack
}

// direction says which way a limit becomes stricter.
func direction(p *engine.Param) string {
	if p.Stricter == "" {
		return "no direction is stricter"
	}
	if p.Stricter == rules.Superset {
		return "more entries are stricter"
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

// printLayers says which packs make up the rules of a place, what they loosen and
// until when, and what a crew must be told of them.
func (a *app) printLayers(cat *engine.Catalogue) {
	lang := a.config.Lang
	if cat.Place != "" {
		var codes []string
		for _, l := range cat.Layers {
			codes = append(codes, l.Code)
		}
		a.printf("\nIn %s these are the rules of: %s.\n", cat.Place, strings.Join(codes, ", "))
	}
	for _, l := range cat.Loose {
		until := quantity.PrintIn(quantity.Of(quantity.Date, l.Until), lang, nil)
		what := "is " + l.How
		if l.How == "" {
			what = "is " + quantity.PrintIn(l.Is, lang, nil, l.Was, l.Is) + " in place of " + quantity.PrintIn(l.Was, lang, nil, l.Was, l.Is)
		}
		a.printf("Loosened by %s until %s: %s %s; approved by %s: %s\n", l.Pack, until, l.Name, what, l.By, l.Why.In(lang))
	}
	for _, n := range cat.Notices {
		a.printf("Note: %s\n", n.In(lang))
	}
}
