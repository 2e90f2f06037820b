package depth

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surface is what a receiver feels at one point over a transmitter. X is along
// the drill direction, Y to the side, Z up, all relative to the field directly
// above the same transmitter lying level at the same depth (which is 1).
type Surface struct {
	X, Y, Z float64
	Total   float64 // length of the vector
	Depth   float64 // metres; the depth a receiver shows that measures Total
	below   float64 // metres; the true depth
}

// Over is the field at a point x metres ahead and y metres to the side of the point
// directly above a transmitter, below metres beneath the plane of the receiver's
// antenna, whose nose is up by pitch (slope ratio). Errors: a [*FieldError] naming
// the parameter.
//
// Source: B = 3 (m.r) r / r^5 - m / r^3 (em.geosci.xyz, eq. 383), quasi-static
// near field; good while the distance is far below a wavelength.
func Over(x, y, below, pitch float64) (Surface, error) {
	err := cmp.Or(position("x", x), position("y", y), length("below", below), slope("pitch", pitch))
	if err != nil {
		return Surface{}, err
	}
	// In units of the depth, so that the scale of the site cannot matter.
	b := dipole(attitude(pitch), r3.Vec{X: x / below, Y: y / below, Z: 1})
	s := Surface{X: b.X, Y: b.Y, Z: b.Z, Total: r3.Norm(b), below: below}
	s.Depth = below / math.Cbrt(s.Total)
	return settled(s, "below", s.X, s.Y, s.Z, s.Total, s.Depth)
}

// AxialDepth is the depth in metres shown by a receiver with one antenna along the
// drill direction. At an axial null there is no such depth: a [*FieldError].
// Errors: a [*FieldError] on X.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func (s Surface) AxialDepth() (float64, error) {
	const nothing = 1e-9 // of the field above a level transmitter
	if math.IsNaN(s.X) || math.Abs(s.X) < nothing {
		return 0, &FieldError{"X", "there is no field along the drill direction here"}
	}
	return s.below / math.Cbrt(math.Abs(s.X)), nil
}

// Misaim is the factor on the distance read along the baseline when the
// transmitter is turned by angle radians away from square: total for a receiver
// that measures the whole field, axis for one with a single antenna. An angle
// at which the single antenna reads nothing is refused.
//
// Five degrees keeps both within 0.8 %. Errors: a [*FieldError] naming the
// parameter.
//
// Source: derived from the dipole formula at [Over].
func Misaim(angle float64) (total, axis float64, err error) {
	if err := within("angle", angle, -math.Pi, math.Pi); err != nil {
		return 0, 0, err
	}
	s := math.Sin(angle) * math.Sin(angle)
	left := math.Abs(1 - 3*s)
	if err := signal("angle", left); err != nil {
		return 0, 0, &FieldError{"angle", "a single antenna reads nothing at this angle"}
	}
	return math.Pow(1+3*s, -1.0/6), 1 / math.Cbrt(left), nil
}

// attitude is the unit moment of a transmitter with its nose up by pitch.
func attitude(pitch float64) r3.Vec {
	h := math.Hypot(1, pitch)
	return r3.Vec{X: 1 / h, Z: pitch / h}
}

// dipole is the field of moment m at the offset r from it, in units in which a
// unit moment gives 1 broadside at distance 1.
func dipole(m, r r3.Vec) r3.Vec {
	n := r3.Norm(r)
	u := r3.Scale(1/n, r)
	return r3.Scale(1/(n*n*n), r3.Sub(r3.Scale(3*r3.Dot(m, u), u), m))
}
