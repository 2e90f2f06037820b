package engine

import (
	"fmt"
	"math"

	"firstrod/engine/quantity"
)

// derivation is a value that engine/depth computes from facts. Reads lists the
// leaves it needs, so that what is still to be asked can be traced through it;
// "frequencies[].x" means x of every frequency.
type derivation struct {
	leaf   string
	kind   quantity.Kind
	reads  []string
	params []string
	// of gives the value in base units, rounded to the side that is stricter
	// for the rule that reads it.
	of func(v known) (int64, error)
}

// known is what a derivation computes from: values in base units.
type known struct {
	num   func(leaf string) float64     // one value
	list  func(leaf string) []float64   // the readings of one answer
	every func(leaf string) [][]float64 // the readings of each item, in the order of the items
	param func(path string) float64     // a limit
}

const (
	micro = 1e-6 // metres in a micrometre, ratio in a ppm
	milli = 1e-3 // decibels in a millidecibel
)

// limits that the reading budget is made of.
var readingParams = []string{
	"verification.tape_doubt_um", "verification.datum_doubt_um", "verification.display_step_um",
	"verification.cover_ppm", "verification.guard_ppm",
}

func derived(leaf string) (derivation, bool) {
	d, ok := derivationByLeaf[leaf]
	return d, ok
}

// derivationByLeaf is written once, here, and only read.
var derivationByLeaf = func() map[string]derivation {
	m := map[string]derivation{}
	for _, d := range derivations() {
		m[d.leaf] = d
	}
	return m
}()

func derivations() []derivation {
	all := append(gearDerivations(), markDerivations("near")...)
	all = append(all, markDerivations("far")...)
	all = append(all, knownPointDerivations("known_depth", "known_reading", "derived.known")...)
	all = append(all, knownPointDerivations("seen_depth", "seen_reading", "derived.seen")...)
	all = append(all, nullDerivations()...)
	all = append(all, pitchDerivations()...)
	all = append(all, rodDerivations()...)
	all = append(all, metalDerivations()...)
	all = append(all, crossingDerivations()...)
	return append(all, depthDerivations()...)
}

func gearDerivations() []derivation {
	run := func(unit string) derivation {
		charge, full := unit+"_charge", unit+"_full_hours"
		return derivation{
			leaf: "derived." + unit + "_run_s", kind: quantity.Duration, reads: []string{charge, full},
			of: func(v known) (int64, error) { return down(v.num(charge) * micro * v.num(full)) },
		}
	}
	return []derivation{
		run("receiver"), run("transmitter"),
		{
			leaf: "derived.hours_needed_s", kind: quantity.Duration,
			reads: []string{"hours_planned"}, params: []string{"gear.battery_reserve_ppm"},
			of: func(v known) (int64, error) {
				return up(v.num("hours_planned") * v.param("gear.battery_reserve_ppm") * micro)
			},
		},
		lengthError("derived.baseline_error_um", "baseline", "calibration.baseline_um"),
		{
			leaf: "derived.second_tape_error_um", kind: quantity.Length, reads: []string{"baseline", "second_tape"},
			of: func(v known) (int64, error) { return away(v.num("second_tape") - v.num("baseline")) },
		},
		lengthError("derived.near_mark_error_um", "near_mark", "verification.near_mark_um"),
		lengthError("derived.far_mark_error_um", "far_mark", "verification.far_mark_um"),
	}
}

func lengthError(leaf, ask, param string) derivation {
	return derivation{
		leaf: leaf, kind: quantity.Length, reads: []string{ask}, params: []string{param},
		of: func(v known) (int64, error) { return away(v.num(ask) - v.param(param)) },
	}
}

// settle keeps floating-point dust from pushing a whole number over the edge:
// a millionth of a base unit is far below anything that is measured.
const settle = 1e-6

func up(x float64) (int64, error)   { return whole(math.Ceil(x - settle)) }
func down(x float64) (int64, error) { return whole(math.Floor(x + settle)) }

// away rounds away from zero: an error is never made smaller.
func away(x float64) (int64, error) {
	if x < 0 {
		n, err := up(-x)
		return -n, err
	}
	return up(x)
}

func whole(x float64) (int64, error) {
	if math.IsNaN(x) || math.Abs(x) > 1<<53 {
		return 0, fmt.Errorf("a computed value is out of range: %g", x)
	}
	return int64(x), nil
}
