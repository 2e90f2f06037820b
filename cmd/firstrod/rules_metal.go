package main

import (
	"fmt"

	"firstrod/engine"
	"firstrod/engine/depth"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// metalWords says what metal at a limit of distance can do at worst, for the limits
// that keep metal away; "" for any other. Whoever changes such a limit must see it.
func metalWords(cat *engine.Catalogue, p *engine.Param, lang string) string {
	if p == nil || p.Name != "ground.standoff" && p.Name != "ground.standoff_far" || p.Value.Kind() != quantity.Length {
		return ""
	}
	baseline, ok1 := cat.Param("calibration.baseline_um")
	far, ok2 := cat.Param("verification.far_mark_um")
	if !ok1 || !ok2 {
		return ""
	}
	e, err := depth.WorstAt(metresOf(p.Value), metresOf(baseline.Value), metresOf(far.Value), false)
	if err != nil {
		e = depth.StandoffEffect{Far: 1, Later: 1} // so near that there is no bound below the whole
	}
	words, err := depth.StandoffWords(lang, inWords(p, lang), e)
	if err != nil {
		return ""
	}
	return words
}

// metalLines are the words before and after a change of such a limit.
func metalLines(cat *engine.Catalogue, l rules.LimitChange, lang string) []string {
	var lines []string
	for _, side := range []struct {
		when  string
		param *engine.Param
	}{{"before", l.Before}, {"now", l.After}} {
		if words := metalWords(cat, side.param, lang); words != "" {
			lines = append(lines, fmt.Sprintf("%-7s %s", side.when+":", words))
		}
	}
	return lines
}
