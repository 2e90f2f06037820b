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
		"serial_a": "AB12", "lines_near": true, "lines_seen": "guessed",
		"drilling.holds": int64(6), "drilling.hard_impact": int64(-3),
		"clock.now": int64(1_800_000_000), "clock.verified": int64(1_800_000_000 - 3600), "clock.today": int64(20_000),
	}
	for _, c := range []struct {
		name, body string
		want       engine.Status
	}{
		{"arithmetic", "pass if abs(input.drilling.hard_impact) * 2 + 1 - 1 >= input.drilling.holds\n", engine.Pass},
		{"arithmetic, below", "pass if abs(input.drilling.hard_impact) * 2 - 1 >= input.drilling.holds\n", engine.Fail},
		{"name", "pass if {\n\ttwice := input.drilling.holds * 2\n\ttwice == 12\n}\n", engine.Pass},
		{"helper", "_twice := input.drilling.holds * 2\n\npass if _twice > 11\n", engine.Pass},
		{"helper with an argument", "_twice(x) := x * 2\n\npass if _twice(input.drilling.holds) > 11\n", engine.Pass},
		{"helper that holds", "_far if input.drilling.holds > 5\n\npass if _far\n", engine.Pass},
		{"helper with an argument that holds", "_named(x) if startswith(x, \"AB\")\n\npass if _named(input.serial_a)\n", engine.Pass},
		{"yes or no by itself", "pass if input.lines_near\n", engine.Pass},
		{"yes or no under a name", "pass if {\n\tnear := input.lines_near\n\tnear\n}\n", engine.Pass},
		{"comparison under a name", "pass if {\n\tfar := input.drilling.holds > 5\n\tfar\n}\n", engine.Pass},
		{"percent of a value", "pass if 1000000 * input.metal_distance >= data.params.gear.charge_ppm * data.params.ground.standoff_um\n", engine.Fail},
		{"square", "pass if input.metal_distance * input.metal_distance < data.params.ground.standoff_um * data.params.ground.standoff_um\n", engine.Pass},
		{"smallest", "pass if min([input.drilling.holds, 9]) < 7\n", engine.Pass},
		{"largest of a list", "pass if max(input.frequencies) <= data.params.trial.high_hz\n", engine.Pass},
		{"every", "pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f >= data.params.trial.low_hz }\n}\n", engine.Pass},
		{"every, one not", "pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f > data.params.trial.low_hz }\n}\n", engine.Fail},
		{"some", "pass if {\n\tsome f in input.frequencies\n\tf > data.params.trial.low_hz\n}\n", engine.Pass},
		{"some with its place", "pass if {\n\tsome i, f in input.frequencies\n\ti > 0\n\tf > data.params.trial.low_hz\n}\n", engine.Pass},
		{"element", "pass if input.frequencies[1] > input.frequencies[0]\n", engine.Pass},
		{"list in a list", "pass if count([f | some f in input.frequencies; f > data.params.trial.low_hz]) == 1\n", engine.Pass},
		{"text in a list", "pass if \"Gas\" in input.crossings\n", engine.Pass},
		{"text", "pass if startswith(lower(trim_space(input.serial_a)), \"ab\")\n", engine.Pass},
		{"two bodies", "pass if input.drilling.holds > 100\n\npass if input.lines_near == true\n", engine.Pass},
		{"unequal", "pass if input.serial_a != \"AB13\"\n", engine.Pass},
		{"limit", "pass if input.metal_distance < data.params.ground.standoff_um\n", engine.Pass},
		{"nothing", "pass if input.metal_distance > 0\n", engine.Pass},
		{"nothing in a sum", "pass if input.metal_distance + 0 - 0 < data.params.ground.standoff_um\n", engine.Pass},
		{"factors", "pass if 2 * input.metal_distance <= (2 * data.params.ground.standoff_um) + input.metal_distance\n", engine.Pass},
		{"two units in a product", "pass if 1000000 * input.metal_distance <= data.params.gear.charge_ppm * data.params.ground.standoff_um\n", engine.Pass},
		{"time gone by", "pass if input.clock.now - input.clock.verified < data.params.trial.shift_s\n", engine.Pass},
		{"moment and a time", "pass if input.clock.verified + data.params.trial.shift_s > input.clock.now\n", engine.Pass},
		{"time before a moment", "pass if data.params.trial.shift_s + input.clock.verified > input.clock.now\n", engine.Pass},
		{"days from date to date", "pass if {\n\tinput.clock.today - max([input.clock.today]) <= 14\n\tinput.drilling.holds == 6\n}\n", engine.Pass},
		{"date and a number of days", "pass if {\n\tinput.clock.today + data.params.trial.days > input.clock.today\n\tinput.drilling.holds == 6\n}\n", engine.Pass},
		{"length of a list", "pass if count(input.frequencies) == 2\n", engine.Pass},
		{"element of a list of readings", "pass if input.frequencies[0] == data.params.trial.low_hz\n", engine.Pass},
		{"in a list of limits", "pass if input.frequencies[0] in [data.params.trial.low_hz, data.params.trial.high_hz]\n", engine.Pass},
		{"helper used for several units", "_twice(x) := x * 2\n\npass if {\n\t_twice(input.metal_distance) < data.params.ground.standoff_um\n\t_twice(input.drilling.holds) == 12\n}\n", engine.Pass},
		{"option", "pass if input.lines_seen == \"guessed\"\n", engine.Pass},
		{"option not", "pass if input.lines_seen != \"exposed\"\n", engine.Pass},
		{"option, one of", "pass if input.lines_seen in {\"guessed\"}\n", engine.Pass},
		{"option that is not blank", "pass if trim_space(input.lines_seen) != \"\"\n", engine.Pass},
		{"every of a list that is written out", "pass if every x in [\"exposed\"] { input.lines_seen != x }\n", engine.Pass},
		{"sets", "_seen := {input.lines_seen}\n\npass if count(_seen & {\"guessed\"}) == 1\n", engine.Pass},
		{"yes of a set", "pass if input.lines_near in {true}\n", engine.Pass},
		{"helper that is true", "_far if input.metal_distance > 0\n\npass if _far == true\n", engine.Pass},
		{"number of a helper", "_x := 1 if input.metal_distance > 0\n\npass if _x == 1\n", engine.Pass},
		{"two readings of one list", "pass if {\n\tsome a in input.frequencies\n\tsome b in input.frequencies\n\ta > b\n}\n", engine.Pass},
		{"limit by itself", "pass if {\n\tdata.params.ground.standoff_um > 0\n\tinput.drilling.holds == 6\n}\n", engine.Pass},
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
