package depth

import (
	"cmp"
	"math"
)

// PitchDrift is by how many metres depth from pitch bookkeeping drifts over a bore
// of the given length in metres if the pitch sensor is off by bias (slope ratio),
// and the standard uncertainty of that from u, the one of the bias. Errors: a
// [*FieldError] naming the parameter; an uncertainty of zero is refused.
//
// Source: derived; 0.1 % over 300 ft is 0.3 ft.
func PitchDrift(bias, u, bore float64) (drift, uDrift float64, err error) {
	if err := cmp.Or(slope("bias", bias), doubt("u", u), length("bore", bore)); err != nil {
		return 0, 0, err
	}
	return settledPair(bias*bore, u*bore)
}

func settledPair(a, b float64) (float64, float64, error) {
	p, err := settled([2]float64{a, b}, "bore", a, b)
	return p[0], p[1], err
}

// Grade is a bore that must fall evenly; slope ratios.
type Grade struct {
	Planned   float64
	Tolerance float64 // allowed either way
	Step      float64 // of the pitch display; 0.001 is 0.1 %
	Zero      float64 // standard uncertainty of the pitch zero, see [PitchZeroU]
}

// GradeProof is what a pitch sensor can show of a grade; slope ratios.
type GradeProof struct {
	U        float64 // standard uncertainty of one pitch
	Expanded float64 // at k = 2
	// Shown is false if the tolerance is not wider than Expanded: whatever is
	// read, this set-up cannot show that the grade is kept.
	Shown bool
	// Falls is false if not even the direction of the fall can be shown.
	Falls bool
}

// Proof says whether the grade can be shown at all, in slope ratios. A display in tenths of a
// percent alone has u = 0.029 %. Errors: a [*FieldError] naming the field.
//
// Source: JCGM 100:2008, 4.3.7 for the step; the rule of [Decide] for capable.
func (g Grade) Proof() (GradeProof, error) {
	err := cmp.Or(slope("Planned", g.Planned), within("Tolerance", g.Tolerance, finest, steepest),
		within("Step", g.Step, finest, steepest), within("Zero", g.Zero, finest, steepest))
	if err != nil {
		return GradeProof{}, err
	}
	p := GradeProof{U: math.Hypot(Rectangular(g.Step/2), g.Zero)}
	p.Expanded = 2 * p.U
	p.Shown = p.Expanded < g.Tolerance
	p.Falls = p.Expanded < math.Abs(g.Planned)
	return p, nil
}
