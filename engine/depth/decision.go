package depth

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Verdict is the outcome of a guarded decision. The zero value is no verdict.
type Verdict string

// The verdicts. Only Holds lets work go on.
const (
	Holds      Verdict = "holds"
	Fails      Verdict = "fails"
	Repeat     Verdict = "repeat"      // too close to the limit to say
	NotCapable Verdict = "not_capable" // this set-up could never show that it holds
)

// Decide judges a miss (reading minus truth, either sign) against a tolerance,
// kept back by guard times the expanded uncertainty; all but guard in one unit,
// commonly metres. With w = guard * expanded:
//
//	NotCapable  w >= tolerance (looked at first)
//	Holds       |miss| <= tolerance - w
//	Fails       |miss| >  tolerance + w
//	Repeat      between
//
// Guard 1 is the usual choice: a result exactly at the limit then conforms with
// probability 0.977. Guard 0 is plain acceptance. Expanded must be above zero.
// Errors: a [*FieldError] naming the parameter.
//
// Source: ILAC-G8:09/2019, 4.2 (guard band w = r U); JCGM 106:2012, clause 8.
func Decide(miss, expanded, tolerance, guard float64) (Verdict, error) {
	err := cmp.Or(position("miss", miss), doubt("expanded", expanded),
		within("tolerance", tolerance, finest, longest), within("guard", guard, 0, 10))
	if err != nil {
		return "", err
	}
	w := guard * expanded
	e := math.Abs(miss)
	switch {
	case w >= tolerance:
		return NotCapable, nil
	case e <= tolerance-w:
		return Holds, nil
	case e > tolerance+w:
		return Fails, nil
	}
	return Repeat, nil
}

// Conformance is the probability that the true value lies within the limits, given
// the measured value and its standard uncertainty u, for a normal distribution.
// Either limit may be nil, not both; all in one unit. Errors: a [*FieldError]
// naming the parameter.
//
// Source: JCGM 106:2012, clause 7.
func Conformance(lower, upper *float64, value, u float64) (float64, error) {
	if err := cmp.Or(position("value", value), doubt("u", u)); err != nil {
		return 0, err
	}
	low, high := math.Inf(-1), math.Inf(1)
	if lower != nil {
		if err := position("lower", *lower); err != nil {
			return 0, err
		}
		low = (*lower - value) / u
	}
	if upper != nil {
		if err := position("upper", *upper); err != nil {
			return 0, err
		}
		high = (*upper - value) / u
	}
	switch {
	case lower == nil && upper == nil:
		return 0, &FieldError{"lower", "there is neither a lower nor an upper limit"}
	case low >= high:
		return 0, &FieldError{"lower", "is not below the upper limit"}
	case low > 0: // take the difference of the two small tails
		low, high = -high, -low
	}
	return distuv.UnitNormal.CDF(high) - distuv.UnitNormal.CDF(low), nil
}
