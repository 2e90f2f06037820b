package rules

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"
)

// What an author is told of a common slip: the line, what is wrong and how it is put
// right, and all of it once.
func TestSlipsOfAuthors(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(testing.TB, fstest.MapFS)
		at   string
		say  string
		hint string
	}{
		{"one text for two languages", change(metal, "#   why:\n#     en: \"The why.\"\n#     es: \"El why.\"\n", "#   why: \"The why.\"\n"),
			"ground/metal.rego:19", "one text for each language, en and es", `{ en: "in English", es: "en español" }`},
		{"curly quotes", change(metal, `"The stop."`, `“The stop.”`), "ground/metal.rego:17", "the quotes around “The stop.” are curly", "straight quotes"},
		{"curly quotes around a colon", change(metal, `"The stop."`, `“The stop: now.”`), "ground/metal.rego:17", "the quotes in this line are curly", "straight quotes"},
		{"a curly quote at the end", change(metal, `"The stop."`, `"The stop.”`), "ground/metal.rego:17", "the quotes in this line are curly", "straight quotes"},
		{"curly quotes around a limit", change("params.yaml", `"30 ft"`, `“30 ft”`), "params.yaml:4", "the quotes around “30 ft” are curly", "straight quotes"},
		{"curly quotes in a rule", body("pass if input.metal_distance == “a”\n"), "ground/metal.rego:36", "cannot be read as a rule", "straight quotes"},
		{"or", body("pass if input.metal_distance == 1 or input.metal_distance == 2\n"), "ground/metal.rego:36", "cannot be read as a rule", `There is no "or"`},
		{"and", body("pass if input.metal_distance > 1 and input.metal_distance < 2\n"), "ground/metal.rego:36", "cannot be read as a rule", `There is no "and"`},
		{"asked by two", change("ticket/serial.rego", `id: serial_b`, `id: metal_distance`), "ticket/serial.rego:31", `"metal_distance" is asked by ground.metal already`, ""},
		{"asked twice by one", change("ticket/serial.rego", `id: serial_b`, `id: serial_a`), "ticket/serial.rego:31", `"serial_a" is asked twice in this check`, ""},
		{"an id in quotes", change("ticket/serial.rego", `id: serial_b`, `id: "serial_a"`), "ticket/serial.rego:31", `"serial_a" is asked twice in this check`, ""},
		{"no such limit", body("pass if input.metal_distance >= data.params.ground.moat_um\n"), "ground/metal.rego:36", "there is no limit data.params.ground.moat_um", "A new limit goes into params.yaml"},
		{"no limits", remove("params.yaml"), "params.yaml", "this file is missing", `value: "3 ft"`},
		{"no limits for rules", remove("params.json"), "params.json", "this file is missing", "firstrod rules limits DIR"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := fixture()
			c.edit(t, m)
			_, err := Load(context.Background(), m, Options{})
			faults := Faults(err)
			if len(faults) != 1 {
				t.Fatalf("%d faults: %+v", len(faults), faults)
			}
			if f := faults[0]; f.Place() != c.at || !strings.Contains(f.Say, c.say) || !strings.Contains(f.Hint, c.hint) {
				t.Errorf("\nat   %s\nsays %s\nhint %s", f.Place(), f.Say, f.Hint)
			}
		})
	}
}
