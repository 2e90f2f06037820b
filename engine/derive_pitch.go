package engine

import (
	"math"

	"firstrod/engine/depth"
	"firstrod/engine/quantity"
)

// pitchDerivations are the error of the pitch zero, what it does to the depth over
// the length of the bore, and what a graded bore may be off by unseen.
func pitchDerivations() []derivation {
	both := []string{"pitch_first", "pitch_reversed"}
	long := append([]string{"planned_length"}, both...)
	graded := append([]string{"grade", "grade_tolerance", "pitch_step"}, both...)
	read := []string{"tracking.pitch_doubt_ppm", "verification.cover_ppm"}
	drift := func(leaf string, of func(drift, u, cover float64) float64) derivation {
		return derivation{leaf: leaf, kind: quantity.Length, reads: long, params: read, of: func(v known) (int64, error) {
			u, err := depth.PitchZeroU(depth.Rectangular(v.param("tracking.pitch_doubt_ppm")) * micro)
			if err != nil {
				return 0, err
			}
			bias, err := pitchBias(v)
			if err != nil {
				return 0, err
			}
			d, uDrift, err := depth.PitchDrift(bias, u, v.num("planned_length")*micro)
			if err != nil {
				return 0, err
			}
			return up(of(math.Abs(d), uDrift, v.param("verification.cover_ppm")*micro) / micro)
		}}
	}
	doubt := func(leaf string, kind quantity.Kind, reads []string, of func(v known, doubt float64) float64) derivation {
		return derivation{leaf: leaf, kind: kind, reads: reads, params: read[1:], of: func(v known) (int64, error) {
			d, err := gradeDoubt(v)
			if err != nil {
				return 0, err
			}
			return up(of(v, d) / micro)
		}}
	}
	return []derivation{
		{
			leaf: "derived.pitch_bias_ppm", kind: quantity.Percent, reads: both,
			of: func(v known) (int64, error) {
				bias, err := pitchBias(v)
				if err != nil {
					return 0, err
				}
				return away(bias / micro)
			},
		},
		drift("derived.pitch_drift_um", func(drift, _, _ float64) float64 { return drift }),
		drift("derived.pitch_drift_expanded_um", func(_, u, cover float64) float64 { return cover * u }),
		doubt("derived.grade_doubt_ppm", quantity.Percent, graded, func(_ known, doubt float64) float64 { return doubt }),
		doubt("derived.grade_drift_um", quantity.Length, append([]string{"planned_length"}, graded...),
			func(v known, doubt float64) float64 { return doubt * v.num("planned_length") * micro }),
	}
}

func pitchBias(v known) (float64, error) {
	bias, _, err := depth.PitchZero(v.num("pitch_first")*micro, v.num("pitch_reversed")*micro)
	return bias, err
}

// gradeDoubt is what the pitch of a graded bore may be wrong by: the zero as it was
// found, which nobody takes off what is read, and on top of it what the display step
// hides of the pitch and of the zero.
func gradeDoubt(v known) (float64, error) {
	step := v.num("pitch_step") * micro
	zero, err := depth.PitchZeroU(depth.Rectangular(step / 2))
	if err != nil {
		return 0, err
	}
	bias, err := pitchBias(v)
	if err != nil {
		return 0, err
	}
	proof, err := depth.Grade{Planned: v.num("grade") * micro, Tolerance: v.num("grade_tolerance") * micro, Step: step, Zero: zero}.Proof()
	return math.Abs(bias) + v.param("verification.cover_ppm")*micro*proof.U, err
}
