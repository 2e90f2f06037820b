package depth

import (
	"cmp"
	"math"
)

// Nulls are the places on the line over the bore where a component of the field
// vanishes, as multiples of the depth, measured forward from the point directly
// above the transmitter. Depth is counted from the plane of the antenna.
type Nulls struct {
	Front, Rear float64 // no field along the drill direction
	Vertical    float64 // no vertical field; the near root
}

// NullsAt gives the nulls for a transmitter with its nose up by pitch (slope ratio
// t): the roots of 2u^2 + 3tu - 1 = 0 and of t u^2 - 3u - 2t = 0. Errors: a
// [*FieldError] naming the parameter.
//
// Source: derived from the dipole formula at [Over]; the roots are written so
// that no digits cancel.
func NullsAt(pitch float64) (Nulls, error) {
	if err := slope("pitch", pitch); err != nil {
		return Nulls{}, err
	}
	t := math.Abs(pitch)
	root := math.Sqrt(9*t*t + 8)
	small, big := 2/(3*t+root), -(3*t+root)/4
	n := Nulls{Front: small, Rear: big, Vertical: -4 * t / (3 + math.Sqrt(9+8*t*t))}
	if pitch < 0 { // the same picture seen in a mirror
		n = Nulls{Front: -big, Rear: -small, Vertical: -n.Vertical}
	}
	return n, nil
}

// DepthFromNulls is the depth in metres under the plane of the antenna when the
// front and rear axial nulls lie spacing metres apart and the nose is up by pitch
// (slope ratio): 2L / sqrt(8 + 9 t^2). It needs no calibration. With 0.1 m of doubt
// on each null the depth is good to 0.1 m. Errors: a [*FieldError] naming the
// parameter.
//
// Source: derived from the dipole formula at [Over], checked by a second method.
func DepthFromNulls(spacing, pitch float64) (float64, error) {
	if err := cmp.Or(length("spacing", spacing), slope("pitch", pitch)); err != nil {
		return 0, err
	}
	return 2 * spacing / math.Sqrt(8+9*pitch*pitch), nil
}

// CoverFromNulls is [DepthFromNulls] less the height in metres of the antenna over
// the ground. A height that leaves no cover is refused. Errors: a [*FieldError]
// naming the parameter.
//
// Source: [DepthFromNulls]; the height is a plain offset.
func CoverFromNulls(spacing, pitch, height float64) (float64, error) {
	d, err := DepthFromNulls(spacing, pitch)
	if err := cmp.Or(err, within("height", height, 0, longest)); err != nil {
		return 0, err
	}
	if height >= d {
		return 0, &FieldError{"height", "the antenna is as high over the ground as the whole depth"}
	}
	return d - height, nil
}
