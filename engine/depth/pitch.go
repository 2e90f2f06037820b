package depth

import (
	"cmp"
	"math"
)

// PitchAngle is the angle in radians of a pitch (slope ratio). Errors: a
// [*FieldError] naming the parameter.
//
// Source: definition of a slope, its tangent.
func PitchAngle(pitch float64) (float64, error) {
	if err := slope("pitch", pitch); err != nil {
		return 0, err
	}
	return math.Atan(pitch), nil
}

// AnglePitch is the pitch (slope ratio) of an angle in radians. Errors: a
// [*FieldError] naming the parameter for an angle of a pitch beyond 10.
//
// Source: definition of a slope, its tangent.
func AnglePitch(angle float64) (float64, error) {
	const limit = 1.4711276743037347 // atan of the steepest pitch
	if err := within("angle", angle, -limit, limit); err != nil {
		return 0, err
	}
	return math.Tan(angle), nil
}

// PitchZero separates the error of a pitch sensor from the slope it lies on: first
// is the pitch read, reversed the pitch read after the transmitter was turned end
// for end on the same marks; all slope ratios, bias and slope too. The mean is
// taken of the angles, since slopes do not add: for a bias of 0.3 degrees on a
// slope of 2 degrees the mean of the ratios is 0.12 % off. Errors: a [*FieldError]
// naming the parameter.
//
// Source: reversal procedure for precision levels (half the reading after a turn
// of 180 degrees).
func PitchZero(first, reversed float64) (bias, slopeOfGround float64, err error) {
	if err := cmp.Or(slope("first", first), slope("reversed", reversed)); err != nil {
		return 0, 0, err
	}
	a, b := math.Atan(first), math.Atan(reversed)
	return math.Tan((a + b) / 2), math.Tan((a - b) / 2), nil
}

// PitchZeroU is the standard uncertainty of the bias (and of the slope) from
// [PitchZero], u/sqrt(2), for a standard uncertainty u of each of the two readings;
// slope ratios, good for pitches up to a few percent. For a display in steps, u is
// [Rectangular] of half a step. Errors: a [*FieldError] naming the parameter; zero
// is refused.
//
// Source: JCGM 100:2008, 5.1.2, for the mean of two.
func PitchZeroU(u float64) (float64, error) {
	if err := doubt("u", u); err != nil {
		return 0, err
	}
	return u / math.Sqrt2, nil
}

// Rise is how many metres a straight rod of the given length in metres climbs at a
// pitch (slope ratio): length times the sine, not length times the pitch. Errors: a
// [*FieldError] naming the parameter.
//
// Source: definition of a slope: the sine of its angle.
func Rise(rod, pitch float64) (float64, error) {
	if err := cmp.Or(length("rod", rod), slope("pitch", pitch)); err != nil {
		return 0, err
	}
	return rod * pitch / math.Hypot(1, pitch), nil
}

// Bend is the rise and the advance in metres over a rod that bends evenly from the
// pitch start to the pitch end (slope ratios); a negative rise goes down. Summed
// over the rods it gives a depth independent of the receiver. Errors: a
// [*FieldError] naming the parameter.
//
// Source: the arc of a circle (the minimum-curvature method with no change of
// direction in plan).
func Bend(rod, start, end float64) (rise, advance float64, err error) {
	if err := cmp.Or(length("rod", rod), slope("start", start), slope("end", end)); err != nil {
		return 0, 0, err
	}
	a, b := math.Atan(start), math.Atan(end)
	// Chord at the mean angle, shortened by sin(h)/h: no digits cancel when the
	// rod is almost straight.
	chord, h := rod, (b-a)/2
	if h != 0 {
		chord *= math.Sin(h) / h
	}
	return chord * math.Sin((a+b)/2), chord * math.Cos((a+b)/2), nil
}
