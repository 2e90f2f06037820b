package rules

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

const (
	va    = "local/va/overlay.yaml"
	alder = "local/va-alder/overlay.yaml"
	dry   = "local/va-alder/ground/dry.rego"
)

// Each of these must keep the whole book from being loaded, with the file, the
// line and the word.
func TestRefusesLayers(t *testing.T) {
	both := func(edits ...func(testing.TB, fstest.MapFS)) func(testing.TB, fstest.MapFS) {
		return func(t testing.TB, m fstest.MapFS) {
			for _, e := range edits {
				e(t, m)
			}
		}
	}
	deep := "pass if count([1 | some a in [input.wet_depth]; count([1 | some b in [a]; count([1 | some c in [b]; count([1 | some d in [c]; d > 0]) > 0]) > 0]) > 0]) > 0\n"
	rule := "pass if input.wet_depth <= data.params.ground.wet_um\n"
	for _, r := range []refusal{
		// The files of a local pack.
		{"two packs for one place", file1("local/oak/overlay.yaml", strings.Replace(fixtureOverlay, "US-VA", "US-VA/alder", 1)), `local/va-alder/overlay.yaml:2: local/oak says that it holds in US-VA/alder too; one place has one pack`},
		{"empty folder", func(_ testing.TB, m fstest.MapFS) { m["local/md"] = &fstest.MapFile{Mode: fs.ModeDir} }, `local/md/overlay.yaml: this file is missing; it says where the pack holds`},
		{"no packs", func(_ testing.TB, m fstest.MapFS) {
			for path := range m {
				if strings.HasPrefix(path, "local/") {
					delete(m, path)
				}
			}
			m["local"] = &fstest.MapFile{Mode: fs.ModeDir}
		}, `local: there is no local pack in this folder; take the folder away if there should be none`},
		{"no overlay", remove(va), `local/va/overlay.yaml: this file is missing; it says where the pack holds`},
		{"name of a pack", file1("local/VA_2/overlay.yaml", fixtureOverlay), `local/VA_2: "VA_2" is not a name for a local pack`},
		{"name of the base", file1("local/base/overlay.yaml", fixtureOverlay), `local/base: "base" is not a name for a local pack`},
		{"name of the table", file1("local/one-call/overlay.yaml", fixtureOverlay), `local/one-call: "one-call" is not a name for a local pack`},
		{"file beside the packs", file1("local/notes.txt", "x"), `local/notes.txt: this file does not belong here; each local pack is a folder, such as local/va`},
		{"file in a pack", file1("local/va/notes.txt", "x"), `local/va/notes.txt: this file does not belong in a pack`},
		{"table in a local pack", file1("local/va/one_call.csv", fixtureCalls), `local/va/one_call.csv: this file does not belong in a pack`},
		{"overlay in the base", file1("base/overlay.yaml", fixtureOverlay), `base/overlay.yaml: this file does not belong in a pack`},
		{"link as a file", func(_ testing.TB, m fstest.MapFS) {
			m["local/va/ticket/compared.rego"] = &fstest.MapFile{Mode: fs.ModeSymlink, Data: []byte("/etc/passwd")}
		}, `local/va/ticket/compared.rego: this is a link to another place; a pack holds plain files only`},
		{"link as a pack", func(_ testing.TB, m fstest.MapFS) {
			m["local/md"] = &fstest.MapFile{Mode: fs.ModeSymlink, Data: []byte("/tmp")}
		}, `local/md: this is a link to another place; a local pack is a plain folder`},
		{"link as the base", func(_ testing.TB, m fstest.MapFS) {
			for path := range m {
				if strings.HasPrefix(path, "base/") {
					delete(m, path)
				}
			}
			m["base"] = &fstest.MapFile{Mode: fs.ModeSymlink, Data: []byte("/tmp")}
		}, `base: this is not a plain folder`},
		{"file too large", file1(dry, strings.Repeat("#", maxFile+1)), `local/va-alder/ground/dry.rego: this file is larger than 1 MiB`},
		{"too many files", func(_ testing.TB, m fstest.MapFS) {
			for i := range maxFiles {
				put(m, fmt.Sprintf("local/va/a/b%d.rego", i), "")
			}
		}, `local/va: the pack has more than 2000 files`},
		{"limits without base units", remove("local/va-alder/params.json"), `local/va-alder/params.json: this file is missing`},
		{"stale limits", file1("local/va-alder/params.json", "{}"), `local/va-alder/params.json: this file does not match params.yaml; make it anew`},

		// What overlay.yaml says.
		{"unknown word", change(va, "limits:", "limit:"), `local/va/overlay.yaml:4: "limit" is not a word that may stand here; did you mean limits?`},
		{"no title", change(va, "title: {en: \"Virginia\", es: \"Virginia\"}\n", ""), `local/va/overlay.yaml:1: "title" is missing here`},
		{"title in one language", change(va, ", es: \"Virginia\"}", "}"), `local/va/overlay.yaml:1: "es" is missing here`},
		{"no place", change(va, "holds: \"US-VA\"\n", ""), `local/va/overlay.yaml:1: "holds" is missing here`},
		{"blank place", change(va, "US-VA", ""), `local/va/overlay.yaml:2: this text is empty`},
		{"blank limit", change(va, "35 ft", ""), `local/va/overlay.yaml:6: "" is not a length with its unit`},
		{"blank limit of the base", change("base/params.yaml", "30 ft", ""), `base/params.yaml:4: "" is not a length with its unit`},
		{"not a place", change(va, "US-VA", "Virginia"), `local/va/overlay.yaml:2: "Virginia" is not a place; write the ISO 3166-2 code`},
		{"off as no", change(va, "\"US-VA\"", "no"), `local/va/overlay.yaml:2: "no" is not a place`},
		{"publish", change(va, "keep", "kep"), `local/va/overlay.yaml:3: "kep" is not one of keep, recheck; did you mean keep?`},
		{"second document", change(va, "checks:\n", "---\nchecks:\n"), `local/va/overlay.yaml:9: a second list begins here, and nothing would read it; take the dashes (---) or dots (...) above it away`},
		{"text after the end", change(va, "checks:\n", "...\nchecks:\n"), `local/va/overlay.yaml:9: this cannot be read, here or in the next line: did not find expected <document start>`},
		{"broken second document", change(va, "checks:\n", "---\nchecks: [\n"), `local/va/overlay.yaml:9: this cannot be read`},
		{"unknown limit", change(va, "ground.standoff", "ground.standof"), `local/va/overlay.yaml:5: there is no limit ground.standof; did you mean ground.standoff?`},
		{"not a name", change(va, "ground.standoff", "Ground standoff"), `local/va/overlay.yaml:5: "Ground standoff" is not a name such as ground.standoff`},
		{"limit twice", change(va, "checks:\n", "  ground.standoff:\n    value: \"36 ft\"\nchecks:\n"), `local/va/overlay.yaml:9: "ground.standoff" stands here twice`},
		{"number", change(va, "\"35 ft\"", "35"), `local/va/overlay.yaml:6: "35" should be a text in quotes`},
		{"alias as a key", both(change(va, "en: \"Virginia\"", "en: &v \"value\""), change(va, "    value: \"35 ft\"", "    *v : \"35 ft\"")), `local/va/overlay.yaml:6: a name must stand before this colon, one of value, reason, source, relax (and 1 more)`},
		{"octal", change(va, "\"35 ft\"", "0123"), `local/va/overlay.yaml:6: "0123" should be a text in quotes`},
		{"no unit", change(va, "35 ft", "35"), `local/va/overlay.yaml:6: "35" is not a length with its unit`},
		{"other unit", change(va, "35 ft", "35 s"), `local/va/overlay.yaml:6: "35 s" is not a length with its unit`},
		{"no reason", change(va, "    reason: {en: \"Stricter here.\", es: \"Más estricto aquí.\"}\n", ""), `local/va/overlay.yaml:6: "reason" is missing here`},
		{"no source", change(va, "    source: {name: \"made up for a test\", status: \"chosen\"}\n", ""), `local/va/overlay.yaml:6: "source" is missing here`},
		{"status", change(va, "status: \"chosen\"", "status: \"chose\""), `local/va/overlay.yaml:8: "chose" is not one of`},

		// Looser and stricter.
		{"looser", change(va, "35 ft", "25 ft"), `local/va/overlay.yaml:5: ground.standoff would be less strict: 25 ft (7.62 m) in place of 30 ft (9.144 m)`},
		{"looser than the state", change(alder, `    relax:
      why: {en: "No metal for miles.", es: "Sin metal en millas."}
      approved_by: "county safety office"
      until: "2027-06-30"
`, ""), `local/va-alder/overlay.yaml:5: ground.standoff would be less strict: 32 ft (9.7536 m) in place of 35 ft (10.668 m)`},
		{"stricter only while the state is loose", both(
			change(va, "    value: \"35 ft\"\n", "    value: \"20 ft\"\n    relax: {why: {en: \"a\", es: \"b\"}, approved_by: \"the county\", until: \"2027-01-31\"}\n"),
			change(alder, "32 ft", "25 ft"), change(alder, `    relax:
      why: {en: "No metal for miles.", es: "Sin metal en millas."}
      approved_by: "county safety office"
      until: "2027-06-30"
`, "")), `local/va-alder/overlay.yaml:5: ground.standoff would be less strict: 25 ft (7.62 m) in place of 30 ft (9.144 m)`},
		{"relax of a stricter value", change(alder, "32 ft", "36 ft"), `local/va-alder/overlay.yaml:10: ground.standoff is stricter here and not looser, so there is nothing to relax`},
		{"relax of the same value", change(alder, "32 ft", "35 ft"), `local/va-alder/overlay.yaml:10: ground.standoff is not loosened here, so there is nothing to relax`},
		{"fixed", change(va, "limits:\n", `limits:
  gear.charge:
    value: "10 %"
    reason: {en: "a", es: "b"}
    source: {name: "c", status: "chosen"}
    relax: {why: {en: "a", es: "b"}, approved_by: "the county", until: "2027-01-31"}
`), `local/va/overlay.yaml:5: the limit gear.charge is fixed; nobody may loosen it`},
		{"fixed, to the same value", change(va, "limits:\n", `limits:
  gear.charge:
    value: "20 %"
    reason: {en: "a", es: "b"}
    source: {name: "c", status: "chosen"}
`), `local/va/overlay.yaml:5: the limit gear.charge is fixed and has this value already, so there is nothing to set; take this entry away`},
		{"below zero", change(alder, "32 ft", "-1 ft"), `local/va-alder/overlay.yaml:5: ground.standoff would be below zero: -1 ft (-0.3048 m) in place of 35 ft (10.668 m)`},
		{"approved by a dot", change(alder, "\"No metal for miles.\", es: \"Sin metal en millas.\"}\n      approved_by: \"county safety office\"", "\"No metal for miles.\", es: \"Sin metal en millas.\"}\n      approved_by: \"- 1 -\""), `local/va-alder/overlay.yaml:11: "- 1 -" is nobody's name; write who approved it`},
		{"fewer in a list", change(alder, "foreman, locating_hand", "foreman"), `local/va-alder/overlay.yaml:13: signoff.roles_needed would be less strict: foreman in place of locating_hand`},
		{"unknown in a list", change(alder, "foreman, locating_hand", "forman, locating_hand"), `local/va-alder/overlay.yaml:14: "forman" is not one of locating_hand, drill_operator, foreman, safety_manager, crew; did you mean foreman?`},
		{"same in a list", change(alder, "foreman, locating_hand", "locating_hand, locating_hand"), `local/va-alder/overlay.yaml:14: "locating_hand, locating_hand" is not a list of words, each of them once`},
		{"no end", change(alder, "      until: \"2027-06-30\"\n", ""), `local/va-alder/overlay.yaml:10: "until" is missing here`},
		{"end as a moment", change(alder, "\"2027-06-30\"", "2027-06-30"), `local/va-alder/overlay.yaml:12: "2027-06-30" should be a text in quotes`},
		{"no such day", change(alder, "2027-06-30", "2027-06-31"), `local/va-alder/overlay.yaml:12: "2027-06-31" is not a date; write it like "2027-03-31"`},
		{"nobody approved", change(alder, "\"No metal for miles.\", es: \"Sin metal en millas.\"}\n      approved_by: \"county safety office\"", "\"No metal for miles.\", es: \"Sin metal en millas.\"}\n      approved_by: \"\""), `local/va-alder/overlay.yaml:11: this text is empty`},
		{"nine end dates", func(t testing.TB, m fstest.MapFS) {
			for i := range 9 {
				put(m, fmt.Sprintf("local/x%d/overlay.yaml", i), strings.NewReplacer("US-VA/alder", fmt.Sprintf("US-M%c", 'A'+i),
					"2027-06-30", fmt.Sprintf("2027-06-%02d", i+1), "32 ft", "22 ft", "2027-03-31", fmt.Sprintf("2027-06-%02d", i+1)).Replace(alderOverlay))
			}
		}, `local/x8/overlay.yaml:10: the local packs have more than 8 different end dates together`},
		{"no such state", change(alder, `"US-VA/alder"`, `"US-VB/alder"`), `local/va-alder/overlay.yaml:2: US-VB is no state that one_call.csv of the base has; did you mean US-VA/alder?`},
		{"two letters changed places", change(alder, `"US-VA/alder"`, `"US-AV/alder"`), `local/va-alder/overlay.yaml:2: US-AV is no state that one_call.csv of the base has; did you mean US-VA/alder?`},
		{"no state at all", change(alder, `"US-VA/alder"`, `"US-QQ"`), `local/va-alder/overlay.yaml:2: US-QQ is no state that one_call.csv of the base has`},
		{"curly quotes", change(alder, `"32 ft"`, `“32 ft”`), `local/va-alder/overlay.yaml:6: the quotes around “32 ft” are curly`},
		{"one text for two languages", change(alder, `{en: "Open ground.", es: "Terreno abierto."}`, `"Open ground."`), `local/va-alder/overlay.yaml:7: this should be one text for each language, en and es, and is a single one`},

		// Checks.
		{"waivable as text", change(va, "waivable: false", "waivable: no"), `local/va/overlay.yaml:11: "no" should be true or false, without quotes`},
		{"waivable again", change(va, "waivable: false", "waivable: true"), `local/va/overlay.yaml:10: the check ticket.serial may be waived already`},
		{"waivable where it is not", change(va, "  ticket.serial:\n    waivable: false", "  ground.metal:\n    waivable: true"), `local/va/overlay.yaml:10: the check ground.metal cannot be waived, so no local pack may switch it off or change that`},
		{"off where nobody may waive", change(alder, "crossing.seen", "ground.metal"), `local/va-alder/overlay.yaml:18: the check ground.metal cannot be waived, so no local pack may switch it off or change that`},
		{"off where the state says no", change(alder, "crossing.seen", "ticket.serial"), `local/va-alder/overlay.yaml:18: the check ticket.serial cannot be waived`},
		{"unknown check", change(alder, "crossing.seen", "crossing.sen"), `local/va-alder/overlay.yaml:18: there is no check crossing.sen in a wider pack; did you mean crossing.seen?`},
		{"off without relax", change(alder, `    relax:
      why: {en: "Nothing crosses here.", es: "Nada cruza aquí."}
      approved_by: "county safety office"
      until: "2027-03-31"
`, ""), `local/va-alder/overlay.yaml:18: a check is switched off only with relax: why, approved_by and until`},
		{"off: false", change(alder, "off: true", "off: false"), `local/va-alder/overlay.yaml:19: "off" can only be true; leave it out for a check that stays on`},
		{"off as text", change(alder, "off: true", "off: yes"), `local/va-alder/overlay.yaml:19: "yes" should be true or false, without quotes`},
		{"off and waivable", change(alder, "off: true", "off: true\n    waivable: false"), `local/va-alder/overlay.yaml:18: say one of`},
		{"off while others read it", func(_ testing.TB, m fstest.MapFS) {
			put(m, "base/crossing/again.rego", checkText("crossing.again", 320, "each: crossing", "", "pass if input.crossing.exposed == true\n"))
		}, `local/va-alder/overlay.yaml:18: the check crossing.seen cannot be switched off: it asks for exposed, which is read by crossing.again`},
		{"off while it guards", both(change("base/crossing/none.rego", "waivable: false", "waivable: true"), change(alder, "crossing.seen", "crossing.none")),
			`local/va-alder/overlay.yaml:18: the check crossing.none cannot be switched off: without it, a bore with no crossing would have nothing checked`},
		{"retired of the base", change(va, "checks:\n", "retired:\n- id: \"ground.metal\"\n  since: \"2026-01-01\"\n  why: {en: \"a\", es: \"b\"}\nchecks:\n"), `local/va/overlay.yaml: the check ground.metal belongs to base; only the pack that a check is in can retire it`},
		{"retired by the base", file1("base/retired.yaml", "retired:\n- id: \"ground.dry\"\n  since: \"2026-01-01\"\n  why: {en: \"a\", es: \"b\"}\n"), `local/va-alder/ground/dry.rego:1: the check ground.dry was retired by base; its name is never used again`},
		{"retired and there", file1("base/retired.yaml", "retired:\n- id: \"ground.metal\"\n  since: \"2026-01-01\"\n  why: {en: \"a\", es: \"b\"}\n"), `base/ground/metal.rego:1: the check ground.metal was retired by base`},
		{"retired twice", file1("base/retired.yaml", "retired:\n- id: \"ground.gone\"\n  since: \"2026-01-01\"\n  why: {en: \"a\", es: \"b\"}\n- id: \"ground.gone\"\n  since: \"2026-01-01\"\n  why: {en: \"a\", es: \"b\"}\n"), `base/retired.yaml:5: "ground.gone" stands here twice`},
		{"retired at a moment", file1("base/retired.yaml", "retired:\n- id: \"ground.gone\"\n  since: 2026-01-01\n  why: {en: \"a\", es: \"b\"}\n"), `base/retired.yaml:3: "2026-01-01" should be a text in quotes`},

		// The rules of a local pack.
		{"adds to a base package", change(dry, "package checks.va_alder.ground.dry", "package checks.base.ground.metal"), `local/va-alder/ground/dry.rego:33: the package is checks.base.ground.metal, but in this file it must be checks.va_alder.ground.dry`},
		{"adds to the state's package", change(dry, "package checks.va_alder.", "package checks.va."), `local/va-alder/ground/dry.rego:33: the package is checks.va.ground.dry`},
		{"id of the base", file1("local/va/ground/metal.rego", localCheck("va", "ground.metal", "pass if input.metal_distance > 0\n", "")), `local/va/ground/metal.rego:1: there is a check ground.metal in base already`},
		{"id of the state", file1("local/va-alder/ticket/compared.rego", localCheck("va_alder", "ticket.compared", "pass if input.compared == true\n", "")), `local/va-alder/ticket/compared.rego:1: there is a check ticket.compared in va already`},
		{"question of the base", change(dry, "- id: wet_depth", "- id: metal_distance"), `local/va-alder/ground/dry.rego:26: "metal_distance" is asked by ground.metal already; another check just reads it`},
		{"first in a group of the base", both(
			change("base/ground/metal.rego", "#     unit: \"ft\"\n", "#     unit: \"ft\"\n#     together: ground\n#     lead: {en: \"a\", es: \"b\"}\n"),
			change(dry, "#     min: \"0 ft\"", "#     together: ground\n#     min: \"0 ft\""), change(dry, "order: 600", "order: 60"),
		), `local/va-alder/ground/dry.rego:26: "wet_depth" is asked together with "metal_distance" of ground.metal, and before it, where the lead of "ground" belongs; give this check an order above 100`},
		{"limit of the base", change("local/va-alder/params.yaml", "  wet:", "  standoff:"), `local/va-alder/params.yaml: the limit ground.standoff is there in a wider pack already`},
		{"limit where rules read that of the base", change("local/va-alder/params.yaml", "  wet:\n    kind: length\n    value: \"2 in\"\n    stricter: lower", "  standoff_um:\n    kind: count\n    value: \"1\"\n    stricter: neither"), `local/va-alder/params.yaml:3: the name ground.standoff_um ends in the unit um; leave _um away`},
		{"limit of a narrower pack", change("local/va/ticket/compared.rego", "input.compared == true", "input.compared == true\n\npass if input.metal_distance > data.params.ground.wet_um"), `local/va/ticket/compared.rego:35: there is no limit data.params.ground.wet_um`},
		{"question of a narrower pack", change("local/va/ticket/compared.rego", "input.compared == true", "input.compared == true\n\npass if input.wet_depth > 2"), `local/va/ticket/compared.rego:35: there is no input.wet_depth`},
		{"blank line in METADATA", change(dry, "# custom:\n", "\n# custom:\n"), `local/va-alder/ground/dry.rego:7: the METADATA block is cut off here`},
		{"default", change(dry, rule, rule+"\ndefault pass := true\n"), `local/va-alder/ground/dry.rego:37: "default" is not allowed`},
		{"else", change(dry, rule, "pass if {\n\tinput.wet_depth < 1\n} else := true\n"), `local/va-alder/ground/dry.rego:37: "else" is not allowed`},
		{"dynamic read", change(dry, rule, "pass if {\n\tsome x in [\"wet_depth\"]\n\tinput[x] >= 3\n}\n"), `local/va-alder/ground/dry.rego:37: input[x] reads more than one value`},
		{"other check", change(dry, rule, "pass if data.checks.base.ground.metal.pass\n"), `local/va-alder/ground/dry.rego:35: a rule reads answers (input.…) and limits (data.params.…)`},
		{"function", change(dry, rule, "pass if time.now_ns() > input.wet_depth\n"), `local/va-alder/ground/dry.rego:35: time.now_ns is not a function that rules may use`},
		{"shift bomb", change(dry, rule, "pass if bits.lsh(1, 4000000000) > input.wet_depth\n"), `local/va-alder/ground/dry.rego:35: bits.lsh is not a function that rules may use`},
		{"replace bomb", change(dry, rule, "pass if count(replace(\"aaaa\", \"a\", \"aaaaaaaa\")) > input.wet_depth\n"), `local/va-alder/ground/dry.rego:35: replace is not a function that rules may use`},
		{"deep comprehension", change(dry, rule, deep), `local/va-alder/ground/dry.rego:35: loops stand in each other more than 3 deep`},
		{"test in another package", change("local/va/ticket/compared_test.rego", "package tests.va.", "package tests.base."), `local/va/ticket/compared_test.rego:1: this file must begin with package tests.va.ticket.compared`},
	} {
		t.Run(r.name, func(t *testing.T) {
			m := layered(t)
			r.edit(t, m)
			freshenLocal(m, "local/va-alder/")
			if r.name == "stale limits" || r.name == "limits without base units" {
				r.edit(t, m)
			}
			mustRefuse(t, m, r.say)
		})
	}
}

func mustRefuse(t *testing.T, fsys fs.FS, say string) {
	t.Helper()
	l, err := LayersIn(fsys)
	if err == nil {
		_, err = LoadBook(context.Background(), l, Options{})
	}
	e, ok := errors.AsType[*engine.Error](err)
	if !ok || e.Kind != engine.Rules {
		t.Fatalf("not refused: %v", err)
	}
	if !strings.HasPrefix(e.Say, say) || say == "" {
		t.Errorf("\nsays  %s\nwant  %s\ncause %v", e.Say, say, e.Err)
	}
}

// A book from a real folder: links that lead out of it, ten thousand files, and a
// file of 100 MB, of which no more than the first is read.
func TestRefusesOnDisk(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(root string) error
		say  string
	}{
		{"link out of the folder", func(root string) error {
			return os.Symlink("/etc/hostname", filepath.Join(root, "local/va/ticket/more.rego"))
		}, `local/va/ticket/more.rego: this is a link to another place`},
		{"link to a folder", func(root string) error { return os.Symlink("/etc", filepath.Join(root, "base/etc")) }, `base/etc: this is a link to another place`},
		{"pack that is a link", func(root string) error { return os.Symlink("va", filepath.Join(root, "local/md")) }, `local/md: this is a link to another place`},
		{"10,000 files in the base", func(root string) error {
			dir := filepath.Join(root, "base/many")
			err := os.Mkdir(dir, 0o755)
			for i := 0; i < 10_000 && err == nil; i++ {
				err = os.WriteFile(filepath.Join(dir, fmt.Sprintf("c%d.rego", i)), nil, 0o644)
			}
			return err
		}, `base: the pack has more than 2000 files`},
		{"100 MB in the base", func(root string) error {
			return os.Truncate(filepath.Join(root, "base/ground/metal.rego"), 100_000_000)
		}, `base/ground/metal.rego: this file is larger than 1 MiB`},
		{"10,000 files", func(root string) error {
			dir := filepath.Join(root, "local/va/many")
			err := os.Mkdir(dir, 0o755)
			for i := 0; i < 10_000 && err == nil; i++ {
				err = os.WriteFile(filepath.Join(dir, fmt.Sprintf("c%d.rego", i)), nil, 0o644)
			}
			return err
		}, `local/va: the pack has more than 2000 files`},
		{"100 MB", func(root string) error {
			path := filepath.Join(root, "local/va/ticket/large.rego")
			if err := os.WriteFile(path, nil, 0o644); err != nil {
				return err
			}
			return os.Truncate(path, 100_000_000)
		}, `local/va/ticket/large.rego: this file is larger than 1 MiB`},
	} {
		t.Run(c.name, func(t *testing.T) {
			root := t.TempDir()
			if err := os.CopyFS(root, layered(t)); err != nil {
				t.Fatal(err)
			}
			if _, err := LoadBook(context.Background(), onDisk(t, root), Options{}); err != nil {
				t.Fatal(err)
			}
			if err := c.edit(root); err != nil {
				t.Fatal(err)
			}
			mustRefuse(t, os.DirFS(root), c.say)
		})
	}
}

func onDisk(t *testing.T, root string) Layers {
	t.Helper()
	l, err := LayersIn(os.DirFS(root))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestRefusesTables(t *testing.T) {
	const at = "base/one_call.csv"
	for _, r := range []refusal{
		{"no version", change(at, "# version 2026-11-25\n", ""), `base/one_call.csv:1: the table begins with its version, as in: # version 2026-11-25`},
		{"no such day", change(at, "2026-11-25", "2026-11-31"), `base/one_call.csv:1: "2026-11-31" is not a date`},
		{"columns", change(at, "half_line", "half"), `base/one_call.csv:2: the columns are state,inches,half_line,status,source`},
		{"too few", change(at, "VA,24,no,confirmed,made up for a test", "VA,24,no,confirmed"), `base/one_call.csv:3: a row has 5 columns, and this one has 4`},
		{"state", change(at, "VA,24", "Va,24"), `base/one_call.csv:3: "Va" is not a state; write its two letters, as in VA`},
		{"twice", change(at, "HI,,no,unknown", "VA,,no,unknown"), `base/one_call.csv:5: the state VA stands here twice`},
		{"not a width", change(at, "VA,24", "VA,2 ft"), `base/one_call.csv:3: "2 ft" is not a width in inches`},
		{"no width", change(at, "VA,24", "VA,"), `base/one_call.csv:3: the width "" does not go with the status "confirmed"`},
		{"two widths", change(at, "VA,24", "VA,18 or 24"), `base/one_call.csv:3: the width "18 or 24" does not go with the status "confirmed"`},
		{"status", change(at, "VA,24,no,confirmed,", "VA,24,no,confirmd,"), `base/one_call.csv:3: "confirmd" is not one of confirmed`},
		{"half", change(at, "VA,24,no", "VA,24,true"), `base/one_call.csv:3: half_line is yes or no, and not "true"`},
		{"source", change(at, "VA,24,no,confirmed,made up for a test", "VA,24,no,confirmed, "), `base/one_call.csv:3: a row must say where it comes from`},
		{"source that is not seen", change(at, "VA,24,no,confirmed,made up", "VA,24,no,confirmed,made\x1b[2J up"), `base/one_call.csv:3: the source has a character in it that is not seen; write it anew without`},
		{"not a table", change(at, "VA,24", "\"VA,24"), `base/one_call.csv: this is not a table with commas between its columns`},
		{"wider than the base", change(at, "VA,24", "VA,49"), `base/one_call.csv:3: 49 in is more than the limit crossings.tolerance_zone of the base, which holds where nobody knows`},
		{"no such limit", func(t testing.TB, m fstest.MapFS) {
			swap(t, m, "base/params.yaml", "tolerance_zone:", "zone:")
			b, _ := ParamsJSON(m["base/params.yaml"].Data)
			put(m, "base/params.json", string(b))
		}, `base/one_call.csv: this table sets the limit crossings.tolerance_zone, and there is no such limit`},
	} {
		t.Run(r.name, func(t *testing.T) {
			m := layered(t)
			r.edit(t, m)
			mustRefuse(t, m, r.say)
		})
	}
}
