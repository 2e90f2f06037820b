package depth

import (
	"cmp"
	"math"
)

// MatEffect is what a sheet of metal, a slab with steel or a mat, below the line
// does to a calibration on it.
type MatEffect struct {
	Reads      []float64 // at the marks asked for, metres
	Later      float64   // factor on every depth read off the mat afterwards
	ConstantDB float64   // by how much the constant comes out higher
}

// AfterMat is the effect of a wide conducting sheet that many metres below the
// line, for a calibration at baseline and readings at the marks, all on the mat;
// metres. Very near, all marks read right and every later depth a quarter too deep:
// no reading on the spot can find it. Errors: a [*FieldError] naming the parameter
// that is out of range.
//
// Source: image dipole ([SheetChange], [Under]).
func AfterMat(baseline, below float64, marks ...float64) (MatEffect, error) {
	change, err := SheetChange(baseline, below, Under, Conductor)
	if err != nil {
		return MatEffect{}, err
	}
	m := MatEffect{Later: math.Cbrt(1 + change.Axis), ConstantDB: 20 * math.Log10(1+change.Axis)}
	for _, x := range marks {
		here, err := SheetChange(x, below, Under, Conductor)
		if err != nil {
			return MatEffect{}, &FieldError{"marks", "hold a distance that cannot be used"}
		}
		m.Reads = append(m.Reads, x*math.Cbrt((1+change.Axis)/(1+here.Axis)))
	}
	return m, nil
}

// StandoffEffect is the worst that metal at a standoff can do, as shares of depth
// (0.017 is 1.7 %): to the reading at the far mark, which sits at the end of the
// longer line, and to every later depth by way of the calibration.
type StandoffEffect struct {
	Far, Later float64
}

// WorstAt is the effect of metal nowhere nearer than standoff metres to the line of
// a baseline and a far mark (metres), on one side or, if around, on both. Where
// there is no bound the standoff is refused: the metal is too close. Errors: a
// [*FieldError] naming the parameter.
//
// Source: derived, see [SignalBound] and [WorstDepthErrorBetween]. Later is the
// stricter of (1+delta)^(1/3)-1 and 1-(1-delta)^(1/3).
func WorstAt(standoff, baseline, far float64, around bool) (StandoffEffect, error) {
	bound, sides := WorstDepthError, 1.0
	if around {
		bound, sides = WorstDepthErrorBetween, 2.5
	}
	if err := length("far", far); err != nil {
		return StandoffEffect{}, err
	}
	var e StandoffEffect
	var errFar error
	e.Far, errFar = bound(far, standoff)
	delta, err := SignalBound(baseline, standoff, standoff)
	if err := cmp.Or(err, errFar); err != nil {
		return StandoffEffect{}, err
	}
	if delta *= sides; delta >= 1 {
		return StandoffEffect{}, &FieldError{"standoff", "the metal is too close for any bound"}
	}
	e.Later = 1 - math.Cbrt(1-delta)
	return settled(e, "standoff", e.Far, e.Later)
}
