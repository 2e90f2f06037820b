package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// step is a round number (1, 2 or 5 times a power of ten) that cuts a span into
// at most parts pieces.
func step(span float64, parts int) float64 {
	if span <= 0 {
		return 1
	}
	raw := span / float64(parts)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// ticks are round values from low to high, at most parts+1 of them.
func ticks(low, high float64, parts int) []plot.Tick {
	s := step(high-low, parts)
	places := max(0, -int(math.Floor(math.Log10(s)+1e-9)))
	var all []plot.Tick
	first := math.Ceil(low/s - 1e-9)
	for k := range parts + 1 {
		if v := (first + float64(k)) * s; v <= high+1e-9*s {
			all = append(all, plot.Tick{Value: v, Label: shown(v, places)})
		}
	}
	return all
}

// shown is a value with so many places, and no minus before a zero.
func shown(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if zero, err := strconv.ParseFloat(s, 64); err == nil && zero == 0 {
		return strconv.FormatFloat(0, 'f', places, 64)
	}
	return s
}
