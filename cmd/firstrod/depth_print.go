package main

import (
	"fmt"
	"math"
	"strconv"

	"firstrod/engine/depth"
)

// plain is a number with up to six digits.
func plain(v float64) string { return strconv.FormatFloat(v+0, 'g', 6, 64) }

// plainUp is plain, never below v.
func plainUp(v float64) string {
	s := plain(v)
	if shown, err := strconv.ParseFloat(s, 64); err == nil && shown < v {
		step := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-5)
		s = plain(shown + step)
	}
	return s
}

// withDoubt is a value and its doubt to the same place: two digits of the doubt,
// rounded up, and no digit of the value beyond them.
func withDoubt(v, u float64) (value, doubt string) {
	if u <= 0 || math.IsInf(u, 0) || math.IsNaN(u) {
		return plain(v), plain(u)
	}
	places := 1 - int(math.Floor(math.Log10(u)))
	step := math.Pow(10, float64(-places))
	up := math.Ceil(u/step-1e-9) * step
	places = max(places, 0)
	return strconv.FormatFloat(math.Round(v/step)*step+0, 'f', places, 64), strconv.FormatFloat(up, 'f', places, 64)
}

// percentUp is a relative error in percent with two digits, rounded away from
// zero.
func percentUp(e float64) string {
	_, shown := withDoubt(0, math.Abs(e)*100)
	return shown + " %"
}

// chance is a probability in percent, never rounded to certainty nor upward.
func chance(p float64) string {
	switch {
	case p >= 0.999:
		return "> 99.9 %"
	case p < 0.001:
		return "< 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", math.Floor(p*1000)/10)
}

// verdictLine is a verdict as a crew reads it.
func verdictLine(v depth.Verdict) string {
	switch v {
	case depth.Holds:
		return "HOLDS: inside the limits, with room for the doubt."
	case depth.Fails:
		return "FAILS: outside the limits by more than the doubt."
	case depth.Repeat:
		return "REPEAT: too close to a limit to say. Measure again."
	}
	return "CANNOT SHOW IT: the doubt fills the whole space between the limits. Measure better, not again."
}
