package depth

import (
	"cmp"
	"math"
)

// Adding says how a background signal adds to the transmitter's.
type Adding string

// The ways of adding. The phase of a background at the transmitter's own
// frequency is not known beforehand: OutOfPhase is the stricter assumption, and
// the one that makes a reading too deep.
const (
	Incoherent Adding = "incoherent"   // in power; ordinary background
	InPhase    Adding = "in_phase"     // amplitude added; reads too shallow
	OutOfPhase Adding = "out_of_phase" // amplitude taken away; reads too deep
)

// SignalAt is the signal in decibels to expect directly above the transmitter at a
// depth, from the signal in decibels read at the calibration baseline; both
// distances in metres: S - 60 log10(depth/baseline). Errors: a [*FieldError] naming
// the parameter.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func SignalAt(signalAtBaseline, baseline, depth float64) (float64, error) {
	err := cmp.Or(decibel("signalAtBaseline", signalAtBaseline),
		length("baseline", baseline), length("depth", depth))
	if err != nil {
		return 0, err
	}
	return signalAtBaseline - 60*math.Log10(depth/baseline), nil
}

// Margin is by how many decibels the signal to expect at a depth (see [SignalAt])
// stands over the background, which is in decibels on the same scale and read with
// the transmitter off. It may be negative. Errors: a [*FieldError] naming the
// parameter.
//
// Source: [SignalAt].
func Margin(signalAtBaseline, baseline, background, depth float64) (float64, error) {
	s, err := SignalAt(signalAtBaseline, baseline, depth)
	if err := cmp.Or(err, decibel("background", background)); err != nil {
		return 0, err
	}
	return s - background, nil
}

// NeededMargin is the signal over background in decibels at which the background
// alone shifts the depth by relError (0.01 is 1 %), for a calibration that was
// clean. relError lies above 0 and not above 0.5. Errors: a [*FieldError] naming
// the parameter.
//
// Source: derived from d = (k/S)^(1/3): a signal 1+n times as strong reads
// (1+n)^(-1/3) times as deep.
func NeededMargin(relError float64, how Adding) (float64, error) {
	if err := within("relError", relError, 1e-6, 0.5); err != nil {
		return 0, err
	}
	var n float64 // background over signal, as amplitude
	switch how {
	case Incoherent:
		n = math.Sqrt(math.Expm1(-6 * math.Log1p(-relError)))
	case InPhase:
		n = math.Expm1(-3 * math.Log1p(-relError))
	case OutOfPhase:
		n = -math.Expm1(-3 * math.Log1p(relError))
	default:
		return 0, &FieldError{"how", "is none of the ways a background adds"}
	}
	return -20 * math.Log10(n), nil
}

// NoiseError is the relative error of depth that a background causes when the
// signal stands margin decibels over it; the inverse of [NeededMargin], with its
// sign: negative is too shallow. Out of phase with no margin there is no signal
// left, which is refused. Errors: a [*FieldError] naming the parameter.
//
// Source: as for [NeededMargin].
func NoiseError(margin float64, how Adding) (float64, error) {
	if err := within("margin", margin, -200, 200); err != nil {
		return 0, err
	}
	n := math.Pow(10, -margin/20)
	switch how {
	case Incoherent:
		return math.Expm1(-math.Log1p(n*n) / 6), nil
	case InPhase:
		return DepthError(n)
	case OutOfPhase:
		if n >= 1 {
			return 0, &FieldError{"margin", "the background cancels the signal"}
		}
		return DepthError(-n)
	}
	return 0, &FieldError{"how", "is none of the ways a background adds"}
}
