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
