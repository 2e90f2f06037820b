package rules

import (
	"bytes"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
)

// statuses says how well a source is known, see engine.Source.
func statuses() []string {
	return []string{"", "from memory", "common practice, no source", "chosen"}
}

var (
	likeMark  = regexp.MustCompile(`(?i)^#\s*metadata\s*:?$`)
	likeBlock = regexp.MustCompile(`(?i)^\s*#\s*(metadata|custom\s*:|title\s*:)`)
)

// block finds the METADATA comment that a check file begins with and gives its
// YAML. It must be the first thing in the file and end right above the package
// line: the rule engine would silently drop what comes after a blank line, or
// all of it when the word is written in other letters.
func block(f file, out *faults) ([]byte, bool) {
	lines := strings.Split(string(f.data), "\n")
	if first := strings.TrimSpace(lines[0]); first != "# METADATA" {
		say := "a rule file begins with the line # METADATA, and that line is not here"
		if likeMark.MatchString(first) {
			say = "write # METADATA in capitals, with one space and nothing else on the line"
		}
		out.add(f.path, 1, "%s", say)
		return nil, false
	}
	n := 1
	for n < len(lines) && strings.HasPrefix(lines[n], "#") {
		n++
	}
	if n == len(lines) || !strings.HasPrefix(lines[n], "package ") {
		out.add(f.path, n+1, "the METADATA block is cut off here; no blank or other line may stand between it and the package line")
		return nil, false
	}
	for i, line := range lines[n:] {
		if likeBlock.MatchString(line) {
			out.add(f.path, n+i+1, "this looks like METADATA, but only the block on top of the file counts")
			return nil, false
		}
	}
	var yaml bytes.Buffer
	for _, line := range lines[1:n] {
		yaml.WriteString(strings.TrimPrefix(line, "#"))
		yaml.WriteByte('\n')
	}
	return yaml.Bytes(), true
}

// readCheck reads the METADATA of a check file.
func readCheck(f file, layer string, out *faults) (*engine.Check, bool) {
	text, ok := block(f, out)
	if !ok {
		return nil, false
	}
	r := &reader{file: f.path, before: 1, out: out}
	top, ok := r.parse(text)
	if !ok {
		return nil, false
	}
	before := len(out.list)
	area, _, _ := strings.Cut(idOf(f.path), ".")
	c := &engine.Check{ID: idOf(f.path), Area: area, Layer: layer, File: f.path, Title: engine.Text{}}
	got := r.fields(top, "*title", "*description", "*related_resources", "*custom")
	c.Title["en"] = r.sentence(got["title"])
	r.sentence(got["description"])
	c.Sources = r.sources(got["related_resources"])
	if got["custom"] != nil {
		r.custom(got["custom"], c)
	}
	if len(out.list) == before {
		r.plainTitle(top, c)
	}
	return c, len(out.list) == before
}

func (r *reader) sources(n *yaml.Node) []engine.Source {
	var all []engine.Source
	for _, item := range r.items(n) {
		got := r.fields(item, "*ref", "*description")
		// The stock rule engine reads it as an address and refuses the file where
		// it is none.
		if ref := r.sentence(got["ref"]); ref != "" {
			if _, err := url.Parse(ref); err != nil {
				r.fault(got["ref"], "%q cannot stand here, for it is read like a web address; leave colons and %% signs to the description", ref)
			}
		}
		all = append(all, engine.Source{Name: r.sentence(got["description"]), Ref: r.phrase(got["ref"])})
	}
	return all
}

func (r *reader) custom(n *yaml.Node, c *engine.Check) {
	got := r.fields(n, "*id", "*order", "*severity", "*gate", "*waivable", "each", "guards", "*status",
		"*title", "*stop", "good", "*why", "*remedy", "asks")
	if id := r.phrase(got["id"]); got["id"] != nil && id != c.ID {
		r.fault(got["id"], "the id is %q, but the file is %s; the id must be %s", id, c.File, c.ID)
	}
	c.Order = r.whole(got["order"])
	r.word(got["severity"], "stop")
	c.Gate = engine.Gate(r.word(got["gate"], string(engine.GateRelease), string(engine.GateClose), string(engine.GateDrilling)))
	c.Waivable = r.flag(got["waivable"])
	c.Each = engine.Scope(r.word(got["each"], scopes()...))
	c.Guards = engine.Scope(r.word(got["guards"], scopes()...))
	if c.Guards != engine.PerBore && c.Each != engine.PerBore {
		r.fault(got["guards"], "a check that guards against having no %s is asked once per bore; take \"each\" away", c.Guards)
	}
	status := r.word(got["status"], statuses()...)
	for i := range c.Sources {
		c.Sources[i].Status = status
	}
	if got["title"] != nil {
		c.Title["es"] = r.sentence(r.fields(got["title"], "*es")["es"])
	}
	c.Good = r.text(got["good"])
	c.Stop, c.Why, c.Remedy = r.text(got["stop"]), r.text(got["why"]), r.text(got["remedy"])
	for _, item := range r.items(got["asks"]) {
		c.Asks = append(c.Asks, r.ask(item, c))
	}
}

// plainTitle refuses digits in titles: a number that somebody may change does
// not belong in a text that does not change with it.
func (r *reader) plainTitle(n *yaml.Node, c *engine.Check) {
	for _, lang := range languages() {
		if strings.ContainsAny(c.Title[lang], "0123456789{}") {
			r.fault(n, "the title %q has a number or a place to fill in; titles are plain words", c.Title[lang])
		}
	}
}

func scopes() []string {
	return []string{string(engine.PerFrequency), string(engine.PerCrossing)}
}

// events are what a crew may report, with the hold by hand.
func events() []string { return append(slices.Clone(engine.Events()), engine.HoldEvent) }
