package rules

import (
	"slices"
	"testing"

	"firstrod/engine"
)

// Against the engine's own index: what it says is asked for a check, and what it
// says a check is judged by, is what stands behind it.
func TestAboutAgreesWithTheEngine(t *testing.T) {
	cat := load(t, base(t)).Catalogue()
	for _, c := range cat.Checks {
		about := About(cat, c)
		behind := map[string]bool{}
		for _, r := range slices.Concat(about.Exempt, about.Pass) {
			if r.Ask != nil {
				behind[r.Ask.ID] = true
			}
			for _, a := range r.From {
				behind[a.ID] = true
			}
		}
		for _, a := range cat.Asks {
			if want := slices.Contains(cat.ReadBy(engine.LeafOf(a)), c); want != behind[a.ID] {
				t.Errorf("%s stands on %s: %t, want %t", c.ID, a.ID, behind[a.ID], want)
			}
		}
		if len(about.Limits) != len(cat.Limits(c)) {
			t.Errorf("%s has %d limits, want %d", c.ID, len(about.Limits), len(cat.Limits(c)))
		}
		for _, p := range about.Limits {
			if !slices.Contains(ReadersOf(cat, p.Path), c) {
				t.Errorf("%s reads %s and is not among its readers", c.ID, p.Name)
			}
		}
	}
	if ReadersOf(cat, "no.such_um") != nil {
		t.Error("a limit that is not there has readers")
	}
}

func TestDemands(t *testing.T) {
	cat := load(t, base(t)).Catalogue()
	demands, err := Demands(cat)
	if err != nil || len(demands) != len(cat.Checks) {
		t.Fatalf("%d of %d: %v", len(demands), len(cat.Checks), err)
	}
	if got := demands["crossings.clearance"]; got != "From centre to centre the bore is planned at least as far from the line as reamer, line, clearance and doubt together need." {
		t.Error(got)
	}
}
