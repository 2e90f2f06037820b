package depth

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Process is what comes to be measured over and over, and how: true values are
// normal about Mean with SD, a measurement adds a normal error of standard
// uncertainty U. The item conforms from Lower to Upper and is accepted if it
// measures from AcceptLower to AcceptUpper. All in one unit.
type Process struct {
	Mean, SD                 float64
	U                        float64
	Lower, Upper             float64
	AcceptLower, AcceptUpper float64
}

// Risk is what a rule costs in the long run, as shares of everything measured.
type Risk struct {
	Conforming float64 // true values within the limits
	Consumer   float64 // accepted though it does not conform
	Producer   float64 // rejected though it conforms
}

// far is how many standard deviations from the mean nothing is left.
const far = 9

// Risk is the long-run risk of the process, as a share. Errors: a [*FieldError].
//
// Source: JCGM 106:2012, clause 9 (global consumer's and producer's risk), the
// integrals taken numerically between the places where the integrand bends.
func (p Process) Risk() (Risk, error) {
	err := cmp.Or(position("Mean", p.Mean), doubt("SD", p.SD), doubt("U", p.U),
		position("Lower", p.Lower), position("Upper", p.Upper),
		position("AcceptLower", p.AcceptLower), position("AcceptUpper", p.AcceptUpper))
	switch {
	case err != nil:
		return Risk{}, err
	case p.Lower >= p.Upper:
		return Risk{}, &FieldError{"Lower", "is not below the upper limit"}
	case p.AcceptLower > p.AcceptUpper:
		return Risk{}, &FieldError{"AcceptLower", "is above the upper limit of acceptance"}
	}
	values := distuv.Normal{Mu: p.Mean, Sigma: p.SD}
	r := Risk{Conforming: values.CDF(p.Upper) - values.CDF(p.Lower)}
	places := p.places()
	for i := range places[1:] {
		from, to := places[i], places[i+1]
		accepted := quad.Fixed(func(y float64) float64 { return values.Prob(y) * p.accepts(y) }, from, to, 60, nil, 0)
		if mid := (from + to) / 2; mid < p.Lower || mid > p.Upper {
			r.Consumer += accepted
			continue
		}
		r.Producer += values.CDF(to) - values.CDF(from) - accepted
	}
	r.Consumer, r.Producer = math.Max(0, r.Consumer), math.Max(0, r.Producer)
	return settled(r, "Process", r.Conforming, r.Consumer, r.Producer)
}

// accepts is the chance that a true value is accepted.
func (p Process) accepts(y float64) float64 {
	return distuv.UnitNormal.CDF((p.AcceptUpper-y)/p.U) - distuv.UnitNormal.CDF((p.AcceptLower-y)/p.U)
}

// places are where to cut the integral, in order, within what is left of the
// process.
func (p Process) places() []float64 {
	list := []float64{p.Mean, p.Lower, p.Upper}
	for k := -far; k <= far; k += 3 {
		list = append(list, p.Mean+float64(k)*p.SD, p.AcceptLower+float64(k)*p.U, p.AcceptUpper+float64(k)*p.U)
	}
	low, high := p.Mean-far*p.SD, p.Mean+far*p.SD
	list = slices.DeleteFunc(list, func(y float64) bool { return y < low || y > high })
	slices.Sort(list)
	return slices.Compact(list)
}
