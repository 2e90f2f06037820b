package rules

import (
	"context"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

func TestCatalogue(t *testing.T) {
	s := load(t, fixture())
	cat := s.Catalogue()
	var order []string
	for _, c := range cat.Checks {
		order = append(order, c.ID)
	}
	want := []string{"ground.metal", "ground.lines", "gear.frequencies", "gear.noise", "gear.battery",
		"crossing.none", "crossing.seen", "signoff.two", "ticket.serial"}
	if !slices.Equal(order, want) {
		t.Errorf("order %v", order)
	}
	lines, _ := cat.Check("ground.lines")
	if !slices.Equal(lines.ExemptReads, []string{"lines_near"}) || !slices.Equal(lines.PassReads, []string{"lines_near", "lines_seen"}) {
		t.Errorf("reads %v %v", lines.ExemptReads, lines.PassReads)
	}
	battery, _ := cat.Check("gear.battery")
	if !slices.Equal(battery.PassReads, []string{"charge_a", "charge_b"}) || !slices.Equal(battery.Params, []string{"gear.charge_ppm", "trial.full_ppm"}) {
		t.Errorf("a helper's reads are lost: %v %v", battery.PassReads, battery.Params)
	}
	metal, _ := cat.Check("ground.metal")
	a := metal.Asks[0]
	if a.Kind != quantity.Length || a.Min.Base() != 0 || a.Max.Base() != 2000*304800 || a.Unit != "ft" || a.Check != "ground.metal" {
		t.Errorf("ask %+v", a)
	}
	if metal.Title["es"] != "Título" || metal.Stop.In("es") != "El stop." || metal.Sources[0].Status != "chosen" ||
		metal.Gate != engine.GateRelease || metal.Layer != "base" || metal.Area != "ground" {
		t.Errorf("check %+v", metal)
	}
	noise, _ := cat.Check("gear.noise")
	if noise.Each != engine.PerFrequency || noise.Asks[0].Scope != engine.PerFrequency || noise.PassReads[0] != "frequency.background" {
		t.Errorf("check %+v", noise)
	}
}

func TestAskInFull(t *testing.T) {
	m := fixture()
	swap(t, m, metal, "#     unit: \"ft\"\n", `#     unit: "ft"
#     outside: ask
#     together: metal
#     lead: {en: "Metal:", es: "Metal:"}
#     carry: place
#     good_for: "12 h"
#     redo_after: ["gear_change", "hold"]
#     means: interference
#     who: ["locating_hand"]
`)
	c, _ := load(t, m).Catalogue().Check("ground.metal")
	a := c.Asks[0]
	if !a.Soft || a.Together != "metal" || a.Lead["es"] != "Metal:" || a.Carry != "place" || a.GoodFor != 12*time.Hour ||
		!slices.Equal(a.RedoAfter, []string{"gear_change", "hold"}) || a.Means != "interference" || !slices.Equal(a.Who, []string{"locating_hand"}) {
		t.Errorf("%+v", a)
	}
}

// What fills a place in a text: computed values and limits without the suffix
// of their unit, answers under their own name, even if it ends like a unit.
func TestPlaces(t *testing.T) {
	m := fixture()
	put(m, "ticket/dates.rego", strings.Replace(checkText("ticket.dates", 1, "", askText("first_day", "date", ""),
		"pass if input.first_day <= input.clock.today\n"), "The stop.", "{first_day} {params.ground.standoff} {derived.pitch_bias}", 1))
	put(m, "gear/own.rego", strings.Replace(checkText("gear.own", 1, "each: frequency", "",
		"pass if input.frequency.background < 0\n"), "The stop.", "{frequency} {frequency.background} {frequency.derived.near_error} {metal_distance}", 1))
	load(t, m)
}

func TestParams(t *testing.T) {
	b, err := ParamsJSON([]byte(fixtureParams))
	if err != nil {
		t.Fatal(err)
	}
	// 30 ft of 304.8 mm (NIST Special Publication 811, appendix B), 20 % in ppm, and so on.
	const want = `{
  "params": {
    "gear": {
      "charge_ppm": 200000
    },
    "ground": {
      "standoff_um": 9144000
    },
    "trial": {
      "days": 14,
      "full_ppm": 1000000,
      "high_hz": 12000,
      "inch_um": 25400,
      "low_hz": 8000,
      "quiet_mdb": -50000,
      "shift_s": 43200
    }
  }
}
`
	if string(b) != want {
		t.Errorf("got %s", b)
	}
	p, ok := load(t, fixture()).Catalogue().Param("ground.standoff_um")
	if !ok || p.Name != "ground.standoff" || p.Stricter != "higher" || p.Fixed || p.Reason["es"] == "" || p.Value.Base() != 9144000 {
		t.Errorf("%+v", p)
	}
}

func TestIDs(t *testing.T) {
	ids, err := IDs(fixture())
	if err != nil || len(ids) != 9 || !slices.IsSorted(ids) || !slices.Contains(ids, "ground.metal") {
		t.Errorf("%v %v", ids, err)
	}
	for _, id := range ids {
		m := fixture()
		delete(m, strings.Replace(id, ".", "/", 1)+".rego")
		_, err := Load(context.Background(), m, Options{Pinned: ids})
		if err == nil {
			t.Errorf("loaded without %s", id)
		}
	}
}

func TestRevisionAndDigest(t *testing.T) {
	first, again := load(t, fixture()).Catalogue(), load(t, fixture()).Catalogue()
	if first.Revision != again.Revision || string(first.Packs) != string(again.Packs) {
		t.Error("the same files give another revision")
	}
	digests := func(c *engine.Catalogue) map[string]string {
		m := map[string]string{}
		for _, ch := range c.Checks {
			m[ch.ID] = ch.Digest
		}
		return m
	}
	for _, c := range []struct {
		name    string
		edit    func(testing.TB, fstest.MapFS)
		changed []string
	}{
		{"a text", change(metal, "The why.", "Another why."), nil},
		{"spaces", change(metal, "input.metal_distance >=", "input.metal_distance  >="), nil},
		{"an operator", change(metal, "input.metal_distance >=", "input.metal_distance >"), []string{"ground.metal"}},
		{"a helper", change("gear/battery.rego", "min([", "max(["), []string{"gear.battery"}},
		{"a limit", change("params.yaml", "30 ft", "31 ft"), []string{"ground.metal"}},
		{"a reason", change("params.yaml", "    fixed: true", "    fixed: false"), nil},
		{"a new check", func(_ testing.TB, m fstest.MapFS) {
			put(m, "ground/again.rego", checkText("ground.again", 101, "", "", "pass if input.metal_distance > 0\n"))
		}, []string{"ground.again"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := fixture()
			c.edit(t, m)
			freshen(m)
			next := load(t, m).Catalogue()
			if next.Revision == first.Revision {
				t.Error("the revision is the same")
			}
			var changed []string
			old := digests(first)
			for id, d := range digests(next) {
				if old[id] != d {
					changed = append(changed, id)
				}
			}
			if !slices.Equal(changed, c.changed) {
				t.Errorf("changed %v, want %v", changed, c.changed)
			}
		})
	}
}

func TestOpenGivesTheSameRevision(t *testing.T) {
	s := load(t, fixture())
	fsys, err := Open(s.Catalogue().Packs)
	if err != nil {
		t.Fatal(err)
	}
	if again := load(t, fsys); again.Catalogue().Revision != s.Catalogue().Revision {
		t.Error("another revision")
	}
	for path, f := range fixture() {
		if b, err := fs.ReadFile(fsys, path); err != nil || string(b) != string(f.Data) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := Open([]byte("nothing")); engine.KindOf(err) != engine.Rules {
		t.Errorf("got %v", err)
	}
}

func TestCapabilities(t *testing.T) {
	caps := capabilities()
	if len(caps.Builtins) != len(functions()) {
		t.Errorf("%d functions of %d are there", len(caps.Builtins), len(functions()))
	}
	if len(caps.FutureKeywords) != 0 || !slices.Equal(caps.Features, []string{"rego_v1"}) || caps.AllowNet == nil {
		t.Errorf("%+v", caps)
	}
	for _, b := range ast.Builtins {
		if b.Nondeterministic && slices.Contains(functions(), b.Name) {
			t.Errorf("%s does not give the same twice", b.Name)
		}
	}
	if !slices.IsSorted(functions()) {
		t.Error("not sorted")
	}
}

// The schemas alone, without the house lint, refuse a typo and a wrong type
// too, whatever the file says in its METADATA.
func TestSchemasStandByThemselves(t *testing.T) {
	out := &faults{}
	input, limits := newTable(nil, readLimits(paramsYAML, []byte(fixtureParams), out).all, nil, out).schemas()
	for text, refused := range map[string]bool{
		"input.clock.now > 0":                              false,
		"input.clock.noww > 0":                             true,
		"input.clock.now == \"now\"":                       true,
		"input.frequency.hz > data.params.gear.charge_ppm": false,
		"data.params.gear.charg_ppm > 0":                   true,
		"data.params.gear.charge_ppm == \"a lot\"":         true,
		"startswith(data.params.gear.charge_ppm, \"2\")":   true,
	} {
		f := file{"p.rego", []byte("# METADATA\n# schemas:\n# - input: {}\n# - data.params: {}\npackage p\n\npass if " + text + "\n")}
		m, ok := parse(f, capabilities(), out)
		if !ok {
			t.Fatal(out.err())
		}
		if c := compile(map[string]*ast.Module{"p.rego": m}, capabilities(), input, limits); c.Failed() != refused {
			t.Errorf("%s: %v", text, c.Errors)
		}
	}
}
