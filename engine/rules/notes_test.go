package rules

import (
	"slices"
	"testing"
)

// What is more often a slip than meant is noted, and nothing else.
func TestNotes(t *testing.T) {
	const (
		several = `ground/metal.rego:38: there is more than one pass rule, and one of them is enough; where all must hold, write the conditions into one rule`
		any     = `: this holds as soon as one of input.frequencies does; where all must, write every`
		never   = `ground/metal.rego: no made-up answer around its limits makes this check fail; look whether a sign is the wrong way round or a condition is missing`
	)
	for _, c := range []struct {
		name, body string
		want       []string
	}{
		{"one rule", "pass if input.metal_distance >= data.params.ground.standoff_um\n", nil},
		{"two rules", "pass if input.metal_distance >= data.params.ground.standoff_um\n\npass if input.charge_a >= data.params.gear.charge_ppm\n", []string{several}},
		{"three rules", "pass if input.metal_distance >= data.params.ground.standoff_um\n\npass if input.charge_a >= data.params.gear.charge_ppm\n\npass if input.lines_near\n", []string{several}},
		{"two sides of a limit", "pass if {\n\tinput.metal_distance >= data.params.ground.standoff_um\n\tinput.lines_near == true\n}\n\npass if {\n\tinput.metal_distance < data.params.ground.standoff_um\n\tinput.lines_near == false\n}\n", nil},
		{"both sides of a limit", "pass if input.metal_distance >= data.params.ground.standoff_um\n\npass if input.metal_distance < data.params.ground.standoff_um\n", []string{never}},
		{"limit in both", "pass if {\n\tinput.metal_distance >= data.params.ground.standoff_um\n\tinput.lines_near\n}\n\npass if {\n\tinput.metal_distance <= data.params.ground.standoff_um\n\tinput.lines_near == false\n}\n", nil},
		{"two options", "pass if {\n\tinput.lines_seen == \"exposed\"\n\tinput.metal_distance > 0\n}\n\npass if {\n\tinput.lines_seen == \"guessed\"\n\tinput.lines_near == false\n}\n", nil},
		{"yes or no, both listed", "pass if input.lines_near == true\n\npass if input.lines_near == false\n", nil},
		{"any reading", "pass if {\n\tsome f in input.frequencies\n\tf > data.params.trial.low_hz\n}\n", []string{"ground/metal.rego:37" + any}},
		{"any reading, by its place", "pass if input.frequencies[_] > data.params.trial.low_hz\n", []string{"ground/metal.rego:36" + any}},
		{"one reading", "pass if input.frequencies[0] > data.params.trial.low_hz\n", nil},
		{"every reading", "pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f > data.params.trial.low_hz }\n}\n", nil},
		{"readings counted", "pass if count([f | some f in input.frequencies; f > data.params.trial.low_hz]) > 1\n", nil},
		{"name in a list", "pass if {\n\tsome c in input.crossings\n\tc == \"Gas\"\n}\n", nil},
		{"answer is there", "pass if is_number(input.metal_distance)\n", nil},
		{"never below", "pass if input.metal_distance >= -1 * data.params.ground.standoff_um\n", []string{never}},
		{"wide enough for all", "pass if abs(input.metal_distance) >= 0\n", []string{never}},
		{"far in both", "pass if input.metal_distance + data.params.ground.standoff_um >= data.params.ground.standoff_um\n", []string{never}},
		{"exempt for all", "exempt if input.metal_distance <= data.params.ground.standoff_um\n\npass if input.metal_distance >= data.params.ground.standoff_um\n", []string{never}},
		{"serial", "pass if input.serial_a == input.serial_b\n", nil},
		{"close to a limit", "pass if input.metal_distance != data.params.ground.standoff_um\n", nil},
		{"one option of many", "pass if input.lines_seen != \"guessed\"\n", nil},
		{"never counted", "pass if input.drilling.holds >= 0\n", []string{never}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := fixture()
			body(c.body)(t, m)
			put(m, "ground/reads.rego", checkText("ground.reads", 105, "", "", "pass if input.metal_distance > 0\n"))
			if got := load(t, m).Notes(); !slices.Equal(got, c.want) {
				t.Errorf("\ngot  %q\nwant %q", got, c.want)
			}
		})
	}
}
