package rules

import (
	"context"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

// checkText is a check file. Custom holds further lines of the custom block
// ("each: frequency"), asks the entries of the list of asks.
func checkText(id string, order int, custom, asks, body string) string {
	_, checkName, _ := strings.Cut(id, ".")
	var b strings.Builder
	fmt.Fprintf(&b, `title: "Title of %[1]s"
description: "What %[1]s is about."
related_resources:
- ref: "common practice, no source"
  description: "Made up for a test"
custom:
  id: %[2]s
  order: %[3]d
  severity: stop
  gate: release
  waivable: false
  status: "chosen"
  title:
    es: "Título"
`, checkName, id, order)
	for _, key := range []string{"stop", "why", "remedy"} {
		fmt.Fprintf(&b, "  %s:\n    en: \"The %s.\"\n    es: \"El %s.\"\n", key, key, key)
	}
	b.WriteString(indent(custom, "  "))
	if asks != "" {
		b.WriteString("  asks:\n" + indent(asks, "  "))
	}
	return "# METADATA\n" + indent(b.String(), "# ") + "package checks.base." + id + "\n\n" + body
}

func indent(text, by string) string {
	if text == "" {
		return ""
	}
	return by + strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "\n", "\n"+by) + "\n"
}

// askText is one entry of a list of asks.
func askText(id, kind, more string) string {
	return fmt.Sprintf("- id: %s\n  kind: %s\n  prompt:\n    en: \"What is %s?\"\n    es: \"¿Qué es %s?\"\n", id, kind, id, id) + indent(more, "  ")
}

var fixtureParams = `ground:
  standoff:
    kind: length
    value: "30 ft"
    stricter: higher
    source: {name: "chosen for a test", status: "chosen"}
    reason: {en: "Because.", es: "Porque sí."}
gear:
  charge:
    kind: percent
    value: "20 %"
    stricter: higher
    fixed: true
    source: {name: "chosen for a test", status: "chosen"}
    reason: {en: "Because.", es: "Porque sí."}
` + fixtureMore

// fixtureMore is what other checks of the fixture are held to, and what tests add.
var fixtureMore = "trial:\n" + limitText("full", "percent", "100 %") + limitText("quiet", "decibel", "-50 dB") +
	limitText("low", "frequency", "8 kHz") + limitText("high", "frequency", "12 kHz") + limitText("inch", "length", "1 in") +
	limitText("shift", "duration", "12 h") + limitText("days", "count", "14")

// limitText is one limit of an area.
func limitText(name, kind, value string) string {
	return fmt.Sprintf("  %s:\n    kind: %s\n    value: %q\n    stricter: neither\n", name, kind, value) +
		"    source: {name: \"chosen for a test\", status: \"chosen\"}\n    reason: {en: \"Because.\", es: \"Porque sí.\"}\n"
}

// fixture is a small pack with every scope and shape of value in it.
func fixture() fstest.MapFS {
	files := map[string]string{
		"ground/metal.rego": checkText("ground.metal", 100, "",
			askText("metal_distance", "length", "unit: \"ft\"\nmin: \"0 ft\"\nmax: \"2000 ft\""),
			"pass if input.metal_distance >= data.params.ground.standoff_um\n"),
		"ground/lines.rego": checkText("ground.lines", 110, "",
			askText("lines_near", "yesno", "")+askText("lines_seen", "choice", `options:
- id: exposed
  label: {en: "seen", es: "vista"}
  words: ["dug"]
- id: guessed
  label: {en: "guessed", es: "supuesta"}
`),
			"exempt if input.lines_near == false\n\npass if {\n\tinput.lines_near == true\n\tinput.lines_seen == \"exposed\"\n}\n"),
		"gear/frequencies.rego": checkText("gear.frequencies", 200, "guards: frequency",
			askText("frequencies", "frequencies", ""),
			"pass if count(input.frequencies) > 0\n"),
		"gear/noise.rego": checkText("gear.noise", 210, "each: frequency",
			askText("background", "decibel", "min: \"-120 dB\"\nmax: \"0 dB\"\nunit: \"dB\""),
			"pass if {\n\tinput.frequency.background <= data.params.trial.quiet_mdb\n\tinput.frequency.hz > 0\n}\n"),
		"gear/battery.rego": checkText("gear.battery", 220, "",
			askText("charge_a", "percent", "min: \"0 %\"\nmax: \"100 %\"")+askText("charge_b", "percent", ""),
			"exempt if _least >= data.params.trial.full_ppm\n\npass if _least >= data.params.gear.charge_ppm\n\n_least := min([input.charge_a, input.charge_b])\n"),
		"crossing/none.rego": checkText("crossing.none", 300, "guards: crossing",
			askText("crossings", "names", "")+askText("none_confirmed", "yesno", ""),
			"exempt if count(input.crossings) > 0\n\npass if input.none_confirmed == true\n"),
		"crossing/seen.rego": checkText("crossing.seen", 310, "each: crossing",
			askText("exposed", "yesno", ""),
			"pass if input.crossing.exposed == true\n"),
		"signoff/two.rego": checkText("signoff.two", 400, "", "",
			"pass if {\n\tinput.signing.people >= 2\n\tinput.signing.locating_hand == true\n}\n"),
		"ticket/serial.rego": checkText("ticket.serial", 500, "",
			askText("serial_a", "serial", "")+askText("serial_b", "serial", ""),
			"pass if input.serial_a == input.serial_b\n"),
	}
	m := fstest.MapFS{}
	for path, text := range files {
		put(m, path, text)
	}
	put(m, "params.yaml", fixtureParams)
	freshen(m)
	return m
}

func put(m fstest.MapFS, path, text string) { m[path] = &fstest.MapFile{Data: []byte(text)} }

// freshen makes params.json anew where params.yaml can be read.
func freshen(m fstest.MapFS) {
	if f, ok := m["params.yaml"]; ok {
		if b, err := ParamsJSON(f.Data); err == nil {
			m["params.json"] = &fstest.MapFile{Data: b}
		}
	}
}

// swap replaces text in a file and fails when it is not there exactly once.
func swap(t testing.TB, m fstest.MapFS, path, old, next string) {
	t.Helper()
	s := string(m[path].Data)
	if strings.Count(s, old) != 1 {
		t.Fatalf("%s has %q %d times", path, old, strings.Count(s, old))
	}
	put(m, path, strings.Replace(s, old, next, 1))
}

func clone(m fstest.MapFS) fstest.MapFS { return maps.Clone(m) }

func load(t testing.TB, fsys fs.FS) *Set {
	t.Helper()
	s, err := Load(context.Background(), fsys, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// known is what a test tells about a bore: leaf to value. A leaf that is not
// there is missing under its own name.
type known map[string]any

// Value implements engine.Facts.
func (k known) Value(leaf string) (any, []string, error) {
	v, ok := k[leaf]
	if err, bad := v.(error); bad {
		return nil, nil, err
	}
	if !ok {
		return nil, []string{leaf[strings.LastIndexByte(leaf, '.')+1:]}, nil
	}
	return v, nil, nil
}

func (k known) of(engine.Target) engine.Facts { return k }

// target is a check of a set by id, on a subject that fits its scope.
func target(t testing.TB, s *Set, id string) engine.Target {
	t.Helper()
	c, ok := s.Catalogue().Check(id)
	if !ok {
		t.Fatalf("no check %s", id)
	}
	return engine.Target{Check: c, Subject: map[engine.Scope]string{
		engine.PerBore: "", engine.PerFrequency: "12000", engine.PerCrossing: "Gas main, north",
	}[c.Each]}
}

func one(t testing.TB, s *Set, id string, facts known) engine.Finding {
	t.Helper()
	return s.Evaluate(context.Background(), []engine.Target{target(t, s, id)}, facts.of)[0]
}
