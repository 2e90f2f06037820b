package engine

import (
	"math"

	"firstrod/engine/depth"
	"firstrod/engine/quantity"
)

// markDerivations are the mean of the readings at the near or the far mark, how
// well they repeat, their error, expanded uncertainty and tolerance.
func markDerivations(which string) []derivation {
	reading, mark := "frequency."+which+"_reading", "verification."+which+"_mark_um"
	base := "frequency.derived." + which
	judged := func(leaf string, kind quantity.Kind, of func(v known, mean float64, b depth.Budget) (int64, error), params ...string) derivation {
		return derivation{
			leaf: base + leaf, kind: kind, reads: []string{reading}, params: append(params, readingParams...),
			of: func(v known) (int64, error) {
				mean, b, err := readingsBudget(v, v.list(reading))
				if err != nil {
					return 0, err
				}
				return of(v, mean/micro, b)
			},
		}
	}
	return []derivation{
		judged("_mean_um", quantity.Length, func(_ known, mean float64, _ depth.Budget) (int64, error) {
			return whole(math.Round(mean))
		}),
		judged("_repeat_um", quantity.Length, func(_ known, _ float64, b depth.Budget) (int64, error) {
			return up(b.U * math.Sqrt(b.Share("repeatability")) / micro)
		}),
		judged("_error_um", quantity.Length, func(v known, mean float64, _ depth.Budget) (int64, error) {
			return away(mean - v.param(mark))
		}, mark),
		judged("_expanded_um", quantity.Length, func(v known, _ float64, b depth.Budget) (int64, error) {
			return up(b.Expanded / micro * v.param("verification.guard_ppm") * micro)
		}),
		{
			leaf: base + "_count", kind: quantity.Count, reads: []string{reading},
			of: func(v known) (int64, error) { return int64(len(v.list(reading))), nil },
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
func knownPointDerivations(truth, reading, base string) []derivation {
	reads := []string{truth, reading}
	return []derivation{
		{
			leaf: base + "_error_um", kind: quantity.Length, reads: reads,
			of: func(v known) (int64, error) { return away(v.num(reading) - v.num(truth)) },
		},
		{
			leaf: base + "_expanded_um", kind: quantity.Length, reads: reads, params: readingParams,
			of: func(v known) (int64, error) {
				b, err := readingBudget(v)
				if err != nil {
					return 0, err
				}
				return up(b.U * v.param("verification.cover_ppm") * micro * v.param("verification.guard_ppm"))
			},
		},
		{
			leaf: base + "_tolerance_um", kind: quantity.Length, reads: reads, params: []string{"verification.tolerance_ppm"},
			of: func(v known) (int64, error) {
				return down(v.num(truth) * v.param("verification.tolerance_ppm") * micro)
			},
		},
	}
}

// metalDerivations say, for whoever reads why, what metal at the distance given can
// do at worst. No rule reads them.
func metalDerivations() []derivation {
	worst := func(leaf, ask string, pick func(depth.StandoffEffect) float64) derivation {
		return derivation{
			leaf: leaf, kind: quantity.Percent, reads: []string{ask},
			params: []string{"calibration.baseline_um", "verification.far_mark_um"},
			of: func(v known) (int64, error) {
				e, err := depth.WorstAt(v.num(ask)*micro, v.param("calibration.baseline_um")*micro, v.param("verification.far_mark_um")*micro, false)
				if err != nil {
					return 1_000_000, nil // so near that there is no bound below the whole
				}
				n, err := up(pick(e) / micro)
				return (n + 999) / 1000 * 1000, err
			},
		}
	}
	return []derivation{
		worst("derived.metal_effect_ppm", "metal_distance", func(e depth.StandoffEffect) float64 { return e.Later }),
		worst("derived.metal_far_effect_ppm", "metal_distance_far", func(e depth.StandoffEffect) float64 { return e.Far }),
	}
}

// nullDerivations hold the depth shown against the depth that the spacing of the
// null points gives. What they may differ by is the tolerance that the readings
// were verified to, and what the null points may be wrong by.
func nullDerivations() []derivation {
	reads := []string{"null_spacing", "null_pitch", "null_height", "null_reading"}
	params := append([]string{"tracking.null_doubt_um", "tracking.height_doubt_um", "tracking.pitch_doubt_ppm",
		"verification.tolerance_ppm"}, readingParams...)
	return []derivation{
		{leaf: "derived.null_error_um", kind: quantity.Length, reads: reads, params: params,
			of: func(v known) (int64, error) {
				cover, err := nullCover(v)
				if err != nil {
					return 0, err
				}
				return away(v.num("null_reading") - cover.Value/micro)
			}},
		{leaf: "derived.null_allowed_um", kind: quantity.Length, reads: reads, params: params,
			of: func(v known) (int64, error) {
				cover, err := nullCover(v)
				if err != nil {
					return 0, err
				}
				doubt := v.param("verification.cover_ppm") * micro * cover.U / micro
				return down(math.Abs(cover.Value/micro)*v.param("verification.tolerance_ppm")*micro + doubt)
			}},
	}
}

// nullCover is the depth under the ground from the null points. An antenna that was
// higher than they are deep, as a height given wrongly makes it, comes out above the
// ground: that is no fault of the rule, it disagrees with whatever is shown.
func nullCover(v known) (depth.Value, error) {
	at := depth.Rectangular(v.param("tracking.null_doubt_um")) * micro
	cover, err := depth.NullSight{
		Front:  depth.Value{Value: v.num("null_spacing") * micro, U: at},
		Rear:   depth.Value{U: at},
		Pitch:  depth.Value{Value: v.num("null_pitch") * micro, U: depth.Rectangular(v.param("tracking.pitch_doubt_ppm")) * micro},
		Height: depth.Value{U: depth.Rectangular(v.param("tracking.height_doubt_um")) * micro},
	}.Cover()
	cover.Value -= v.num("null_height") * micro
	return cover, err
}
