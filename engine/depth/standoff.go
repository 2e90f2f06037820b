package depth

import (
	"cmp"
	"math"
)

// SignalBound is the largest relative change of the signal over a baseline that
// any passive metal can cause, whatever its shape and whether it conducts, is
// magnetic or both, if all of it lies behind some plane that is toTransmitter
// and toReceiver metres away: (1/4) (r^2 / (sT sR))^(3/2).
//
// It does not hold for metal on two sides (see [WorstDepthErrorBetween]) nor for
// anything that carries a current of its own, which is background. Errors: a
// [*FieldError] naming the parameter.
//
// Source: derived (the half-space dominates every body inside it); an
// engineering bound, not published. Exact planes reach 0.66 of it at s = r and
// 0.97 at s = 4r.
func SignalBound(baseline, toTransmitter, toReceiver float64) (float64, error) {
	err := cmp.Or(length("baseline", baseline),
		length("toTransmitter", toTransmitter), length("toReceiver", toReceiver))
	if err != nil {
		return 0, err
	}
	q := (baseline / toTransmitter) * (baseline / toReceiver)
	return q * math.Sqrt(q) / 4, nil
}

// WorstDepthError is the largest relative error of depth that metal on one side,
// nowhere nearer than standoff metres to a baseline of that many metres, can cause;
// the larger of the two sides, (1-delta)^(-1/3) - 1 with delta from [SignalBound].
// Where delta reaches 1 there is no bound and the standoff is refused: treat that
// as metal too close. Errors: a [*FieldError] naming the parameter.
//
// Source: derived, see [SignalBound].
func WorstDepthError(baseline, standoff float64) (float64, error) {
	return worst(baseline, standoff, 1)
}

// WorstDepthErrorBetween is [WorstDepthError] for metal on both sides, each no
// nearer than standoff metres: two and a half times the change of signal. Errors: a
// [*FieldError] naming the parameter.
//
// Source: derived; two equal planes reach 2.404 times the single one (zeta(3)/2
// against 1/4).
func WorstDepthErrorBetween(baseline, standoff float64) (float64, error) {
	return worst(baseline, standoff, 2.5)
}

func worst(baseline, standoff, sides float64) (float64, error) {
	if err := cmp.Or(length("baseline", baseline), length("standoff", standoff)); err != nil {
		return 0, err
	}
	delta, err := SignalBound(baseline, standoff, standoff)
	if err != nil {
		return 0, err
	}
	if delta *= sides; delta >= 1 {
		return 0, &FieldError{"standoff", "the metal is too close for any bound"}
	}
	return DepthError(-delta)
}

// StandoffFor is the distance in metres at which metal on one side of a baseline of
// that many metres cannot shift the depth by more than relError (0.01 is 1 %; not
// above 0.5): the inverse of [WorstDepthError]. Errors: a [*FieldError] naming the
// parameter.
//
// Source: derived, see [SignalBound].
func StandoffFor(baseline, relError float64) (float64, error) {
	return standoff(baseline, relError, 1)
}

// StandoffForBetween is [StandoffFor] for metal on both sides, each that many
// metres away: the inverse of [WorstDepthErrorBetween]. Errors: a [*FieldError]
// naming the parameter.
//
// Source: derived, see [WorstDepthErrorBetween].
func StandoffForBetween(baseline, relError float64) (float64, error) {
	return standoff(baseline, relError, 2.5)
}

func standoff(baseline, relError, sides float64) (float64, error) {
	if err := cmp.Or(length("baseline", baseline), within("relError", relError, 1e-6, 0.5)); err != nil {
		return 0, err
	}
	delta := -math.Expm1(-3 * math.Log1p(relError))
	return settled(baseline/math.Cbrt(4*delta/sides), "baseline", baseline)
}
