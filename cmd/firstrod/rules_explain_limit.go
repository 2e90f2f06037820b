package main

import (
	"slices"
	"strings"

	"firstrod/engine"
)

// explainLimitJSON is all that stands behind a limit.
type explainLimitJSON struct {
	limitJSON
	Kind   string     `json:"kind"`
	Rego   string     `json:"rego"` // as rules read it
	Title  string     `json:"title"`
	Source sourceJSON `json:"source"`
	ReadBy []string   `json:"read_by"`
}

// limitNamed finds a limit by its name, or by the path that rules read.
func limitNamed(cat *engine.Catalogue, typed string) (*engine.Param, bool) {
	id := strings.TrimPrefix(strings.TrimPrefix(dottedID(typed), "data."), "params.")
	for _, p := range cat.Params {
		if p.Name == id || p.Path == id {
			if _, check := cat.Check(id); !check {
				return p, true
			}
		}
	}
	return nil, false
}

// readers lists the checks that read a limit, also by way of a computed value.
func readers(cat *engine.Catalogue, p *engine.Param) []string {
	all := []string{}
	for _, c := range cat.Checks {
		if slices.Contains(cat.ParamsOf(c), p) {
			all = append(all, c.ID)
		}
	}
	return all
}

func (a *app) explainLimit(cat *engine.Catalogue, p *engine.Param) error {
	lang := a.config.Lang
	if a.json {
		return a.printJSON(explainLimitJSON{
			limitJSON: reasoned(cat, []*engine.Param{p}, lang)[0], Kind: string(p.Value.Kind()), Rego: "data.params." + p.Path, Title: p.Title.In(lang),
			Source: sourceJSON{p.Source.Ref, p.Source.Name, p.Source.Status}, ReadBy: readers(cat, p),
		})
	}
	a.printf("%s  %s\n\n", p.Name, p.Title.In(lang))
	fixed := ""
	if p.Fixed {
		fixed = ", fixed"
	}
	a.printf("limit        %s%s; %s%s\n", inWords(p, lang), setBy(cat, p, lang), direction(p), fixed)
	a.printf("in rules     data.params.%s, %s\n", p.Path, exactly(p.Value))
	a.printf("set by       %s\n", packName(p))
	a.printf("source       %s\n", sourceLine(p.Source))
	a.printf("why          %s\n", filled(cat, p.Reason, lang))
	if words := metalWords(cat, p, lang); words != "" {
		a.printf("%-12s %s\n", "", words)
	}
	for i, id := range readers(cat, p) {
		a.printf("%-12s %s\n", first(i, "read by"), id)
	}
	return nil
}
