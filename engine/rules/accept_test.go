package rules

import (
	"context"
	"testing"

	"firstrod/engine"
)

// What an author may well write loads, and judges as it reads.
func TestAccepts(t *testing.T) {
	facts := known{
		"metal_distance": int64(6), "frequencies": []int64{8000, 12000}, "crossings": []string{"Gas", "Water"},
		"serial_a": "AB12", "lines_near": true, "charge_a": int64(-3),
	}
	for _, c := range []struct {
		name, body string
		want       engine.Status
	}{
		{"arithmetic", "pass if abs(input.charge_a) * 2 + 1 - 1 >= input.metal_distance\n", engine.Pass},
		{"arithmetic, below", "pass if abs(input.charge_a) * 2 - 1 >= input.metal_distance\n", engine.Fail},
		{"name", "pass if {\n\ttwice := input.metal_distance * 2\n\ttwice == 12\n}\n", engine.Pass},
		{"helper", "_twice := input.metal_distance * 2\n\npass if _twice > 11\n", engine.Pass},
		{"helper with an argument", "_twice(x) := x * 2\n\npass if _twice(input.metal_distance) > 11\n", engine.Pass},
		{"helper that holds", "_far if input.metal_distance > 5\n\npass if _far\n", engine.Pass},
		{"helper with an argument that holds", "_named(x) if startswith(x, \"AB\")\n\npass if _named(input.serial_a)\n", engine.Pass},
		{"yes or no by itself", "pass if input.lines_near\n", engine.Pass},
		{"yes or no under a name", "pass if {\n\tnear := input.lines_near\n\tnear\n}\n", engine.Pass},
		{"comparison under a name", "pass if {\n\tfar := input.metal_distance > 5\n\tfar\n}\n", engine.Pass},
		{"smallest", "pass if min([input.metal_distance, 9]) < 7\n", engine.Pass},
		{"largest of a list", "pass if max(input.frequencies) <= 12000\n", engine.Pass},
		{"every", "pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f >= 8000 }\n}\n", engine.Pass},
		{"every, one not", "pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f > 8000 }\n}\n", engine.Fail},
		{"some", "pass if {\n\tsome f in input.frequencies\n\tf > 8000\n}\n", engine.Pass},
		{"some with its place", "pass if {\n\tsome i, f in input.frequencies\n\ti > 0\n\tf > 8000\n}\n", engine.Pass},
		{"element", "pass if input.frequencies[1] > input.frequencies[0]\n", engine.Pass},
		{"list in a list", "pass if count([f | some f in input.frequencies; f > 8000]) == 1\n", engine.Pass},
		{"text in a list", "pass if \"Gas\" in input.crossings\n", engine.Pass},
		{"text", "pass if startswith(lower(trim_space(input.serial_a)), \"ab\")\n", engine.Pass},
		{"two bodies", "pass if input.metal_distance > 100\n\npass if input.lines_near == true\n", engine.Pass},
		{"unequal", "pass if input.serial_a != \"AB13\"\n", engine.Pass},
		{"limit", "pass if input.metal_distance < data.params.ground.standoff_um\n", engine.Pass},
		{"limit by itself", "pass if {\n\tdata.params.ground.standoff_um == 9144000\n\tinput.metal_distance == 6\n}\n", engine.Pass},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := fixture()
			put(m, "ticket/trial.rego", checkText("ticket.trial", 900, "", "", c.body))
			s := load(t, m)
			ts := []engine.Target{target(t, s, "ticket.trial")}
			for _, f := range append(s.Evaluate(context.Background(), ts, facts.of), s.Confirm(context.Background(), ts, facts.of)...) {
				if f.Status != c.want {
					t.Errorf("%+v, want %s", f, c.want)
				}
			}
		})
	}
}
