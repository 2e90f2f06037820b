package engine

import (
	"fmt"
	"math"

	"firstrod/engine/depth"
	"firstrod/engine/quantity"
)

// fitParams are the limits that the straight line through the marks is made of.
func fitParams() []string {
	return append([]string{"calibration.baseline_um", "verification.near_mark_um", "verification.far_mark_um"}, readingParams...)
}

// marginOver is how far the signal stands over a background at the planned depth.
func marginOver(leaf, background string) derivation {
	return derivation{
		leaf: leaf, kind: quantity.Decibel, reads: []string{"planned_depth", background, "frequency.signal"},
		params: []string{"calibration.baseline_um"},
		of: func(v known) (int64, error) {
			m, err := depth.Margin(v.num("frequency.signal")*milli, v.param("calibration.baseline_um")*micro,
				v.num(background)*milli, v.num("planned_depth")*micro)
			if err != nil {
				return 0, err
			}
			return down(m / milli)
		},
	}
}

// depthDerivations are what the readings of a frequency are worth.
func depthDerivations() []derivation {
	readings := []string{"frequency.near_reading", "frequency.far_reading"}
	fit := fitParams()
	return []derivation{
		marginOver("frequency.derived.noise_margin_mdb", "frequency.background"),
		marginOver("frequency.derived.noise_again_margin_mdb", "frequency.background_again"),
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
				return doubtAt(v, v.num("planned_depth")*micro, v.list("frequency.near_reading"), v.list("frequency.far_reading"))
			}},
		{leaf: "frequency.derived.deepest_um", kind: quantity.Length,
			reads:  append([]string{"frequency.background", "frequency.signal"}, readings...),
			params: append([]string{"verification.tolerance_ppm", "ground.noise_margin_mdb"}, fit...), of: deepest},
	}
}

// crossingDerivations are what one crossing has and what it needs.
func crossingDerivations() []derivation {
	reads := []string{"crossing.bore_depth", "crossing.line_depth", "crossing.line_size", "reamer_size",
		"frequencies[].near_reading", "frequencies[].far_reading"}
	params := append([]string{"crossings.clearance_um", "crossings.line_doubt_um"}, fitParams()...)
	pick := func(leaf string, kind quantity.Kind, value func(depth.Separation) float64) derivation {
		return derivation{leaf: leaf, kind: kind, reads: reads, params: params, of: func(v known) (int64, error) {
			s, err := separation(v)
			if err != nil {
				return 0, err
			}
			return up(value(s) / micro)
		}}
	}
	return []derivation{
		pick("crossing.derived.needed_um", quantity.Length, func(s depth.Separation) float64 { return s.Required }),
		pick("crossing.derived.doubt_um", quantity.Length, func(s depth.Separation) float64 { return s.Doubt }),
		pick("crossing.derived.contact_ppm", quantity.Percent, func(s depth.Separation) float64 { return s.Contact }),
		{leaf: "crossing.derived.separation_um", kind: quantity.Length, reads: []string{"crossing.bore_depth", "crossing.line_depth"},
			of: func(v known) (int64, error) {
				return down(math.Abs(v.num("crossing.bore_depth") - v.num("crossing.line_depth")))
			}},
	}
}

// separation judges a crossing by the frequency whose depth is the most doubtful
// there: half the reamer, half the line, the clearance, and what depth and line
// may be wrong by, added up straight. Whether anybody has seen the line is a check
// of its own; without it the crossing is never released.
func separation(v known) (depth.Separation, error) {
	near, far := v.every("frequencies[].near_reading"), v.every("frequencies[].far_reading")
	if len(near) == 0 {
		return depth.Separation{}, fmt.Errorf("no frequency to judge the crossing by")
	}
	line := depth.Utility{
		Depth: v.num("crossing.line_depth") * micro, U: v.param("crossings.line_doubt_um") * micro,
		Diameter: v.num("crossing.line_size") * micro, Exposed: true,
	}
	var worst depth.Separation
	for i := range near {
		d, err := downHole(v, near[i], far[i])
		if err != nil {
			return depth.Separation{}, err
		}
		s, err := d.Separation(v.num("crossing.bore_depth")*micro, line, v.num("reamer_size")*micro, v.param("crossings.clearance_um")*micro)
		if err != nil {
			return depth.Separation{}, err
		}
		if s.Required > worst.Required {
			worst = s
		}
	}
	return worst, nil
}

func readingBudget(v known) (depth.Budget, error) {
	return depth.ReadingBudget(v.param("verification.tape_doubt_um")*micro,
		v.param("verification.datum_doubt_um")*micro, v.param("verification.display_step_um")*micro, 0)
}

// coverage is the two-sided coverage that the rules' factor has for a normal
// distribution; few readings get a larger factor for the same coverage.
func coverage(v known) float64 {
	return math.Erf(v.param("verification.cover_ppm") * micro / math.Sqrt2)
}

// readingsBudget is the mean, in metres, of the readings at one mark, which are in
// micrometres, and what it may be wrong by.
func readingsBudget(v known, readings []float64) (mean float64, b depth.Budget, err error) {
	metres := make([]float64, len(readings))
	for i, r := range readings {
		metres[i] = r * micro
	}
	return depth.ReadingsBudget(v.param("verification.tape_doubt_um")*micro, v.param("verification.datum_doubt_um")*micro,
		v.param("verification.display_step_um")*micro, metres, coverage(v))
}

// marks are the near mark, the baseline, where the receiver was set right by
// definition, and the far mark. Each has its own standard uncertainty; of gives it
// from the budget of the readings there.
func marks(v known, near, far []float64, of func(depth.Budget) float64) ([]depth.Mark, error) {
	b, err := readingBudget(v)
	if err != nil {
		return nil, err
	}
	base := v.param("calibration.baseline_um") * micro
	all := []depth.Mark{{}, {True: base, Read: base, U: b.U}, {}}
	for i, readings := range [][]float64{near, nil, far} {
		if readings == nil {
			continue
		}
		mean, b, err := readingsBudget(v, readings)
		if err != nil {
			return nil, err
		}
		all[i].Read, all[i].U = mean, of(b)
	}
	all[0].True = v.param("verification.near_mark_um") * micro
	all[2].True = v.param("verification.far_mark_um") * micro
	return all, nil
}

func curvature(v known) (c, u float64, err error) {
	// The bend may not be excused by few readings: their doubt counts as it is.
	m, err := marks(v, v.list("frequency.near_reading"), v.list("frequency.far_reading"), func(b depth.Budget) float64 { return b.U })
	if err != nil {
		return 0, 0, err
	}
	return depth.Curvature(m[0], m[1], m[2])
}

// downHole is what the readings at the marks are worth down the hole: the straight
// line through them, what tape and datum may have shifted all of them by, and one
// more reading.
//
// The fit takes the doubt of a mark as a known figure. Where it comes from few
// readings it is made wider, as Student's factor makes the expanded one.
func downHole(v known, near, far []float64) (depth.Down, error) {
	m, err := marks(v, near, far, func(b depth.Budget) float64 {
		return b.Expanded / (v.param("verification.cover_ppm") * micro)
	})
	if err != nil {
		return depth.Down{}, err
	}
	line, err := depth.FitLine(m)
	if err != nil {
		return depth.Down{}, err
	}
	return depth.Down{
		Line:     line,
		Tape:     depth.Rectangular(v.param("verification.tape_doubt_um")) / v.param("calibration.baseline_um"),
		Datum:    depth.Rectangular(v.param("verification.datum_doubt_um")) * micro,
		Reading:  depth.Rectangular(v.param("verification.display_step_um")/2) * micro,
		Coverage: coverage(v),
	}, nil
}

// doubtAt is how wrong a reading may be where the truth is at x metres.
func doubtAt(v known, x float64, near, far []float64) (int64, error) {
	d, err := downHole(v, near, far)
	if err != nil {
		return 0, err
	}
	r, err := d.At(x)
	if err != nil {
		return 0, err
	}
	return up(r.Worst / micro)
}

// deepest is the depth down to which a reading is still within tolerance and the
// signal still has the margin over the background that the rules want; zero where
// the set-up cannot show it at any depth.
func deepest(v known) (int64, error) {
	d, err := downHole(v, v.list("frequency.near_reading"), v.list("frequency.far_reading"))
	if err != nil {
		return 0, err
	}
	const limit = 100 // metres, far below any bore that a receiver on foot can follow
	x, ok, err := d.Deepest(v.param("verification.tolerance_ppm")*micro, v.param("verification.guard_ppm")*micro, limit)
	if err != nil || !ok {
		return 0, err
	}
	heard, err := depth.DeepestForMargin(v.num("frequency.signal")*milli, v.param("calibration.baseline_um")*micro,
		v.num("frequency.background")*milli, v.param("ground.noise_margin_mdb")*milli)
	if err != nil {
		return 0, err
	}
	return down(min(x, heard) / micro)
}
