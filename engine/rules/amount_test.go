package rules

import (
	"strings"
	"testing"

	"firstrod/engine/quantity"
)

// What a fault shows as a value is one.
func TestSamplesAreValues(t *testing.T) {
	for _, word := range kinds() {
		kind := quantity.Kind(word)
		if !kind.Numeric() && kind != quantity.Names {
			continue
		}
		for _, s := range strings.Split(sample(kind), " or ") {
			if v, err := quantity.ParseHuman(kind, strings.Trim(s, `"`)); err != nil || !v.Valid() {
				t.Errorf("%s is no %s: %v", s, kind, err)
			}
		}
	}
}

// Whoever leaves the unit away, in any way, is shown how it is written.
func TestValueWithoutItsUnit(t *testing.T) {
	for _, as := range []string{`""`, `" "`, `~`, ``, `45`, `"45"`, `45.5`, `"45 feets"`, `{ft: 45}`} {
		m := layered(t)
		change(va, `"35 ft"`, as)(t, m)
		_, err := LoadBook(t.Context(), layersOf(t, m), Options{})
		faults := Faults(err)
		if len(faults) != 1 || faults[0].File != va || faults[0].Line != 6 || !strings.Contains(faults[0].Hint, `like "30 ft"`) {
			t.Errorf("%s: %+v", as, faults)
		}
	}
}
