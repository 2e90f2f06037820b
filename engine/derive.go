package engine

import (
	"fmt"
	"math"

	"firstrod/engine/depth"
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
	num   func(leaf string) float64   // one value
	every func(leaf string) []float64 // of each item, in the order of the list
	param func(path string) float64   // a limit
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
	all = append(all, knownPointDerivations()...)
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
		{
			leaf: "derived.pitch_bias_ppm", kind: quantity.Percent, reads: []string{"pitch_first", "pitch_reversed"},
			of: func(v known) (int64, error) {
				bias, _, err := depth.PitchZero(v.num("pitch_first")*micro, v.num("pitch_reversed")*micro)
				if err != nil {
					return 0, err
				}
				return away(bias / micro)
			},
		},
		lengthError("derived.baseline_error_um", "baseline", "calibration.baseline_um"),
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

// markDerivations are error, expanded uncertainty and tolerance of the reading
// at the near or the far mark.
func markDerivations(which string) []derivation {
	reading, mark := "frequency."+which+"_reading", "verification."+which+"_mark_um"
	base := "frequency.derived." + which
	return []derivation{
		{
			leaf: base + "_error_um", kind: quantity.Length, reads: []string{reading}, params: []string{mark},
			of: func(v known) (int64, error) { return away(v.num(reading) - v.param(mark)) },
		},
		{
			leaf: base + "_expanded_um", kind: quantity.Length, reads: []string{reading}, params: readingParams,
			of: func(v known) (int64, error) {
				b, err := readingBudget(v)
				if err != nil {
					return 0, err
				}
				return up(b.U * v.param("verification.cover_ppm") * micro * v.param("verification.guard_ppm"))
			},
		},
		{
			leaf: base + "_tolerance_um", kind: quantity.Length, reads: []string{reading},
			params: []string{mark, "verification.tolerance_ppm"},
			of: func(v known) (int64, error) {
				return down(v.param(mark) * v.param("verification.tolerance_ppm") * micro)
			},
		},
	}
}

// knownPointDerivations judge one reading where the true depth is known: over an
// open hole, in a pit, or at the baseline before drilling.
func knownPointDerivations() []derivation {
	reads := []string{"known_depth", "known_reading"}
	return []derivation{
		{
			leaf: "derived.known_error_um", kind: quantity.Length, reads: reads,
			of: func(v known) (int64, error) { return away(v.num("known_reading") - v.num("known_depth")) },
		},
		{
			leaf: "derived.known_expanded_um", kind: quantity.Length, reads: reads, params: readingParams,
			of: func(v known) (int64, error) {
				b, err := readingBudget(v)
				if err != nil {
					return 0, err
				}
				return up(b.U * v.param("verification.cover_ppm") * micro * v.param("verification.guard_ppm"))
			},
		},
		{
			leaf: "derived.known_tolerance_um", kind: quantity.Length, reads: reads, params: []string{"verification.tolerance_ppm"},
			of: func(v known) (int64, error) {
				return down(v.num("known_depth") * v.param("verification.tolerance_ppm") * micro)
			},
		},
	}
}

func depthDerivations() []derivation {
	readings := []string{"frequency.near_reading", "frequency.far_reading"}
	fit := append([]string{"calibration.baseline_um", "verification.near_mark_um", "verification.far_mark_um"}, readingParams...)
	return []derivation{
		{
			leaf: "frequency.derived.noise_margin_mdb", kind: quantity.Decibel,
			reads:  []string{"planned_depth", "frequency.background", "frequency.signal"},
			params: []string{"calibration.baseline_um"},
			of: func(v known) (int64, error) {
				m, err := depth.Margin(v.num("frequency.signal")*milli, v.param("calibration.baseline_um")*micro,
					v.num("frequency.background")*milli, v.num("planned_depth")*micro)
				if err != nil {
					return 0, err
				}
				return down(m / milli)
			},
		},
		{leaf: "frequency.derived.curvature_um", kind: quantity.Length, reads: readings, params: fit,
			of: func(v known) (int64, error) {
				c, _, err := curvature(v)
				if err != nil {
					return 0, err
				}
				return away(c / micro)
			}},
		{leaf: "frequency.derived.curvature_expanded_um", kind: quantity.Length, reads: readings,
			params: append([]string{"verification.curvature_cover_ppm"}, fit...),
			of: func(v known) (int64, error) {
				_, u, err := curvature(v)
				if err != nil {
					return 0, err
				}
				return down(u * v.param("verification.curvature_cover_ppm"))
			}},
		{leaf: "frequency.derived.depth_doubt_um", kind: quantity.Length,
			reads: append([]string{"planned_depth"}, readings...), params: fit,
			of: func(v known) (int64, error) {
				return doubtAt(v, v.num("planned_depth")*micro, v.num("frequency.near_reading"), v.num("frequency.far_reading"))
			}},
		{leaf: "crossing.derived.separation_um", kind: quantity.Length, reads: []string{"crossing.bore_depth", "crossing.line_depth"},
			of: func(v known) (int64, error) {
				return down(math.Abs(v.num("crossing.bore_depth") - v.num("crossing.line_depth")))
			}},
		{leaf: "crossing.derived.needed_um", kind: quantity.Length,
			reads: []string{"crossing.bore_depth", "crossing.line_depth", "crossing.line_size", "reamer_size",
				"frequencies[].near_reading", "frequencies[].far_reading"},
			params: append([]string{"crossings.clearance_um", "crossings.line_doubt_um"}, fit...),
			of:     separationNeeded},
	}
}

// separationNeeded is from centre to centre: half the reamer, half the line,
// the clearance, and what depth and line may be wrong by, added up straight.
func separationNeeded(v known) (int64, error) {
	near, far := v.every("frequencies[].near_reading"), v.every("frequencies[].far_reading")
	var worst int64
	for i := range near {
		u, err := doubtAt(v, v.num("crossing.bore_depth")*micro, near[i], far[i])
		if err != nil {
			return 0, err
		}
		worst = max(worst, u)
	}
	if len(near) == 0 {
		return 0, fmt.Errorf("no frequency to judge the crossing by")
	}
	c, err := depth.Crossing{
		BoreDepth: v.num("crossing.bore_depth") * micro, UtilityDepth: v.num("crossing.line_depth") * micro,
		BoreU: float64(worst) * micro, UtilityU: v.param("crossings.line_doubt_um") * micro,
		UtilityDiameter: v.num("crossing.line_size") * micro, ReamerDiameter: v.num("reamer_size") * micro,
		CodeClearance: v.param("crossings.clearance_um") * micro,
	}.Assess()
	if err != nil {
		return 0, err
	}
	return up(c.Linear / micro)
}

func readingBudget(v known) (depth.Budget, error) {
	return depth.ReadingBudget(v.param("verification.tape_doubt_um")*micro,
		v.param("verification.datum_doubt_um")*micro, v.param("verification.display_step_um")*micro, 0)
}

// marks are the near mark, the baseline, where the receiver was set right by
// definition, and the far mark.
func marks(v known, near, far float64) ([]depth.Mark, error) {
	b, err := readingBudget(v)
	if err != nil {
		return nil, err
	}
	base := v.param("calibration.baseline_um") * micro
	return []depth.Mark{
		{True: v.param("verification.near_mark_um") * micro, Read: near * micro, U: b.U},
		{True: base, Read: base, U: b.U},
		{True: v.param("verification.far_mark_um") * micro, Read: far * micro, U: b.U},
	}, nil
}

func curvature(v known) (c, u float64, err error) {
	m, err := marks(v, v.num("frequency.near_reading"), v.num("frequency.far_reading"))
	if err != nil {
		return 0, 0, err
	}
	return depth.Curvature(m[0], m[1], m[2])
}

// doubtAt is how wrong a reading may be where the truth is at x metres: what
// the straight line through the marks is off by there, and its expanded
// uncertainty together with that of one more reading.
func doubtAt(v known, x, near, far float64) (int64, error) {
	m, err := marks(v, near, far)
	if err != nil {
		return 0, err
	}
	line, err := depth.FitLine(m)
	if err != nil {
		return 0, err
	}
	e, u, err := line.ErrorAt(x)
	if err != nil {
		return 0, err
	}
	cover := v.param("verification.cover_ppm") * micro
	return up((math.Abs(e) + cover*math.Hypot(u, m[0].U)) / micro)
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
