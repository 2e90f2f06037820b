package rules

import (
	"strings"
	"testing"
	"testing/fstest"
)

// A base of somebody's own may be stricter; it is no way round what local packs must
// say to loosen something.
func TestWeaker(t *testing.T) {
	const p = "params.yaml"
	for _, c := range []struct {
		name string
		edit func(testing.TB, fstest.MapFS)
		say  string // "" where it may be so
	}{
		{"the same", func(testing.TB, fstest.MapFS) {}, ""},
		{"other words", change(metal, "The stop.", "Other words."), ""},
		{"stricter limit", change(p, `"30 ft"`, `"35 ft"`), ""},
		{"another check", file1("ground/more.rego", checkText("ground.more", 910, "", "", "pass if input.metal_distance > 0\n")), ""},
		{"looser limit", change(p, `"30 ft"`, `"29 ft"`), `params.yaml: ground.standoff is less strict than in the base inside this program`},
		{"the other way called stricter", change(p, "value: \"30 ft\"\n    stricter: higher", "value: \"1 ft\"\n    stricter: lower"), `params.yaml: ground.standoff is less strict`},
		{"free to loosen", change(p, "value: \"30 ft\"\n    stricter: higher", "value: \"30 ft\"\n    stricter: lower"), `params.yaml: ground.standoff may be loosened more easily`},
		{"not fixed any more", change(p, "fixed: true", "fixed: false"), `params.yaml: gear.charge may be loosened more easily`},
		{"another rule", change(metal, "input.metal_distance >=", "input.metal_distance >= 0 *"), `ground/metal.rego: the rule of ground.metal is another than in the base inside this program`},
		{"one more way to pass", change(metal, "pass if", "pass if input.metal_distance > 0\n\npass if"), `ground/metal.rego: the rule of ground.metal is another`},
		{"an exemption", change(metal, "pass if", "exempt if input.metal_distance > 0\n\npass if"), `ground/metal.rego: the rule of ground.metal is another`},
		{"may be waived", change(metal, "waivable: false", "waivable: true"), `ground/metal.rego: ground.metal, may be waived: was "no", is now "yes", which is less strict`},
		{"later gate", change(metal, "gate: release", "gate: close"), `ground/metal.rego: ground.metal, gate:`},
		{"wider question", change(metal, `max: "2000 ft"`, `max: "3000 ft"`), `ground/metal.rego: ground.metal, question metal_distance: largest answer:`},
		{"another unit", change(metal, `unit: "ft"`, `unit: "m"`), `ground/metal.rego: ground.metal, question metal_distance: unit is another`},
		{"offered again", change(metal, `unit: "ft"`, "unit: \"ft\"\n#     carry: \"place\""), `ground/metal.rego: ground.metal, question metal_distance: offered again from an earlier is another`},
		{"voids something else", change(metal, `unit: "ft"`, "unit: \"ft\"\n#     means: \"gear_change\""), `ground/metal.rego: ground.metal, question metal_distance: a new answer counts as is another`},
	} {
		m := fixture()
		c.edit(t, m)
		freshen(m)
		err := Weaker(load(t, fixture()), load(t, m))
		switch {
		case c.say == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.say != "" && (err == nil || !strings.Contains(err.Error(), c.say)):
			t.Errorf("%s: %v, want %s", c.name, err, c.say)
		}
	}
}

// The table of states is as much a limit as any.
func TestWeakerCalls(t *testing.T) {
	const csv = "base/one_call.csv"
	for _, c := range []struct {
		name string
		edit func(testing.TB, fstest.MapFS)
		say  string
	}{
		{"the same", func(testing.TB, fstest.MapFS) {}, ""},
		{"wider", change(csv, "VA,24", "VA,36"), ""},
		{"narrower", change(csv, "VA,24", "VA,6"), "base/one_call.csv: US-VA has not the width"},
		{"surer", change(csv, "AL,18,no,memory", "AL,18,no,confirmed"), "US-AL has not the width, or not the standing"},
		{"half a line less", change(csv, "IN,24,yes", "IN,24,no"), "US-IN has not"},
		{"settled", change(csv, "GA,18 or 24,no,conflict", "GA,18,no,confirmed"), "US-GA has not"},
		{"missing", change(csv, "VA,24,no,confirmed,made up for a test\n", ""), "US-VA has not"},
	} {
		floor, own := layered(t), layered(t)
		c.edit(t, own)
		err := WeakerCalls(t.Context(), layersOf(t, floor).Base, layersOf(t, own).Base)
		switch {
		case c.say == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.say != "" && (err == nil || !strings.Contains(err.Error(), c.say)):
			t.Errorf("%s: %v, want %s", c.name, err, c.say)
		}
	}
}

// A pack that calls the wrong way stricter would let a narrower one loosen it freely.
func TestWayward(t *testing.T) {
	rule := "pass if input.wet_depth <= data.params.ground.wet_um\n"
	for _, c := range []struct {
		name string
		edit func(testing.TB, fstest.MapFS)
		bad  bool
	}{
		{"right", func(testing.TB, fstest.MapFS) {}, false},
		{"the word turned round", change("local/va-alder/params.yaml", "stricter: lower", "stricter: higher"), true},
		{"the sign turned round", change(dry, rule, "pass if input.wet_depth >= data.params.ground.wet_um\n"), true},
		{"a limit of another check", change(dry, rule, rule+"\npass if input.metal_distance < data.params.ground.standoff_um\n"), true},
	} {
		m := layered(t)
		c.edit(t, m)
		freshenLocal(m, "local/va-alder/")
		err := Wayward(t.Context(), layersOf(t, m))
		if (err != nil) != c.bad || c.bad && !strings.Contains(err.Error(), "local/va-alder/ground/dry.rego:1: made stricter, which for ground.") {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if err := Wayward(t.Context(), realLayers(t)); err != nil {
		t.Errorf("the packs inside this program: %v", err)
	}
}
