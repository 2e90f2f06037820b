package depth

import (
	"cmp"
	"math"
)

// Constant is the calibration constant k = S r^3 of a transmitter and receiver
// pair: signal is the relative amplitude S read at distance metres, with the
// transmitter level and square to the line. Unit: signal times cubic metres.
// Errors: a [*FieldError] naming the parameter.
//
// Source: the field of a magnetic dipole falls with the cube of the distance
// (em.geosci.xyz, "The sphere's dipolar response", eq. 383).
func Constant(signalRead, distance float64) (float64, error) {
	if err := cmp.Or(signal("signalRead", signalRead), length("distance", distance)); err != nil {
		return 0, err
	}
	return signalRead * distance * distance * distance, nil
}

// FromSignal is the depth in metres, d = (k/S)^(1/3), shown by a receiver with
// calibration constant k (see [Constant]) that reads the relative amplitude
// signalRead directly above a level transmitter. Errors: a [*FieldError] naming the
// parameter; the field is depth where the answer is out of range.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func FromSignal(k, signalRead float64) (float64, error) {
	const cube = longest * longest * longest
	err := cmp.Or(within("k", k, weakest/cube, strongest*cube), signal("signalRead", signalRead))
	if err != nil {
		return 0, err
	}
	d := math.Cbrt(k / signalRead)
	if err := length("depth", d); err != nil {
		return 0, err
	}
	return d, nil
}

// ChangeDB is the change of signal in decibels, 60 log10(from/to), when the
// distance goes from one value to another, both in metres. Going closer is
// positive: halving the distance adds 18.06 dB. Errors: a [*FieldError] naming the
// parameter.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func ChangeDB(from, to float64) (float64, error) {
	if err := cmp.Or(length("from", from), length("to", to)); err != nil {
		return 0, err
	}
	return 60 * math.Log10(from/to), nil
}

// DepthFactor is the factor 10^(dB/60) by which a depth reading grows when the
// signal is lossDB decibels weaker than it should be; a negative loss, a signal too
// strong, makes it shrink. One decibel is 3.9 % of depth. Errors: a [*FieldError]
// naming the parameter.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func DepthFactor(lossDB float64) (float64, error) {
	if err := decibel("lossDB", lossDB); err != nil {
		return 0, err
	}
	return math.Pow(10, lossDB/60), nil
}

// DepthError is the relative error of depth, (1+change)^(-1/3) - 1, that a relative
// change of the signal (0.03 is 3 % stronger) causes while reading. The same change
// present during calibration only, and gone later, scales every later depth by
// (1+change)^(1/3). A change of -1 or less leaves no signal and is refused. Errors:
// a [*FieldError] naming the parameter.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func DepthError(change float64) (float64, error) {
	if err := within("change", change, -1+1e-12, strongest); err != nil {
		return 0, err
	}
	return math.Expm1(-math.Log1p(change) / 3), nil
}
