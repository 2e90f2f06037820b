package depth

import (
	"cmp"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wall says how a large flat sheet of metal lies to the baseline.
type Wall string

// The ways a sheet lies, for a transmitter square to the baseline.
const (
	Beside Wall = "beside" // along the baseline; the transmitter points at it
	Under  Wall = "under"  // along baseline and transmitter: a mat below the line
	Across Wall = "across" // square to the baseline, behind one end
)

// Metal is one of the two extremes between which real metal lies.
type Metal string

// The extremes.
const (
	Conductor Metal = "conductor" // keeps the field out
	Permeable Metal = "permeable" // draws the field in
)

// Change is how a sheet changes the signal, relative (0.03 is 3 % stronger), for
// a receiver with one antenna along the transmitter and for one that measures
// the whole field. [DepthError] turns either into an error of depth.
type Change struct {
	Axis, Total float64
}

// SheetChange is the change of signal over a baseline caused by an endless flat
// sheet, standoff metres from it (for Across: from the nearer end); metres. Errors:
// a [*FieldError] naming the parameter.
//
// Source: image dipole, exact for both extremes (K. T. McDonald, "Dielectric
// (and magnetic) image methods"; szhorvat.net, PHYS205 notes, magnet above a
// superconducting plane).
func SheetChange(baseline, standoff float64, wall Wall, metal Metal) (Change, error) {
	if err := cmp.Or(length("baseline", baseline), length("standoff", standoff)); err != nil {
		return Change{}, err
	}
	// Transmitter at the origin with its moment along x, receiver on y at 1.
	moment, receiver := r3.Vec{X: 1}, r3.Vec{Y: 1}
	var normal r3.Vec
	switch wall {
	case Beside:
		normal = r3.Vec{X: 1}
	case Under:
		normal = r3.Vec{Z: -1}
	case Across:
		normal = r3.Vec{Y: -1}
	default:
		return Change{}, &FieldError{"wall", "is none of the ways a sheet lies"}
	}
	image := r3.Sub(moment, r3.Scale(2*r3.Dot(moment, normal), normal))
	switch metal {
	case Conductor:
	case Permeable:
		image = r3.Scale(-1, image)
	default:
		return Change{}, &FieldError{"metal", "is neither of the two extremes"}
	}
	at := r3.Scale(2*standoff/baseline, normal)
	plain := dipole(moment, receiver)
	extra := dipole(image, r3.Sub(receiver, at))
	c := Change{
		Axis:  r3.Dot(extra, moment) / r3.Dot(plain, moment),
		Total: r3.Norm(r3.Add(plain, extra))/r3.Norm(plain) - 1,
	}
	return settled(c, "standoff", c.Axis, c.Total)
}
