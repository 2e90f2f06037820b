package rules

import (
	"context"
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"firstrod/engine"
)

const metal = "ground/metal.rego"

// body replaces what ground.metal says.
func body(text string) func(testing.TB, fstest.MapFS) {
	return func(t testing.TB, m fstest.MapFS) {
		swap(t, m, metal, "pass if input.metal_distance >= data.params.ground.standoff_um\n", text)
	}
}

// change replaces text in a file.
func change(path, old, next string) func(testing.TB, fstest.MapFS) {
	return func(t testing.TB, m fstest.MapFS) { swap(t, m, path, old, next) }
}

func remove(path string) func(testing.TB, fstest.MapFS) {
	return func(_ testing.TB, m fstest.MapFS) { delete(m, path) }
}

func file1(path, text string) func(testing.TB, fstest.MapFS) {
	return func(_ testing.TB, m fstest.MapFS) { put(m, path, text) }
}

type refusal struct {
	name string
	edit func(testing.TB, fstest.MapFS)
	say  string
}

func (r refusal) run(t *testing.T) {
	t.Run(r.name, func(t *testing.T) {
		m := fixture()
		r.edit(t, m)
		if m["params.json"] != nil && string(m["params.json"].Data) != "stale" {
			freshen(m)
		}
		_, err := Load(context.Background(), m, Options{Pinned: []string{"ground.metal"}})
		if err == nil {
			t.Fatal("loaded")
		}
		e, ok := errors.AsType[*engine.Error](err)
		if !ok || e.Kind != engine.Rules {
			t.Fatalf("not a refusal of rules: %v", err)
		}
		if !strings.HasPrefix(e.Say, r.say) || r.say == "" {
			t.Errorf("\nsays  %s\nwant  %s\ncause %v", e.Say, r.say, e.Err)
		}
	})
}

func TestRefusesFiles(t *testing.T) {
	for _, r := range []refusal{
		{"empty folder", func(_ testing.TB, m fstest.MapFS) { clear(m) }, `the pack has no rules in it; without rules nothing may be released (and 2 more)`},
		{"pinned check gone", remove(metal), `ground/metal.rego: the check ground.metal is missing; checks of the base cannot be taken away`},
		{"no limits", remove("params.yaml"), `params.yaml: this file is missing; it holds the limits`},
		{"no limits in base units", remove("params.json"), `params.json: this file is missing; it is made from params.yaml`},
		{"stale limits", file1("params.json", "stale"), `params.json: this file does not match params.yaml; make it anew`},
		{"unknown file", file1("notes.txt", "x"), `notes.txt: this file does not belong in a pack; rules are AREA/CHECK.rego with lower-case names`},
		{"file too deep", file1("ground/metal/more.rego", "x"), `ground/metal/more.rego: this file does not belong in a pack; rules are AREA/CHECK.rego with lower-case names`},
		{"capital letters", file1("ground/Metal.rego", "x"), `ground/Metal.rego: this file does not belong in a pack; rules are AREA/CHECK.rego with lower-case names`},
		{"orphan test", file1("ground/gone_test.rego", "package tests.base.ground.gone\n"), `ground/gone_test.rego: this tests ground/gone.rego, which is not there`},
		{"test that adds to a check", file1("ground/metal_test.rego", "package checks.base.ground.metal\n\npass if true\n"), `ground/metal_test.rego:1: this file must begin with package tests.base.ground.metal, and begins with "package checks.base.ground.metal"`},
		{"test that hides its package", file1("ground/metal_test.rego", "\n package checks.base.ground.metal\n\nx := `\npackage tests.base.ground.metal\n`\n"), `ground/metal_test.rego:2: this file must begin with package tests.base.ground.metal`},
		{"schemas of another kind", file1("schemas.rego", "package checks\n\nbase.ground.metal.pass := true\n"), `schemas.rego: this file only names the schemas for the stock rule engine and must stay as it was written`},
		{"link", func(_ testing.TB, m fstest.MapFS) {
			m["ground/metal.rego"] = &fstest.MapFile{Mode: fs.ModeSymlink, Data: []byte("/etc/passwd")}
		}, `ground/metal.rego: this is a link to another place; a pack holds plain files only`},
		{"byte order mark", change(metal, "# METADATA", "\ufeff# METADATA"), `ground/metal.rego:1: this file begins with an invisible mark (BOM); save it as UTF-8 in your editor, without BOM`},
		{"UTF-16", file1(metal, "\xff\xfe#\x00 \x00M\x00"), `ground/metal.rego:1: this file is not plain text in UTF-8, maybe it is UTF-16; save it as UTF-8 in your editor`},
		{"UTF-16 without a mark", file1(metal, "#\x00 \x00M\x00"), `ground/metal.rego:1: this file is not plain text in UTF-8, maybe it is UTF-16; save it as UTF-8 in your editor`},
		{"letter of another alphabet", change(metal, "Título", "T\xedtulo"), `ground/metal.rego:15: this line has a letter that is not UTF-8; save it as UTF-8 in your editor`},
		{"file too large", file1(metal, strings.Repeat("#", maxFile+1)), `ground/metal.rego: this file is larger than 1 MiB`},
		{"too many files", func(_ testing.TB, m fstest.MapFS) {
			for i := range maxFiles {
				put(m, "ground/a"+strings.Repeat("b", i%40)+"_"+strings.Repeat("c", i/40)+".rego", "x")
			}
		}, `the pack has more than 2000 files`},
		{"too much", func(_ testing.TB, m fstest.MapFS) {
			for i := range maxPack>>20 + 1 {
				put(m, "ground/a"+strings.Repeat("b", i)+".rego", strings.Repeat("#", maxFile))
			}
		}, `the pack is larger than 16 MiB`},
	} {
		r.run(t)
	}
}

func TestRefusesMetadata(t *testing.T) {
	for _, r := range []refusal{
		{"no block", change(metal, "# METADATA\n", ""), `ground/metal.rego:1: a rule file begins with the line # METADATA, and that line is not here`},
		{"wrong case", change(metal, "# METADATA", "# Metadata"), `ground/metal.rego:1: write # METADATA in capitals, with one space and nothing else on the line`},
		{"blank line", change(metal, "#   order: 100\n", "#   order: 100\n\n"), `ground/metal.rego:10: the METADATA block is cut off here; no blank or other line may stand between it and the package line`},
		{"blank line before package", change(metal, "package ", "\npackage "), `ground/metal.rego:34: the METADATA block is cut off here; no blank or other line may stand between it and the package line`},
		{"second block", change(metal, "pass if", "# METADATA\n# title: x\npass if"), `ground/metal.rego:36: this looks like METADATA, but only the block on top of the file counts`},
		{"second document", change(metal, "package ", "#---\n# custom: {waivable: true}\npackage "), `ground/metal.rego:34: a second list begins here, and nothing would read it`},
		{"tab", change(metal, "#   order: 100", "# \torder: 100"), `ground/metal.rego:8: this cannot be read, here or in the next line: found a tab character that violates indentation`},
		{"colon in a text", change(metal, `"Title of metal"`, `Keep 3 m: no digging`), `ground/metal.rego:2: this cannot be read, here or in the next line: mapping values are not allowed in this context`},
		{"unknown key", change(metal, "#   waivable:", "#   waiveable:"), `ground/metal.rego:8: "waivable" is missing here (and 1 more)`},
		{"unknown key on top", change(metal, "# description:", "# descripton:"), `ground/metal.rego:2: "description" is missing here (and 1 more)`},
		{"key twice", change(metal, "#   order: 100", "#   order: 100\n#   order: 100"), `ground/metal.rego:10: "order" stands here twice`},
		{"no order", change(metal, "#   order: 100\n", ""), `ground/metal.rego:8: "order" is missing here`},
		{"number as citation", change(metal, `"common practice, no source"`, `12.10`), `ground/metal.rego:5: "12.10" should be a text in quotes`},
		{"date as text", change(metal, `"Made up for a test"`, `2026-01-01`), `ground/metal.rego:6: "2026-01-01" should be a text in quotes`},
		{"no as text", change(metal, "waivable: false", "waivable: no"), `ground/metal.rego:12: "no" should be true or false, without quotes`},
		{"yes in quotes", change(metal, "waivable: false", `waivable: "false"`), `ground/metal.rego:12: "false" should be true or false, without quotes`},
		{"octal order", change(metal, "order: 100", "order: 0100"), `ground/metal.rego:9: "0100" should be a whole number`},
		{"order as text", change(metal, "order: 100", `order: "100"`), `ground/metal.rego:9: "100" should be a whole number`},
		{"text without quotes", change(metal, `"Title of metal"`, `Title of metal`), `ground/metal.rego:2: "Title of metal" should be in quotes`},
		{"alias", change(metal, "status: \"chosen\"", "status: &a \"chosen\"\n#   each: *a"), `ground/metal.rego:14: this should be one of frequency, crossing`},
		{"no Spanish title", change(metal, "#   title:\n#     es: \"Título\"\n", ""), `ground/metal.rego:8: "title" is missing here`},
		{"no English why", change(metal, "#     en: \"The why.\"\n", ""), `ground/metal.rego:20: "en" is missing here`},
		{"no remedy", change(metal, "#   remedy:\n#     en: \"The remedy.\"\n#     es: \"El remedy.\"\n", ""), `ground/metal.rego:8: "remedy" is missing here`},
		{"no Spanish stop", change(metal, "#     es: \"El stop.\"\n", ""), `ground/metal.rego:17: "es" is missing here`},
		{"empty text", change(metal, `"The stop."`, `" "`), `ground/metal.rego:17: this text is empty`},
		{"cursor in a text", change(metal, `"The stop."`, `"Why.\e[2J anybody may waive"`), `ground/metal.rego:17: this text has a character in it that is not seen (U+001B); write it anew without`},
		{"line end in a text", change(metal, `"The stop."`, `"Why.\nmay waive    anybody"`), `ground/metal.rego:17: this text has a character in it that is not seen (U+000A)`},
		{"text the other way round", change(metal, "The stop.", "The \u202estop."), `ground/metal.rego:17: this text has a character in it that is not seen (U+202E)`},
		{"nothing seen in a reference", change(metal, `"common practice, no source"`, "\"20VAC5\u200b\""), `ground/metal.rego:5: this text has a character in it that is not seen (U+200B)`},
		{"yes with its type", change(metal, "waivable: false", `waivable: !!bool "yes"`), `ground/metal.rego:12: take !!bool away; the value alone says what it is`},
		{"capital letters", change(metal, "waivable: false", `waivable: FALSE`), `ground/metal.rego:12: "FALSE" should be true or false, in small letters`},
		{"no Spanish prompt", change(metal, "#       es: \"¿Qué es metal_distance?\"\n", ""), `ground/metal.rego:29: "es" is missing here`},
		{"number in a title", change(metal, "Title of metal", "No metal within 30 ft"), `ground/metal.rego:2: the title "No metal within 30 ft" has a number or a place to fill in; titles are plain words`},
		{"unknown place", change(metal, "The stop.", "Metal at {metal_distanc}."), `ground/metal.rego:17: nothing is known that could fill {metal_distanc} in "Metal at {metal_distanc}."; did you mean metal_distance?`},
		{"limit with its unit's suffix", change(metal, "The stop.", "Metal at {params.ground.standoff_um}."), `ground/metal.rego:17: nothing is known that could fill {params.ground.standoff_um} in "Metal at {params.ground.standoff_um}."; did you mean params.ground.standoff?`},
		{"place of another scope", change(metal, "The stop.", "{frequency.background}"), `ground/metal.rego:17: nothing is known that could fill {frequency.background} in "{frequency.background}"`},
		{"half a bracket", change(metal, "The stop.", "Metal at {metal_distance."), `ground/metal.rego:17: a curly bracket has no partner in "Metal at {metal_distance."`},
		{"severity", change(metal, "severity: stop", "severity: warn"), `ground/metal.rego:10: "warn" is not one of stop`},
		{"gate", change(metal, "gate: release", "gate: relase"), `ground/metal.rego:11: "relase" is not one of release, close, drilling; did you mean release?`},
		{"scope", change("gear/noise.rego", "each: frequency", "each: frequncy"), `gear/noise.rego:25: "frequncy" is not one of frequency, crossing; did you mean frequency?`},
		{"wrong id", change(metal, "id: ground.metal\n", "id: ground.metals\n"), `ground/metal.rego:8: the id is "ground.metals", but the file is ground/metal.rego; the id must be ground.metal`},
		{"status", change(metal, `status: "chosen"`, `status: "choosen"`), `ground/metal.rego:13: "choosen" is not one of "", from memory, "common practice, no source", chosen; did you mean chosen?`},
		{"guard with each", change("crossing/seen.rego", "each: crossing", "each: crossing\n#   guards: frequency"), `crossing/seen.rego:26: a check that guards against having no frequency is asked once per bore; take "each" away`},
		{"no guard", change("crossing/none.rego", "#   guards: crossing\n", ""), `crossing/seen.rego:1: this check is for each crossing, and no check has guards: crossing; with no crossing at all nothing would be checked`},
		{"two guards", change(metal, "#   asks:", "#   guards: crossing\n#   asks:"), `crossing/none.rego:1: ground.metal has guards: crossing already; there is one such check`},
	} {
		r.run(t)
	}
}

func TestRefusesAsks(t *testing.T) {
	const serial = "ticket/serial.rego"
	for _, r := range []refusal{
		{"kind", change(metal, "kind: length", "kind: lenght"), `ground/metal.rego:27: "lenght" is not one of length, frequency, voltage, duration, percent, decibel, count, date, time, yesno, choice, text, serial, frequencies, names, lengths, pitches; did you mean length?`},
		{"unit", change(metal, `unit: "ft"`, `unit: "furlong"`), `ground/metal.rego:31: "furlong" is not a unit of length`},
		{"unit of another kind", change(metal, `unit: "ft"`, `unit: "kHz"`), `ground/metal.rego:31: "kHz" is not a unit of length`},
		{"limit without unit", change(metal, `min: "0 ft"`, `min: "0 kg"`), `ground/metal.rego:32: "0 kg" is not a length with its unit`},
		{"limit that is blank", change(metal, `min: "0 ft"`, `min: ""`), `ground/metal.rego:32: "" is not a length with its unit`},
		{"limit as number", change(metal, `min: "0 ft"`, `min: 0`), `ground/metal.rego:32: "0" should be a text in quotes`},
		{"limits crossed", change(metal, `min: "0 ft"`, `min: "3000 ft"`), `ground/metal.rego:32: the smallest value "3000 ft" is more than the largest "2000 ft"`},
		{"limit of a serial", change(serial, "id: serial_a\n#     kind: serial", "id: serial_a\n#     kind: serial\n#     min: \"1 ft\""), `ticket/serial.rego:28: a serial has no smallest or largest value`},
		{"outside", change(metal, `min: "0 ft"`, "min: \"0 ft\"\n#     outside: warn"), `ground/metal.rego:33: "warn" is not one of ask, refuse`},
		{"outside of nothing", change(serial, "id: serial_a\n#     kind: serial", "id: serial_a\n#     kind: serial\n#     outside: ask"), `ticket/serial.rego:28: "outside" says what to do outside min and max, and neither is given`},
		{"event", change(metal, `unit: "ft"`, `redo_after: ["gear_chnge"]`), `ground/metal.rego:31: "gear_chnge" is not one of gear_change, frequency_change, power_change, hard_impact, interference, new_shift, failed_depth_check, hold; did you mean gear_change?`},
		{"event twice", change(metal, `unit: "ft"`, `redo_after: ["hold", "hold"]`), `ground/metal.rego:31: "hold" stands here twice`},
		{"means", change(metal, `unit: "ft"`, `means: hold`), `ground/metal.rego:31: "hold" is not one of gear_change, frequency_change, power_change, hard_impact, interference, new_shift, failed_depth_check`},
		{"ends of a length", change(metal, `unit: "ft"`, `ends: true`), `ground/metal.rego:31: only a time or a date can end a release, and this is length`},
		{"good for", change(metal, `unit: "ft"`, `good_for: "a while"`), `ground/metal.rego:31: "a while" is not a time such as "12 h"`},
		{"carry", change(metal, `unit: "ft"`, `carry: crew`), `ground/metal.rego:31: "crew" is not one of gear, place`},
		{"role", change(metal, `unit: "ft"`, `who: ["forman"]`), `ground/metal.rego:31: "forman" is not one of locating_hand, drill_operator, foreman, safety_manager, crew; did you mean foreman?`},
		{"lead alone", change(metal, `unit: "ft"`, `lead: {en: "x", es: "x"}`), `ground/metal.rego:31: a lead is for asks that come together; there is no "together" here`},
		{"empty list", change(metal, `unit: "ft"`, `who: []`), `ground/metal.rego:31: this list is empty; leave it out`},
		{"options of a length", change(metal, `unit: "ft"`, `options: [{id: a, label: {en: "a", es: "a"}}]`), `ground/metal.rego:31: options are for asks of kind choice, and this is length`},
		{"choice without options", change(serial, "id: serial_a\n#     kind: serial", "id: serial_a\n#     kind: choice"), `ticket/serial.rego:26: a choice must list its options`},
		{"option twice", change("ground/lines.rego", "id: guessed", "id: exposed"), `ground/lines.rego:40: the option "exposed" stands here twice`},
		{"word of two options", change("ground/lines.rego", `words: ["dug"]`, `words: ["Guessed."]`), `ground/lines.rego:40: "guessed" means more than one option here (exposed, guessed); give each option words of its own`},
		{"word of two options, as a label", change("ground/lines.rego", `{en: "guessed", es: "supuesta"}`, `{en: "dug", es: "supuesta"}`), `ground/lines.rego:40: "dug" means more than one option here`},
		{"ask id", change(serial, "id: serial_a\n", "id: Serial-A\n"), `ticket/serial.rego:26: "Serial-A" is not a name; use lower-case letters, digits and _ as in metal_distance`},
		{"asked twice", change(serial, "id: serial_a\n#     kind: serial", "id: metal_distance\n#     kind: length"), `ticket/serial.rego:26: "metal_distance" is asked by ground.metal already; another check just reads it`},
		{"lead on a later ask", func(t testing.TB, m fstest.MapFS) {
			swap(t, m, serial, "id: serial_a\n#     kind: serial", "id: serial_a\n#     together: s\n#     kind: serial")
			swap(t, m, serial, "id: serial_b\n#     kind: serial", "id: serial_b\n#     together: s\n#     lead: {en: \"x\", es: \"x\"}\n#     kind: serial")
		}, `ticket/serial.rego:32: the lead of "s" belongs to the first ask of it, and "serial_b" is not`},
		{"asked and not read", func(t testing.TB, m fstest.MapFS) {
			put(m, "ticket/extra.rego", checkText("ticket.extra", 600, "", askText("extra", "yesno", ""), "pass if input.serial_a == \"X\"\n"))
		}, `ticket/extra.rego:26: no rule reads input.extra, so nobody would be asked it`},
		{"asked twice, in quotes", func(t testing.TB, m fstest.MapFS) {
			swap(t, m, serial, "id: serial_a\n#     kind: serial", "id: \"metal_distance\"\n#     kind: length")
		}, `ticket/serial.rego:26: "metal_distance" is asked by ground.metal already`},
		{"id like the beginning of another", func(t testing.TB, m fstest.MapFS) {
			swap(t, m, serial, "id: serial_a\n#     kind: serial", "id: clock_two\n#     kind: serial")
			swap(t, m, serial, "id: serial_b\n", "id: 'clock'\n")
			swap(t, m, serial, "input.serial_a == input.serial_b", "input.clock_two == \"A\"")
		}, `ticket/serial.rego:31: an ask cannot be called "clock"; the program itself provides input.clock.now`},
		{"word of the program's", change(serial, "id: serial_a\n", "id: \"signature\"\n"), `ticket/serial.rego:26: an ask cannot be called "signature"; the program itself uses that word`},
		{"word of the texts", change(serial, "id: serial_a\n", "id: params\n"), `ticket/serial.rego:26: an ask cannot be called "params"; the program itself uses that word`},
		{"word for an item", change(serial, "id: serial_a\n", "id: crossing\n"), `ticket/serial.rego:26: an ask cannot be called "crossing"; the program itself uses that word`},
		{"name of the program's", change(serial, "id: serial_a\n", "id: clock\n"), `ticket/serial.rego:26: an ask cannot be called "clock"; the program itself provides input.clock.now`},
	} {
		r.run(t)
	}
}

func TestRefusesLimits(t *testing.T) {
	const p = "params.yaml"
	for _, r := range []refusal{
		{"no stricter", change(p, "    value: \"30 ft\"\n    stricter: higher\n", "    value: \"30 ft\"\n"), `params.yaml:3: "stricter" is missing here`},
		{"stricter", change(p, "    value: \"30 ft\"\n    stricter: higher\n", "    value: \"30 ft\"\n    stricter: more\n"), `params.yaml:5: "more" is not one of higher, lower, neither`},
		{"no source", change(p, "    stricter: higher\n    source: {name: \"chosen for a test\", status: \"chosen\"}\n    reason", "    stricter: higher\n    reason"), `params.yaml:3: "source" is missing here`},
		{"no reason", change(p, "    fixed: true\n    source: {name: \"chosen for a test\", status: \"chosen\"}\n    reason: {en: \"Because.\", es: \"Porque sí.\"}\n", "    fixed: true\n    source: {name: \"chosen for a test\", status: \"chosen\"}\n"), `params.yaml:10: "reason" is missing here`},
		{"blank", change(p, `"30 ft"`, `""`), `params.yaml:4: "" is not a length with its unit`},
		{"blank without quotes", change(p, `"30 ft"`, ``), `params.yaml:4: "" should be a text in quotes`},
		{"unit", change(p, `"30 ft"`, `"30 %"`), `params.yaml:4: "30 %" is not a length with its unit`},
		{"number", change(p, `"30 ft"`, `30`), `params.yaml:4: "30" should be a text in quotes`},
		{"fraction of a base unit", change(p, `"30 ft"`, `"0.00000001 ft"`), `params.yaml:4: "0.00000001 ft" is not a whole number of um, the unit that rules count in`},
		{"kind", change(p, "kind: length\n    value: \"30 ft\"", "kind: text\n    value: \"30 ft\""), `params.yaml:3: a limit is a number or a list of names, and a text is neither`},
		{"direction of a number", change(p, "    value: \"30 ft\"\n    stricter: higher\n", "    value: \"30 ft\"\n    stricter: superset\n"), `params.yaml:5: "superset" is not one of higher, lower, neither`},
		{"direction of a list", change(p, "gear:\n", rolesList("stricter: higher", "foreman")), `params.yaml:11: "higher" is not one of superset, neither`},
		{"no such role", change(p, "gear:\n", rolesList("stricter: superset", "forman")), `params.yaml:10: "forman" is not one of locating_hand, drill_operator, foreman, safety_manager, crew; did you mean foreman?`},
		{"list with a sentence", change(p, "gear:\n", rolesList("stricter: superset", "The foreman")), `params.yaml:10: "The foreman" is not a word such as locating_hand`},
		{"roles of a number", change(p, "    value: \"30 ft\"\n", "    value: \"30 ft\"\n    of: roles\n"), `params.yaml:5: "of" says what a list may hold, and a length is no list`},
		{"alias of a known key", change(p, "name: \"chosen for a test\", status: \"chosen\"}\n    reason: {en: \"Because.\", es: \"Porque sí.\"}\ngear:", "name: &x \"ref\", *x : \"y\", status: \"chosen\"}\n    reason: {en: \"Because.\", es: \"Porque sí.\"}\ngear:"), `params.yaml:6: a name must stand before this colon, one of name, ref, status`},
		{"fixed as no", change(p, "fixed: true", "fixed: !!bool \"yes\""), `params.yaml:13: take !!bool away; the value alone says what it is`},
		{"key", change(p, "fixed: true", "fixd: true"), `params.yaml:13: "fixd" is not a word that may stand here; did you mean fixed?`},
		{"name twice", change(p, "  charge:", "  charge_ppm:\n    kind: percent\n    value: \"20 %\"\n    stricter: higher\n    source: {name: \"x\", status: \"chosen\"}\n    reason: {en: \"B.\", es: \"P.\"}\n  charge:"), `params.yaml:10: the name gear.charge_ppm ends in the unit ppm; leave _ppm away`},
		{"name with another unit", change(p, "  standoff:", "  standoff_mv:"), `params.yaml:3: the name ground.standoff_mv ends in the unit mv; leave _mv away, for rules read a limit under its name with its unit behind it`},
		{"not YAML", change(p, "gear:", "gear: ["), `params.yaml:7: this cannot be read, here or in the next line: did not find expected ',' or ']'`},
	} {
		r.run(t)
	}
}

// rolesList is a limit that is a list of roles, in front of the limits for gear.
func rolesList(stricter, value string) string {
	return "  roles:\n    kind: names\n    value: \"" + value + "\"\n    " + stricter + "\n    of: roles\n" +
		"    source: {name: \"x\", status: \"chosen\"}\n    reason: {en: \"x\", es: \"x\"}\ngear:\n"
}

func TestRefusesRules(t *testing.T) {
	deep := "count([a | a := 1; count([b | b := 1; count([c | c := 1; count([d | d := 1]) > 0]) > 0]) > 0]) > 0"
	for _, r := range []refusal{
		{"syntax", body("pass if {\n\tinput.metal_distance >=\n}\n"), `ground/metal.rego:38: this line cannot be read as a rule: }`},
		{"old dialect", body("pass { input.metal_distance >= 3 }\n"), `ground/metal.rego:36: this line cannot be read as a rule: pass { input.metal_distance >= 3 }`},
		{"next dialect", body("import rego.v2\n\npass if input.metal_distance >= 3\n"), `ground/metal.rego:36: this line cannot be read as a rule: import rego.v2`},
		{"keyword of the next dialect", body("import future.keywords.not\n\npass if input.metal_distance >= 3\n"), `ground/metal.rego:36: this line cannot be read as a rule: import future.keywords.not`},
		{"template string", body("pass if count($\"{input.metal_distance}\") > 3\n"), `ground/metal.rego:36: this line cannot be read as a rule: pass if count($"{input.metal_distance}") > 3`},
		{"import", body("import data.checks.base.ground.lines\n\npass if lines.pass\n"), `ground/metal.rego:36: a rule stands alone; take the line with import away`},
		{"package", change(metal, "package checks.base.ground.metal", "package checks.base.ground.lines"), `ground/metal.rego:34: the package is checks.base.ground.lines, but in this file it must be checks.base.ground.metal`},
		{"package of another layer", change(metal, "package checks.base.", "package checks.local."), `ground/metal.rego:34: the package is checks.local.ground.metal, but in this file it must be checks.base.ground.metal`},
		{"default", body("default pass := false\n\npass if input.metal_distance >= 3\n"), `ground/metal.rego:36: "default" is not allowed: what is not proved must stay unproved (and 1 more)`},
		{"default true", body("default pass := true\n"), `ground/metal.rego:36: "default" is not allowed: what is not proved must stay unproved`},
		{"else", body("pass if {\n\tinput.metal_distance >= 3\n} else := true\n"), `ground/metal.rego:38: "else" is not allowed: write a second rule of the same name`},
		{"other value", body("pass := input.metal_distance\n"), `ground/metal.rego:36: pass is not true or false here; write: pass if { what must hold }`},
		{"false", body("pass := false if input.metal_distance >= 3\n"), `ground/metal.rego:36: pass is not true or false here; write: pass if { what must hold }`},
		{"set", body("pass contains \"a\" if input.metal_distance >= 3\n"), `ground/metal.rego:36: pass is not true or false here; write: pass if { what must hold }`},
		{"function", body("pass(x) if input.metal_distance >= x\n"), `ground/metal.rego:36: pass is not true or false here; write: pass if { what must hold }`},
		{"object", body("pass.x := true if input.metal_distance >= 3\n"), `ground/metal.rego:36: a rule has a plain name, not pass.x`},
		{"always", body("pass if true\n"), `ground/metal.rego:36: this pass rule reads no answer, so it would always say the same`},
		{"always, in a second body", body("pass if input.metal_distance >= data.params.trial.inch_um\n\npass if 3 > 2\n"), `ground/metal.rego:38: this pass rule reads no answer, so it would always say the same`},
		{"exempt always", body("pass if input.metal_distance >= data.params.trial.inch_um\n\nexempt if data.params.ground.standoff_um > 0\n"), `ground/metal.rego:38: this exempt rule reads no answer, so it would always say the same`},
		{"no pass", body("exempt if input.metal_distance >= 3\n"), `ground/metal.rego:34: there is no pass rule; a check without one can never hold`},
		{"other rule", body("passs if input.metal_distance >= 3\n"), `ground/metal.rego:34: there is no pass rule; a check without one can never hold (and 1 more)`},
		{"typo in an answer", body("pass if input.metal_distanc >= 3\n"), `ground/metal.rego:36: there is no input.metal_distanc; did you mean input.metal_distance?`},
		{"typo in a limit", body("pass if input.metal_distance >= data.params.ground.standof_um\n"), `ground/metal.rego:36: there is no limit data.params.ground.standof_um; did you mean data.params.ground.standoff_um?`},
		{"limit without suffix", body("pass if input.metal_distance >= data.params.ground.standoff\n"), `ground/metal.rego:36: there is no limit data.params.ground.standoff; did you mean data.params.ground.standoff_um?`},
		{"other check", body("pass if data.checks.base.ground.lines.pass\n"), `ground/metal.rego:36: a rule reads answers (input.…) and limits (data.params.…), not data.checks.base.ground.lines.pass`},
		{"other data", body("pass if data.secret\n"), `ground/metal.rego:36: a rule reads answers (input.…) and limits (data.params.…), not data.secret`},
		{"typo in a list", body("pass if input.frequencies.first >= 3\n"), `ground/metal.rego:36: input.frequencies is a list of numbers; there is nothing called "first" inside it`},
		{"inside a number", body("pass if input.metal_distance.value >= 3\n"), `ground/metal.rego:36: input.metal_distance is a number; there is nothing called "value" inside it`},
		{"other scope", body("pass if input.frequency.background <= 3\n"), `ground/metal.rego:36: input.frequency.background is there only in a check with each: frequency`},
		{"dynamic", body("pass if {\n\tsome x in [\"metal_distance\"]\n\tinput[x] >= 3\n}\n"), `ground/metal.rego:38: input[x] reads more than one value; name each value that the rule needs`},
		{"dynamic inside a group", body("pass if input.signing[\"peo\"] >= 3\n"), `ground/metal.rego:36: there is no input.signing.peo; did you mean input.signing.people?`},
		{"any of a group", body("pass if {\n\tsome i\n\tinput.signing[i] >= 3\n}\n"), `ground/metal.rego:38: input.signing[i] reads more than one value; name each value that the rule needs`},
		{"whole input", body("pass if count(input) > 3\n"), `ground/metal.rego:36: input reads more than one value; name each value that the rule needs`},
		{"whole input by another name", body("pass if {\n\tx := input\n\tx.metal_distance >= 3\n}\n"), `ground/metal.rego:37: input reads more than one value; name each value that the rule needs`},
		{"whole group", body("pass if count(input.signing) > 0\n"), `ground/metal.rego:36: input.signing reads more than one value; name each value that the rule needs`},
		{"walk", body("pass if {\n\twalk(input, [_, v])\n\tv >= 3\n}\n"), `ground/metal.rego:37: walk is not a function that rules may use (and 1 more)`},
		{"not", body("pass if not input.metal_distance < 3\n"), `ground/metal.rego:36: "not" is not allowed: say what must hold, for example == false`},
		{"with", body("_far if input.metal_distance >= 3\n\npass if _far with input.metal_distance as 10\n"), `ground/metal.rego:38: "with" is for tests; a rule judges what was answered`},
		{"number with text", body("pass if input.metal_distance >= \"2\"\n"), `ground/metal.rego:36: a text is compared by size with another value; only numbers can be`},
		{"number is text", body("pass if input.metal_distance == \"2\"\n"), `ground/metal.rego:36: the values in this line do not fit together: pass if input.metal_distance == "2"`},
		{"text by size", body("pass if input.serial_a >= 2\n"), `ground/metal.rego:36: a text is compared by size with another value; only numbers can be`},
		{"list by size", body("pass if input.frequencies > 2\n"), `ground/metal.rego:36: a list of numbers is compared by size with another value; only numbers can be`},
		{"unknown by size", body("_big(x) if x > 2\n\npass if _big(input.serial_a)\n"), `ground/metal.rego:36: something unclear is compared by size with another value; only numbers can be`},
		{"limit is text", body("pass if {\n\tinput.metal_distance > 0\n\tdata.params.ground.standoff_um == \"30 ft\"\n}\n"), `ground/metal.rego:38: the values in this line do not fit together: data.params.ground.standoff_um == "30 ft"`},
		{"text inside a name", body("pass if {\n\tx := input.serial_a\n\tx > 2\n}\n"), `ground/metal.rego:38: a text is compared by size with another value; only numbers can be`},
		{"option", change("ground/lines.rego", `input.lines_seen == "exposed"`, `input.lines_seen == "exposd"`), `ground/lines.rego:48: "exposd" is not an option of lines_seen; the options are exposed, guessed; did you mean exposed?`},
		{"clock of the machine", body("pass if time.now_ns() > input.metal_distance\n"), `ground/metal.rego:36: time.now_ns is not a function that rules may use`},
		{"network", body("pass if http.send({\"method\": \"get\", \"url\": \"x\"}).status_code == input.metal_distance\n"), `ground/metal.rego:36: http.send is not a function that rules may use`},
		{"shift", body("pass if bits.lsh(1, input.metal_distance) > 2\n"), `ground/metal.rego:36: bits.lsh is not a function that rules may use`},
		{"replace bomb", body("pass if count(replace(\"aa\", \"a\", \"aaaaaaaa\")) > input.metal_distance\n"), `ground/metal.rego:36: replace is not a function that rules may use`},
		{"text builder", body("pass if count(sprintf(\"%d\", [input.metal_distance])) > 2\n"), `ground/metal.rego:36: sprintf is not a function that rules may use`},
		{"print", body("pass if {\n\tprint(input.metal_distance)\n\tinput.metal_distance > 2\n}\n"), `ground/metal.rego:37: print is not a function that rules may use`},
		{"function not there", body("pass if abbs(input.metal_distance) > 2\n"), `ground/metal.rego:36: abbs is not a function that rules may use; did you mean abs?`},
		{"unused name", body("pass if {\n\tx := 3\n\tinput.metal_distance > 2\n}\n"), `ground/metal.rego:37: x gets a value here but is never used`},
		{"name without value", body("pass if input.metal_distance > x\n"), `ground/metal.rego:36: x is used here but never gets a value`},
		{"recursion", body("_a if _b\n\n_b if _a\n\npass if {\n\t_a\n\tinput.metal_distance > 2\n}\n"), `ground/metal.rego:36: this rule leads back to itself (and 1 more)`},
		{"every of a list without entries", body("pass if {\n\tinput.metal_distance > 0\n\tevery f in [] { f > 2 }\n}\n"), `ground/metal.rego:38: "every" also holds for an empty list`},
		{"every of nothing", body("pass if every f in input.frequencies { f > 2 }\n"), `ground/metal.rego:36: "every" also holds for an empty list; add the line: count(input.frequencies) > 0`},
		{"deep", body("pass if {\n\tinput.metal_distance > 0\n\t" + deep + "\n}\n"), `ground/metal.rego:38: loops stand in each other more than 3 deep`},
		{"conflict", body("_x := 1 if input.metal_distance >= 0\n\n_x := 2 if input.metal_distance >= 0\n\npass if _x == 1\n"), `ground/metal.rego:38: this check gives two different values at once on made-up answers`},
		{"long sum", body("pass if " + strings.Repeat("1 + ", 20_000) + "1 > input.metal_distance\n"), `ground/metal.rego:36: this rule is too long: it has more than 1000 words and numbers; write it shorter, or as several checks`},
		{"brackets in brackets", body("pass if " + strings.Repeat("(1 + ", 20_000) + "1" + strings.Repeat(")", 20_000) + " > input.metal_distance\n"), `ground/metal.rego:36: more than 50 brackets stand in each other here`},
		{"many rules", body(strings.Repeat("pass if input.metal_distance > 0\n", 101)), `ground/metal.rego:136: this file has more than 100 rules`},
		{"divides", body("pass if input.metal_distance / 2 >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: dividing leaves fractions, which are not exact here; multiply the other side, as in a <= 2 * b`},
		{"one =", body("pass if input.metal_distance = far\n"), `ground/metal.rego:36: one = gives a name to a value where it can, and then always holds; write == to compare, and := to give a name`},
		{"one = in a helper", body("_x if input.metal_distance = far\n\npass if _x\n"), `ground/metal.rego:36: one = gives a name`},
		{"one = in a loop", body("pass if count([1 | input.metal_distance = far]) > 0\n"), `ground/metal.rego:36: one = gives a name`},
		{"comparisons in a list", body("pass if count([input.metal_distance >= 5, input.metal_distance >= 7]) == 2\n"), `ground/metal.rego:36: a list that is written out here always has as many entries; count an answer that is a list (and 1 more)`},
		{"comparisons in a set", body("_x := {input.metal_distance >= 5, 7}\n\npass if count(_x) == 2\n"), `ground/metal.rego:36: a comparison is no entry of a list: it would be counted whether it holds or not; write each comparison in a line of its own`},
		{"comparisons under names", body("pass if count({\"a\": input.metal_distance >= 5, \"b\": input.metal_distance >= 7}) == 2\n"), `ground/metal.rego:36: a list that is written out here always has as many entries; count an answer that is a list (and 1 more)`},
		{"count of a list that is written out", body("pass if count([input.lines_near, input.none_confirmed]) == 2\n"), `ground/metal.rego:36: a list that is written out here always has as many entries; count an answer that is a list`},
		{"exempt by the clock", body("exempt if input.clock.today > 0\n\npass if input.metal_distance >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: this exempt rule reads no answer, so it would always say the same`},
		{"pass by the clock", body("pass if input.metal_distance >= data.params.ground.standoff_um\n\npass if input.clock.now > 0\n"), `ground/metal.rego:38: this pass rule reads no answer`},
		{"fraction", body("pass if input.metal_distance >= 0.1 + data.params.ground.standoff_um\n"), `ground/metal.rego:36: 0.1 is no plain whole number; rules count in whole base units, such as micrometres`},
		{"power of ten", body("pass if input.metal_distance >= 1e6\n"), `ground/metal.rego:36: 1e6 is no plain whole number; rules count in whole base units, such as micrometres`},
		{"beyond 64 bits", body("pass if input.metal_distance >= 99999999999999999999\n"), `ground/metal.rego:36: 99999999999999999999 is no plain whole number`},
		{"fraction in a set", body("pass if input.metal_distance in {1, 2.5}\n"), `ground/metal.rego:36: 2.5 is no plain whole number`},
		{"value alone", body("pass if input.metal_distance\n"), `ground/metal.rego:36: this line only says that there is a value, so it would always hold; compare it with something, or write == true`},
		{"value alone under its name", body("pass if {\n\tx := input.metal_distance\n\tx\n}\n"), `ground/metal.rego:38: this line only says that there is a value`},
		{"value alone in a helper", body("_x if input.metal_distance\n\npass if _x\n"), `ground/metal.rego:36: this line only says that there is a value`},
		{"helper of a value alone", body("_x := input.metal_distance\n\npass if _x\n"), `ground/metal.rego:38: this line only says that there is a value`},
		{"number of a function alone", body("pass if abs(input.metal_distance)\n"), `ground/metal.rego:36: this line only says that there is a value`},
		{"sum alone", body("pass if input.metal_distance - data.params.ground.standoff_um\n"), `ground/metal.rego:36: this line only says that there is a value`},
		{"set alone", body("pass if {x | x := input.metal_distance; x > 5}\n"), `ground/metal.rego:36: this line only says that there is a value`},
		{"value alone in a loop", body("pass if count([1 | input.metal_distance]) > 0\n"), `ground/metal.rego:36: this line only says that there is a value`},
		{"limit alone", body("pass if {\n\tdata.params.ground.standoff_um\n\tinput.metal_distance > 5\n}\n"), `ground/metal.rego:37: this line only says that there is a value`},
		{"never works", body("_x := input.metal_distance % 0\n\npass if _x > 1\n"), `ground/metal.rego:36: this check cannot be worked out on any made-up answers`},
	} {
		r.run(t)
	}
}

func TestRefusesLoop(t *testing.T) {
	m := fixture()
	body("_d := [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]\n\n"+
		"_m := [1 | some a in _d; some b in _d; some c in _d; some d in _d; some e in _d; some f in _d; some g in _d; some h in _d; a + b + c + d + e + f + g + h >= 0]\n\n"+
		"pass if count(_m) > input.metal_distance\n")(t, m)
	begin := time.Now()
	_, err := Load(context.Background(), m, Options{Deadline: 50 * time.Millisecond})
	if want := "ground/metal.rego"; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
	t.Log(err, time.Since(begin))
}

func TestRefusesSlowLoad(t *testing.T) {
	_, err := Load(context.Background(), fixture(), Options{Total: time.Nanosecond})
	if err == nil || engine.KindOf(err) != engine.Rules {
		t.Errorf("got %v", err)
	}
	t.Log(err)
}
