package rules

import (
	"regexp"
	"slices"
	"strings"

	"firstrod/engine"
)

var hole = regexp.MustCompile(`\{[^{}]*\}`)

// places checks that every place to fill in a text can be filled.
func (t *table) places(checks []*engine.Check, at place, out *faults) {
	fillable := map[engine.Scope][]string{}
	for s := range t.scopes {
		fillable[s] = t.fillable(s)
	}
	for _, c := range checks {
		allowed := fillable[c.Each]
		all := []engine.Text{c.Stop, c.Good, c.Why, c.Remedy}
		for _, a := range c.Asks {
			all = append(all, a.Label, a.Prompt, a.Lead)
			for _, o := range a.Options {
				all = append(all, o.Label)
			}
		}
		for _, text := range all {
			for _, lang := range sortedKeys(text) {
				fill(c, text[lang], allowed, at, out)
			}
		}
	}
}

func fill(c *engine.Check, sentence string, allowed []string, at place, out *faults) {
	for _, h := range hole.FindAllString(sentence, -1) {
		word := strings.Trim(h, "{}")
		if !slices.Contains(allowed, word) {
			out.add(c.File, at(c, h), "nothing is known that could fill %s in %q%s", h, sentence, near(word, allowed))
		}
	}
	if strings.ContainsAny(hole.ReplaceAllString(sentence, ""), "{}") {
		out.add(c.File, at(c, sentence), "a curly bracket has no partner in %q", sentence)
	}
}

// fillable lists the places of a check of a scope: limits by their name in
// people's terms, computed values without the suffix of their unit, answers as
// they are called, and the item itself.
func (t *table) fillable(by engine.Scope) []string {
	var all []string
	for _, p := range sortedKeys(t.names) {
		all = append(all, "params."+p)
	}
	for _, l := range t.scopes[by] {
		word := l
		if unit := t.leaves[l].kind.Unit(); unit != "" && !t.leaves[l].asked {
			word = strings.TrimSuffix(l, "_"+unit)
		}
		all = append(all, word)
	}
	if by != engine.PerBore {
		all = append(all, string(by))
	}
	return all
}
