package rules

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

func compared(t *testing.T, edit func(m fstest.MapFS)) Difference {
	t.Helper()
	m := fixture()
	edit(m)
	freshen(m)
	d, err := Compare(load(t, fixture()), load(t, m))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestSameIsNoDifference(t *testing.T) {
	d := compared(t, func(m fstest.MapFS) {
		put(m, metal, string(m[metal].Data)+"\n# A remark is no change.\n")
	})
	if !d.None() {
		t.Errorf("%+v", d)
	}
}

func TestLimitsAreStricterOrLooser(t *testing.T) {
	for _, test := range []struct {
		old, next string
		way       Way
	}{
		{`"30 ft"`, `"45 ft"`, Stricter},
		{`"30 ft"`, `"20 ft"`, Looser},
		{`"30 ft"`, `"30.01 ft"`, Stricter},
		{`"20 %"`, `"19 %"`, Looser},
		{"value: \"30 ft\"\n    stricter: higher", "value: \"45 ft\"\n    stricter: lower", Other},
		{"value: \"30 ft\"\n    stricter: higher", "value: \"45 ft\"\n    stricter: neither", Other},
	} {
		d := compared(t, func(m fstest.MapFS) { swap(t, m, "params.yaml", test.old, test.next) })
		if len(d.Limits) != 1 || d.Limits[0].Way != test.way || len(d.Limits[0].Readers) != 1 {
			t.Errorf("%s to %s: %+v", test.old, test.next, d.Limits)
		}
		if len(d.Changed)+len(d.Added)+len(d.Removed) > 0 {
			t.Errorf("a limit changed more than itself: %+v", d)
		}
	}
}

func TestLimitsThatComeAndGo(t *testing.T) {
	d := compared(t, func(m fstest.MapFS) {
		swap(t, m, "params.yaml", "standoff:", "distance:")
		swap(t, m, metal, "standoff_um", "distance_um")
	})
	if len(d.Limits) != 2 || d.Limits[0].Before != nil || d.Limits[1].After != nil || len(d.Changed) != 1 {
		t.Errorf("%+v", d)
	}
}

func TestChecksThatComeAndGo(t *testing.T) {
	d := compared(t, func(m fstest.MapFS) {
		put(m, "ticket/other.rego", strings.NewReplacer("ticket.serial", "ticket.other").Replace(string(m["ticket/serial.rego"].Data)))
		delete(m, "ticket/serial.rego")
	})
	if len(d.Added) != 1 || d.Added[0].ID != "ticket.other" || len(d.Removed) != 1 || d.Removed[0].ID != "ticket.serial" {
		t.Errorf("%+v", d)
	}
}

func TestRulesAreShownAsWritten(t *testing.T) {
	d := compared(t, func(m fstest.MapFS) { swap(t, m, metal, ">=", ">") })
	if len(d.Changed) != 1 {
		t.Fatalf("%+v", d)
	}
	c := d.Changed[0]
	if !slices.Equal(c.Gone, []string{"pass if input.metal_distance >= data.params.ground.standoff_um"}) ||
		!slices.Equal(c.New, []string{"pass if input.metal_distance > data.params.ground.standoff_um"}) || len(c.What) > 0 {
		t.Errorf("%+v", c)
	}
}

func TestWordsAboutChecksAndQuestions(t *testing.T) {
	for _, test := range []struct {
		path, old, next string
		want            Detail
	}{
		{metal, "waivable: false", "waivable: true", Detail{Looser, "may be waived", "no", "yes"}},
		{metal, "gate: release", "gate: close", Detail{Looser, "gate", "release", "close"}},
		{metal, "order: 100", "order: 105", Detail{Other, "place in the order", "100", "105"}},
		{metal, `es: "El why."`, `es: "Otro."`, Detail{Other, "reason", "", ""}},
		{metal, `max: "2000 ft"`, `max: "1000 ft"`, Detail{Stricter, "question metal_distance: largest answer", "2000 ft (609.60 m)", "1000 ft (304.80 m)"}},
		{metal, `min: "0 ft"`, `min: "1 ft"`, Detail{Stricter, "question metal_distance: smallest answer", "0 ft (0.0 cm)", "1 ft (0.30 m)"}},
		{metal, "unit: \"ft\"", "unit: \"ft\"\n#     good_for: \"12 h\"", Detail{Stricter, "question metal_distance: good for", "", "12 h"}},
		{metal, "unit: \"ft\"", "unit: \"ft\"\n#     outside: ask", Detail{Looser, "question metal_distance: asks first outside that", "no", "yes"}},
		{metal, "unit: \"ft\"", "unit: \"ft\"\n#     redo_after: [\"new_shift\"]", Detail{Stricter, "question metal_distance: asked again after", "", "new_shift"}},
	} {
		d := compared(t, func(m fstest.MapFS) { swap(t, m, test.path, test.old, test.next) })
		if len(d.Changed) != 1 || !slices.Equal(d.Changed[0].What, []Detail{test.want}) || len(d.Changed[0].Gone) > 0 {
			t.Errorf("%s:\n%+v\nwant %+v", test.next, d.Changed, test.want)
		}
	}
}

// What is compared the other way round is the other way.
func TestCompareBackwards(t *testing.T) {
	m := fixture()
	swap(t, m, "params.yaml", `"30 ft"`, `"45 ft"`)
	swap(t, m, metal, "unit: \"ft\"", "unit: \"ft\"\n#     redo_after: [\"new_shift\"]")
	freshen(m)
	d, err := Compare(load(t, m), load(t, fixture()))
	if err != nil || len(d.Limits) != 1 || d.Limits[0].Way != Looser || d.Changed[0].What[0].Way != Looser {
		t.Errorf("%+v %v", d, err)
	}
}

// A list is stricter with one more entry, looser with one fewer, and neither when
// some came and some went.
func TestListsAreStricterOrLooser(t *testing.T) {
	list := func(words string) *engine.Param {
		v, err := quantity.ParseHuman(quantity.Names, words)
		if err != nil {
			t.Fatal(err)
		}
		return &engine.Param{Stricter: Superset, Value: v}
	}
	for _, c := range []struct {
		before, after string
		want          Way
	}{
		{"foreman", "foreman, crew", Stricter},
		{"foreman, crew", "crew", Looser},
		{"foreman", "crew", Other},
		{"foreman", "foreman", Other},
	} {
		if got := wayOf(list(c.before), list(c.after)); got != c.want {
			t.Errorf("%s to %s is %s, want %s", c.before, c.after, got, c.want)
		}
	}
}
