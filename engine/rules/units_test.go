package rules

import (
	"testing"
	"testing/fstest"
)

// Values that are counted in different units do not go together, nor does a bare
// number with one that has a unit.
func TestRefusesUnits(t *testing.T) {
	const only = `is only a number, and metal_distance is in micrometres; put the limit with its unit into params.yaml and read it as data.params…`
	for _, r := range []refusal{
		{"number", body("pass if input.metal_distance >= 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"number first", body("pass if 30 <= input.metal_distance\n"), `ground/metal.rego:36: 30 ` + only},
		{"number below", body("pass if input.metal_distance >= -30\n"), `ground/metal.rego:36: -30 ` + only},
		{"equal", body("pass if input.metal_distance == 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"unequal", body("pass if input.metal_distance != 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"number in a sum", body("pass if input.metal_distance + 30 >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: 30 ` + only},
		{"number in a difference", body("pass if input.metal_distance - 30 >= 0\n"), `ground/metal.rego:36: 30 ` + only},
		{"number under a name", body("pass if {\n\tx := 30\n\tinput.metal_distance >= x\n}\n"), `ground/metal.rego:38: 30 ` + only},
		{"answer under a name", body("pass if {\n\tx := input.metal_distance\n\tx >= 30\n}\n"), `ground/metal.rego:38: 30 ` + only},
		{"number of a helper", body("_x := 30\n\npass if input.metal_distance >= _x\n"), `ground/metal.rego:38: 30 ` + only},
		{"answer of a helper", body("_x := input.metal_distance\n\npass if _x >= 30\n"), `ground/metal.rego:38: 30 ` + only},
		{"helper with an argument", body("_twice(x) := x * 2\n\npass if _twice(input.metal_distance) >= 30\n"), `ground/metal.rego:38: 30 ` + only},
		{"inside a helper with an argument", body("_is(x) if x == 30\n\npass if _is(input.metal_distance)\n"), `ground/metal.rego:36: 30 ` + only},
		{"function", body("pass if abs(input.metal_distance) >= 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"result in the call", body("pass if abs(input.metal_distance, 30)\n"), `ground/metal.rego:36: 30 ` + only},
		{"product", body("pass if 2 * input.metal_distance >= 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"smallest", body("pass if min([input.metal_distance, data.params.ground.standoff_um]) >= 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"sum", body("pass if sum([input.metal_distance, input.metal_distance]) >= 30\n"), `ground/metal.rego:36: 30 ` + only},
		{"largest of a loop", body("pass if max([f | some f in input.frequencies]) >= 30\n"), `ground/metal.rego:36: 30 is only a number, and frequencies is in hertz`},
		{"element", body("pass if input.frequencies[0] >= 30\n"), `ground/metal.rego:36: 30 is only a number, and frequencies is in hertz`},
		{"some", body("pass if {\n\tsome f in input.frequencies\n\tf > 30\n}\n"), `ground/metal.rego:38: 30 is only a number, and frequencies is in hertz`},
		{"every", body("pass if {\n\tcount(input.frequencies) > 0\n\tevery f in input.frequencies { f > 30 }\n}\n"), `ground/metal.rego:38: 30 is only a number, and frequencies is in hertz`},
		{"in a loop", body("pass if count([f | some f in input.frequencies; f > 30]) > 0\n"), `ground/metal.rego:36: 30 is only a number, and frequencies is in hertz`},
		{"one of", body("pass if input.metal_distance in {30, 40}\n"), `ground/metal.rego:36: 30 ` + only},
		{"one of a list", body("pass if 30 in input.frequencies\n"), `ground/metal.rego:36: 30 is only a number, and frequencies is in hertz`},
		{"comparison under a name", body("pass if {\n\tfar := input.metal_distance > 30\n\tfar\n}\n"), `ground/metal.rego:37: 30 ` + only},
		{"list of a length and a number", body("pass if min([input.metal_distance, 9]) < data.params.ground.standoff_um\n"), `ground/metal.rego:36: values in different units are put into one list here; only values in one unit can be compared`},
		{"list of two units", body("pass if sum([input.metal_distance, input.charge_a]) < data.params.ground.standoff_um\n"), `ground/metal.rego:36: values in different units are put into one list here`},
		{"list of two units, below nothing", body("pass if sum([input.metal_distance, input.charge_a]) < 0\n"), `ground/metal.rego:36: values in different units are put into one list here`},
		{"number, worked out", body("pass if input.metal_distance >= 2 * 15\n"), `ground/metal.rego:36: metal_distance is in micrometres, and the other value is only a number`},
		{"number, what is left over", body("pass if input.metal_distance >= 30 % 100\n"), `ground/metal.rego:36: metal_distance is in micrometres, and the other value is only a number`},
		{"number of a list", body("pass if input.metal_distance >= max([30, 40])\n"), `ground/metal.rego:36: metal_distance is in micrometres, and the other value is only a number`},
		{"limit of another unit", body("pass if input.metal_distance >= data.params.gear.charge_ppm\n"), `ground/metal.rego:36: metal_distance is in micrometres, and gear.charge is in parts per million; only values in one unit go together`},
		{"answer of another unit", body("pass if input.metal_distance > input.charge_a\n"), `ground/metal.rego:36: metal_distance is in micrometres, and charge_a is in parts per million`},
		{"count", body("pass if input.metal_distance >= input.signing.people\n"), `ground/metal.rego:36: metal_distance is in micrometres, and signing.people is only a number`},
		{"length of a list", body("pass if input.metal_distance >= count(input.frequencies)\n"), `ground/metal.rego:36: metal_distance is in micrometres, and the other value is only a number`},
		{"seconds and days", body("pass if input.clock.now >= input.clock.today\n"), `ground/metal.rego:36: clock.now is a moment, in seconds since 1970, and clock.today is a date, in days`},
		{"moment and a time", edits(add("duration"), body("pass if input.clock.now >= input.extra\n")), `ground/metal.rego:39: clock.now is a moment, in seconds since 1970, and extra is in seconds`},
		{"sum of two units", body("pass if input.metal_distance + input.charge_a >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: metal_distance is in micrometres, and charge_a is in parts per million`},
		{"sum of two moments", body("pass if input.clock.now + input.clock.verified > 0\n"), `ground/metal.rego:36: clock.now is a moment`},
		{"percent of a value", body("pass if input.metal_distance * data.params.gear.charge_ppm >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: one side is a percent of a value, which counts in millionths of it; write 1000000 * in front of the other side`},
		{"percent in a helper", body("_share(x) := x * data.params.gear.charge_ppm\n\npass if _share(input.metal_distance) >= data.params.ground.standoff_um\n"), `ground/metal.rego:38: one side is a percent of a value`},
		{"a million of one side alone", body("pass if 1000000 * input.metal_distance >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: one side is taken a million times, and the other is no percent of a value; take 1000000 * away`},
		{"square and a length", body("pass if input.metal_distance * input.metal_distance >= data.params.ground.standoff_um\n"), `ground/metal.rego:36: metal_distance is in micrometres times micrometres, and ground.standoff is in micrometres`},
		{"days as a number", edits(add("date"), body("pass if input.clock.today + 14 <= input.extra\n")), `ground/metal.rego:39: 14 is only a number, and clock.today is a date; put the number of days as a count into params.yaml`},
	} {
		r.run(t)
	}
}

func edits(all ...func(testing.TB, fstest.MapFS)) func(testing.TB, fstest.MapFS) {
	return func(t testing.TB, m fstest.MapFS) {
		for _, e := range all {
			e(t, m)
		}
	}
}

// add asks for one more value, called extra.
func add(kind string) func(testing.TB, fstest.MapFS) {
	return change(metal, "#   asks:\n", "#   asks:\n#   - id: extra\n#     kind: "+kind+"\n#     prompt: {en: \"x\", es: \"x\"}\n")
}

// A choice can only be one of its options, by whatever name it is called.
func TestRefusesChoices(t *testing.T) {
	const not = `is not an option of lines_seen; the options are exposed, guessed`
	for _, r := range []refusal{
		{"unequal", body("pass if input.lines_seen != \"gessed\"\n"), `ground/metal.rego:36: "gessed" ` + not + `; did you mean guessed?`},
		{"capital letter", body("pass if input.lines_seen != \"Guessed\"\n"), `ground/metal.rego:36: "Guessed" ` + not},
		{"the other way round", body("pass if \"gessed\" != input.lines_seen\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"under a name", body("pass if {\n\tx := input.lines_seen\n\tx != \"gessed\"\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"word under a name", body("pass if {\n\tx := \"gessed\"\n\tinput.lines_seen != x\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"helper", body("_x := input.lines_seen\n\npass if _x != \"gessed\"\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"helper with an argument", body("_is(x) if x != \"gessed\"\n\npass if _is(input.lines_seen)\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"helper that picks it", body("_id(x) := x\n\npass if _id(input.lines_seen) != \"gessed\"\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"one of", body("pass if input.lines_seen in {\"exposed\", \"gessed\"}\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"one of a list", body("pass if input.lines_seen in [\"exposed\", \"gessed\"]\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"one of a helper", body("_good := {\"exposed\", \"gessed\"}\n\npass if input.lines_seen in _good\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"word in a list of it", body("pass if \"gessed\" in [input.lines_seen]\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"word in a set rule of it", body("_s contains input.lines_seen\n\npass if \"gessed\" in _s\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"in a list", body("pass if [input.lines_seen] != [\"gessed\"]\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"in a set", body("pass if {input.lines_seen} != {\"gessed\"}\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"from a list", body("pass if {\n\t[a, _] := [input.lines_seen, 1]\n\ta != \"gessed\"\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"every", body("_all := [input.lines_seen]\n\npass if {\n\tcount(_all) > 0\n\tevery x in _all { x != \"gessed\" }\n}\n"), `ground/metal.rego:40: "gessed" ` + not},
		{"some word", body("pass if {\n\tsome x in [\"exposed\", \"gessed\"]\n\tinput.lines_seen != x\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"some word of a set", body("pass if {\n\tsome x in {\"exposed\", \"gessed\"}\n\tinput.lines_seen != x\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"every word", body("pass if every x in [\"exposed\", \"gessed\"] { input.lines_seen != x }\n"), `ground/metal.rego:36: "gessed" ` + not},
		{"under a name of an object", body("pass if {\n\tx := {\"a\": input.lines_seen}\n\tx.a != \"gessed\"\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"in both of two sets", body("_bad := {\"gessed\"}\n\npass if count({input.lines_seen} & _bad) == 0\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"some", body("pass if {\n\tsome x in [input.lines_seen]\n\tx != \"gessed\"\n}\n"), `ground/metal.rego:38: "gessed" ` + not},
		{"small letters", body("pass if lower(input.lines_seen) == \"Guessed\"\n"), `ground/metal.rego:36: "Guessed" ` + not},
		{"all options", body("pass if input.lines_seen in {\"exposed\", \"guessed\"}\n"), `ground/metal.rego:36: every answer that lines_seen can have stands here, so this line always holds`},
		{"all options of a helper", body("_all := [\"exposed\", \"guessed\"]\n\npass if input.lines_seen in _all\n"), `ground/metal.rego:38: every answer that lines_seen can have stands here`},
		{"yes and no", body("pass if input.lines_near in {true, false}\n"), `ground/metal.rego:36: every answer that lines_near can have stands here, so this line always holds`},
		{"itself", body("pass if input.metal_distance >= input.metal_distance\n"), `ground/metal.rego:36: both sides are the same, so this line says nothing; compare with another value`},
		{"itself, equal", body("pass if input.serial_a == input.serial_a\n"), `ground/metal.rego:36: both sides are the same`},
		{"itself under a name", body("pass if {\n\tx := input.metal_distance\n\tinput.metal_distance <= x\n}\n"), `ground/metal.rego:38: both sides are the same`},
		{"itself of a helper", body("_x := input.metal_distance\n\npass if input.metal_distance <= _x\n"), `ground/metal.rego:38: both sides are the same`},
		{"itself, worked out", body("pass if abs(input.metal_distance) >= abs(input.metal_distance)\n"), `ground/metal.rego:36: both sides are the same`},
		{"helper beside itself", body("_x := input.metal_distance * 2\n\npass if _x <= _x\n"), `ground/metal.rego:38: both sides are the same`},
		{"itself taken away", body("pass if input.metal_distance - input.metal_distance >= 0\n"), `ground/metal.rego:36: both sides are the same`},
		{"begins like no option", body("pass if startswith(input.lines_seen, \"Ex\")\n"), `ground/metal.rego:36: "Ex" is in all options of lines_seen or in none, so this line always says the same; the options are exposed, guessed`},
		{"part of all options", body("pass if contains(input.lines_seen, \"e\")\n"), `ground/metal.rego:36: "e" is in all options of lines_seen or in none`},
		{"entries that are true or false", body("pass if count([x | some f in input.frequencies; x := f > data.params.trial.low_hz]) > 1\n"), `ground/metal.rego:36: each entry of this list is true or false, and would be counted whichever it is`},
	} {
		r.run(t)
	}
}
