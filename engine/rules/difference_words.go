package rules

import (
	"fmt"
	"math"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// compareWords compares what stands in the METADATA of a check.
func compareWords(before, after *engine.Check) []Detail {
	all := details(checkWords(before), checkWords(after))
	for i := range after.Asks {
		a := &after.Asks[i]
		old := askNamed(before, a.ID)
		if old == nil {
			all = append(all, Detail{Way: Other, Name: "question " + a.ID, After: "new"})
			continue
		}
		all = append(all, details(askWords(old), askWords(a))...)
	}
	for i := range before.Asks {
		if a := &before.Asks[i]; askNamed(after, a.ID) == nil {
			all = append(all, Detail{Way: Other, Name: "question " + a.ID, Before: "asked here", After: "not asked here any more"})
		}
	}
	return all
}

func askNamed(c *engine.Check, id string) *engine.Ask {
	for i := range c.Asks {
		if c.Asks[i].ID == id {
			return &c.Asks[i]
		}
	}
	return nil
}

func checkWords(c *engine.Check) []words {
	sources := make([]string, len(c.Sources))
	for i, s := range c.Sources {
		sources[i] = sourceWords(s)
	}
	return []words{
		{name: "gate", value: string(c.Gate), strict: rank(c.Gate == engine.GateRelease)},
		{name: "may be waived", value: yesNo(c.Waivable), strict: rank(!c.Waivable)},
		{name: "made once for each", value: each(c.Each)},
		{name: "guards against having no", value: string(c.Guards)},
		{name: "place in the order", value: fmt.Sprint(c.Order)},
		{name: "source", value: strings.Join(sources, " | ")},
		{name: "title", value: c.Title["en"]},
		{name: "title in Spanish", value: c.Title["es"]},
		{name: "words when it does not hold", value: textWords(c.Stop), long: true},
		{name: "words when it holds", value: textWords(c.Good), long: true},
		{name: "reason", value: textWords(c.Why), long: true},
		{name: "what to do next", value: textWords(c.Remedy), long: true},
	}
}

func each(s engine.Scope) string {
	if s == engine.PerBore {
		return "bore"
	}
	return string(s)
}

// askWords names everything about a question. A narrower range, an answer that
// is good for less long or must be given again after more, is stricter.
func askWords(a *engine.Ask) []words {
	options := make([]string, len(a.Options))
	labels := make([]string, len(a.Options))
	for i, o := range a.Options {
		options[i], labels[i] = o.ID, textWords(o.Label)+fmt.Sprint(o.Words)
	}
	all := []words{
		{name: "kind", value: string(a.Kind)},
		{name: "unit", value: a.Unit},
		{name: "smallest answer", value: bound(a.Min), strict: signed(a.Min, 1)},
		{name: "largest answer", value: bound(a.Max), strict: signed(a.Max, -1)},
		{name: "asks first outside that", value: yesNo(a.Soft), strict: rank(!a.Soft)},
		{name: "choices", value: strings.Join(options, ", ")},
		{name: "words of the choices", value: strings.Join(labels, " "), long: true},
		{name: "who answers", value: strings.Join(a.Who, ", ")},
		{name: "offered again from an earlier", value: a.Carry},
		{name: "asked together as", value: a.Together},
		{name: "good for", value: lasts(a), strict: shortness(a)},
		{name: "asked again after", value: strings.Join(a.RedoAfter, ", "), more: true},
		{name: "a new answer counts as", value: a.Means},
		{name: "ends the release", value: yesNo(a.Ends), strict: rank(a.Ends)},
		{name: "words", value: textWords(a.Label) + textWords(a.Prompt) + textWords(a.Lead), long: true},
	}
	for i := range all {
		all[i].name = "question " + a.ID + ": " + all[i].name
	}
	return all
}

func bound(v *quantity.Value) string {
	if v == nil {
		return ""
	}
	return quantity.Print(*v)
}

// signed is how strict a bound is; none is the least strict.
func signed(v *quantity.Value, sign int64) *int64 {
	if v == nil {
		return new(int64(math.MinInt64))
	}
	return new(sign * v.Base())
}

// shortness is how strict it is that an answer is good for a time only.
func shortness(a *engine.Ask) *int64 {
	if a.GoodFor == 0 {
		return new(int64(math.MinInt64))
	}
	return new(-int64(a.GoodFor))
}

func lasts(a *engine.Ask) string {
	if a.GoodFor == 0 {
		return ""
	}
	return quantity.Print(quantity.Of(quantity.Duration, int64(a.GoodFor.Seconds())))
}
