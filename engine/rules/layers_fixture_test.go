package rules

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine/quantity"
)

const fixtureOverlay = `title: {en: "Virginia", es: "Virginia"}
holds: "US-VA"
on_publish: "keep"
limits:
  ground.standoff:
    value: "35 ft"
    reason: {en: "Stricter here.", es: "Más estricto aquí."}
    source: {name: "made up for a test", status: "chosen"}
checks:
  ticket.serial:
    waivable: false
`

const alderOverlay = `title: {en: "Alder", es: "Alder"}
holds: "US-VA/alder"
on_publish: "recheck"
limits:
  ground.standoff:
    value: "32 ft"
    reason: {en: "Open ground.", es: "Terreno abierto."}
    source: {name: "made up for a test", status: "chosen"}
    relax:
      why: {en: "No metal for miles.", es: "Sin metal en millas."}
      approved_by: "county safety office"
      until: "2027-06-30"
  signoff.roles_needed:
    value: "foreman, locating_hand"
    reason: {en: "The county wants it.", es: "El condado lo quiere."}
    source: {name: "made up for a test", status: "chosen"}
checks:
  crossing.seen:
    off: true
    relax:
      why: {en: "Nothing crosses here.", es: "Nada cruza aquí."}
      approved_by: "county safety office"
      until: "2027-03-31"
`

const fixtureCalls = `# version 2026-11-25
state,inches,half_line,status,source
VA,24,no,confirmed,made up for a test
GA,18 or 24,no,conflict,made up for a test
HI,,no,unknown,made up for a test
AL,18,no,memory,made up for a test
IN,24,yes,confirmed-secondary,made up for a test
`

const rolesNeeded = `  roles_needed:
    kind: names
    of: roles
    value: "locating_hand"
    stricter: superset
    source: {name: "chosen for a test", status: "chosen"}
    reason: {en: "Because.", es: "Porque sí."}
`

// layered is the fixture with a state and a county laid over it, as one folder.
func layered(t testing.TB) fstest.MapFS {
	t.Helper()
	base := fixture()
	base["params.yaml"] = &fstest.MapFile{Data: []byte(fixtureParams + `signoff:
` + rolesNeeded + `crossings:
  tolerance_zone:
    kind: length
    value: "48 in"
    stricter: higher
    source: {name: "chosen for a test", status: "chosen"}
    reason: {en: "Because.", es: "Porque sí."}
`)}
	put(base, "one_call.csv", fixtureCalls)
	for _, path := range []string{"crossing/seen.rego", "ticket/serial.rego"} {
		swap(t, base, path, "waivable: false", "waivable: true")
	}
	put(base, "signoff/roles.rego", checkText("signoff.roles", 410, "", "", `pass if {
	count(data.params.signoff.roles_needed) > 0
	every role in data.params.signoff.roles_needed { role in _signed }
}

_signed := [role | some role in ["locating_hand", "foreman"]; input.signing.people > 1]
`))
	freshen(base)
	m := fstest.MapFS{}
	for path, f := range base {
		m["base/"+path] = f
	}
	put(m, "local/va/overlay.yaml", fixtureOverlay)
	put(m, "local/va/ticket/compared.rego", localCheck("va", "ticket.compared", "pass if input.compared == true\n", askText("compared", "yesno", "")))
	put(m, "local/va/ticket/compared_test.rego", `package tests.va.ticket.compared

import data.checks.va.ticket.compared

test_pass if compared.pass with input as {"compared": true}

test_stop if not compared.pass with input as {"compared": false}

test_unknown if not compared.pass with input as {}

test_text if not compared.pass with input as {"compared": "yes"}
`)
	put(m, "local/va-alder/overlay.yaml", alderOverlay)
	put(m, "local/va-alder/ground/dry.rego", localCheck("va_alder", "ground.dry",
		"pass if input.wet_depth <= data.params.ground.wet_um\n", askText("wet_depth", "length", "min: \"0 ft\"\nmax: \"9 ft\"")))
	put(m, "local/va-alder/params.yaml", `ground:
  wet:
    kind: length
    value: "2 in"
    stricter: lower
    source: {name: "chosen for a test", status: "chosen"}
    reason: {en: "Because.", es: "Porque sí."}
`)
	freshenLocal(m, "local/va-alder/")
	return m
}

func freshenLocal(m fstest.MapFS, dir string) {
	if f, ok := m[dir+"params.yaml"]; ok {
		if b, err := ParamsJSON(f.Data); err == nil {
			m[dir+"params.json"] = &fstest.MapFile{Data: b}
		}
	}
}

// localCheck is a check in the package of a local pack.
func localCheck(pkg, id, body, asks string) string {
	return strings.Replace(checkText(id, 600, "", asks, body), "package checks.base.", "package checks."+pkg+".", 1)
}

func layersOf(t testing.TB, m fstest.MapFS) Layers {
	t.Helper()
	l, err := LayersIn(m)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func book(t testing.TB, m fstest.MapFS) *Book {
	t.Helper()
	b, err := LoadBook(context.Background(), layersOf(t, m), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// day is a date in days since 1970-01-01.
func day(t testing.TB, date string) int64 {
	t.Helper()
	v, err := quantity.ParseHuman(quantity.Date, date)
	if err != nil {
		t.Fatal(err)
	}
	return v.Base()
}

func limitOf(t testing.TB, s *Set, path string) string {
	t.Helper()
	p, ok := s.Catalogue().Param(path)
	if !ok {
		t.Fatalf("no limit %s", path)
	}
	if items := p.Value.Items(); items != nil {
		return strings.Join(items, " ")
	}
	return p.Value.Exact()
}
