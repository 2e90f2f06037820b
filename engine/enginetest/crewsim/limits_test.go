package crewsim

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firstrod/engine/depth"
)

// What the remarks of the report say of the other limits, and of the gaps, is so.
func checkRemarks(t *testing.T, rows []Row) {
	t.Helper()
	left, blocked := map[string]int{}, map[string]float64{}
	for i, w := range Ways() {
		left[w.Name], blocked[w.Name] = gaps(rows, i), 1-rows[0].Released[i]
	}
	for _, r := range rows[1:] {
		if r.Gap(0) {
			t.Errorf("%s %s is not stopped", r.Fault.Name, size(r))
		}
		if r.Gap(surveyOnly) && (!strings.HasSuffix(r.Fault.Name, " late") || r.Fault.Planned != 20*Foot) {
			t.Errorf("%s %s: the survey alone does not stop it, and it is not among the remarks", r.Fault.Name, size(r))
		}
	}
	for i, w := range Ways() {
		for _, r := range rows {
			if d := r.Released[i] - r.Released[0]; w.Looser && d < 0 || !w.Looser && d > 0 || w.Name == "doubt rule" && d != 0 {
				t.Errorf("%s: %s %s: released %g, base %g", w.Name, r.Fault.Name, size(r), r.Released[i], r.Released[0])
			}
		}
	}
	const tenth = 0.001
	for what, ok := range map[string]bool{
		"nothing is left":            left["base"] == 0,
		"survey only leaves some":    left["survey only"] >= 3 && blocked["survey only"] == blocked["base"],
		"bend 3 spares none":         blocked["base"]-blocked["bend 3"] < tenth,
		"bend 1.5 blocks one":        blocked["bend 1.5"] > 0.0003 && blocked["bend 1.5"] < 0.002,
		"margin 12.1 leaves more":    left["margin 12.1"] > left["base"],
		"margin 30.7 blocks a third": math.Abs(blocked["margin 30.7"]-1.0/3) < 0.05,
		"deep mark stops no more":    left["deep mark"] == 0 && blocked["deep mark"]-blocked["base"] < tenth,
	} {
		if !ok {
			t.Errorf("%s: not so: gaps %v, healthy blocked %v", what, left, blocked)
		}
	}
}

// A tape wrong by so much that depth is off by more than the tolerance differs from
// another tape by more than the base allows, whatever both are read to.
func TestSecondTapeSeesTheTape(t *testing.T) {
	allowed, seen := params(t)["calibration"]["baseline_tolerance_um"]/1e6, 0
	for _, f := range Faults() {
		if f.Covers != "calibration.second_tape" {
			continue
		}
		effect, _, err := alone(f)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(effect) <= BaseLimits().Tolerance {
			continue
		}
		seen++
		var w World
		f.Put(nil, &w)
		if differ := math.Abs(w.TapeScale)*baseline - 2*tapeHalf; differ <= allowed {
			t.Errorf("%g %s: the tapes differ by %.4f m, allowed are %.4f m", f.Size, f.Unit, differ, allowed)
		}
	}
	if seen == 0 {
		t.Error("no such fault")
	}
}

// The margin of the base holds noise to the tolerance however it adds, and is no
// more than a tenth of a decibel above what that takes (derived: 17.32 dB).
func TestMarginOfTheBase(t *testing.T) {
	most := 0.0
	for _, how := range []depth.Adding{depth.Incoherent, depth.InPhase, depth.OutOfPhase} {
		m, err := depth.NeededMargin(BaseLimits().Tolerance, how)
		if err != nil {
			t.Fatal(err)
		}
		most = math.Max(most, m)
	}
	// Derived by hand: 1 - 1.05^-3 = 0.13616 of the signal, -20 log10 of it.
	if math.Abs(most-17.32) > 0.005 || BaseLimits().NoiseMargin < most || BaseLimits().NoiseMargin > most+0.1 {
		t.Errorf("needed %.3f dB, the base asks for %g dB", most, BaseLimits().NoiseMargin)
	}
}

// The doubt rule on exact readings, derived by hand in inches: the variance of the
// line is 0.1875 (1/3 + (x-10 ft)^2 / 50 ft^2), of the tape (0.25/sqrt(3) x/120)^2, of
// datum and display 1/12 each. Twice the root is 1.354 at 2.2 ft, where 1.32 is
// allowed, and 1.345 at 2.3 ft, where 1.38 is.
func TestDoubtRule(t *testing.T) {
	l := BaseLimits()
	l.DoubtRule = true
	for feet, want := range map[float64]float64{2.2: 1.354, 2.3: 1.3455} {
		j, err := l.Judge()
		if err != nil {
			t.Fatal(err)
		}
		var marks []depth.Mark
		for _, m := range []float64{nearMark, baseline, farMark} {
			marks = append(marks, depth.Mark{True: m, Read: m, U: j.u})
		}
		worst, err := l.worst(marks, feet*Foot)
		if err != nil || math.Abs(worst/Inch-want) > 0.001 {
			t.Errorf("%g ft: %.4f in, want %.4f: %v", feet, worst/Inch, want, err)
		}
		w := World{Planned: feet * Foot, Background: make([]Background, bands)}
		for i := range w.Background {
			w.Background[i].Heard = 1e-3
		}
		blocked, err := j.Blocks(exact(w))
		if err != nil || blocked != (feet == 2.2) {
			t.Errorf("%g ft: blocked %t, %v", feet, blocked, err)
		}
	}
}

// No healthy site is under the margin, and whom the base blocks every stricter way
// blocks too.
func TestHealthyAndStricter(t *testing.T) {
	list, err := judges()
	if err != nil {
		t.Fatal(err)
	}
	rng, faults, stopped := rand.New(rand.NewPCG(7, 7)), Faults(), 0
	for range 1000 {
		c := Draw(rng, nil, 0)
		for _, m := range c.Margin {
			if got, err := depth.Margin(m, baseline, 0, c.World.Planned); err != nil || got < 20-1e-9 {
				t.Fatalf("a healthy site with %.2f dB at the planned depth, %v", got, err)
			}
		}
		f := faults[rng.IntN(len(faults))]
		c = Draw(rng, f.Put, f.Planned)
		for i, j := range list {
			blocked, err := j.Blocks(c)
			if err != nil {
				t.Fatal(err)
			}
			if i == 0 && !blocked {
				break
			}
			if !j.looser && !blocked {
				t.Fatalf("%s: %s lets through whom the base blocks", f.Name, Ways()[i].Name)
			}
			if i == 0 {
				stopped++
			}
		}
	}
	if stopped < 100 {
		t.Errorf("only %d blocked", stopped)
	}
}
