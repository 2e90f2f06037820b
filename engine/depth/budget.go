package depth

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// TwoSigma is the two-sided coverage at which the coverage factor is 2 when the
// degrees of freedom are infinite ("95.45 %").
const TwoSigma = 0.95449973610364158

// Part is one source of doubt: its standard uncertainty, the degrees of freedom
// of that figure (0 means infinite), and how much the result moves per unit of
// it. Sensitivity must be set: 1 for a part already in the unit of the result.
type Part struct {
	Name        string
	U           float64
	DOF         float64
	Sensitivity float64
}

// Share is how much of a combined variance one part makes up, 0 to 1.
type Share struct {
	Name  string
	Share float64
}

// Budget is a combined uncertainty in the unit of the result.
type Budget struct {
	U        float64 // combined standard uncertainty
	DOF      float64 // effective degrees of freedom, not rounded; 0 means infinite
	K        float64 // coverage factor
	Expanded float64 // K times U
	Coverage float64 // two-sided, as asked for
	Shares   []Share // largest first
}

// Share is the share of the combined variance that the part of that name makes up,
// 0 to 1; 0 where there is none.
func (b Budget) Share(name string) float64 {
	sum := 0.0
	for _, s := range b.Shares {
		if s.Name == name {
			sum += s.Share
		}
	}
	return sum
}

// Rectangular is the standard uncertainty half/sqrt(3) of a value known only to
// lie within plus or minus half. A negative half or one that is not finite is
// passed on as it is, to be refused by [Combine].
//
// Source: JCGM 100:2008, 4.3.7.
func Rectangular(half float64) float64 { return half / math.Sqrt(3) }

// Repeatability is the mean of two or more readings, the standard uncertainty of
// that mean, s/sqrt(n), and its degrees of freedom n-1. Errors: a [*FieldError]
// naming the parameter or the reading.
//
// Source: JCGM 100:2008, 4.2.
func Repeatability(readings []float64) (mean, u, dof float64, err error) {
	if len(readings) < 2 {
		return 0, 0, 0, &FieldError{"readings", "at least two are needed"}
	}
	for i, v := range readings {
		if err := position(fmt.Sprintf("readings[%d]", i), v); err != nil {
			return 0, 0, 0, err
		}
	}
	n := float64(len(readings))
	mean, s := stat.MeanStdDev(readings, nil)
	return mean, stat.StdErr(s, n), n - 1, nil
}

// Combine adds independent parts in quadrature and expands the sum to the two-sided
// coverage asked for (0.5 to 0.999999; see [TwoSigma]). The effective degrees of
// freedom follow Welch and Satterthwaite; the factor K is Student's t for them
// rounded down, which is the cautious side, and the normal factor when every part's
// are infinite. A budget that comes to zero is refused. Errors: a [*FieldError]
// naming the parameter or the part.
//
// Source: JCGM 100:2008, 5.1.2 and G.4.
func Combine(parts []Part, coverage float64) (Budget, error) {
	if err := within("coverage", coverage, 0.5, 0.999999); err != nil {
		return Budget{}, err
	}
	u := 0.0
	for i, p := range parts {
		if err := p.check(i); err != nil {
			return Budget{}, err
		}
		u = math.Hypot(u, p.U*p.Sensitivity)
	}
	if u == 0 {
		return Budget{}, &FieldError{"parts", "come to zero: nothing is measured without uncertainty"}
	}
	b := Budget{U: u, Coverage: coverage}
	inverse := 0.0 // of the degrees of freedom
	for _, p := range parts {
		// Shares of the whole, so that no fourth power can under- or overflow.
		r := p.U * p.Sensitivity / u
		b.Shares = append(b.Shares, Share{p.Name, r * r})
		if p.DOF > 0 {
			inverse += r * r * r * r / p.DOF
		}
	}
	slices.SortStableFunc(b.Shares, func(x, y Share) int { return cmp.Compare(y.Share, x.Share) })
	if inverse > 0 {
		b.DOF = 1 / inverse
	}
	if math.IsInf(b.DOF, 1) {
		b.DOF = mostDOF // a part so small that its doubt about itself is nothing
	}
	b.K = factor(b.DOF, coverage)
	b.Expanded = b.K * b.U
	return settled(b, "parts", b.U, b.DOF, b.K, b.Expanded)
}

func (p Part) check(i int) error {
	err := cmp.Or(p.freedom(), within("U", p.U, 0, 1e9), within("Sensitivity", p.Sensitivity, -1e9, 1e9))
	if field, ok := errors.AsType[*FieldError](err); ok {
		return &FieldError{fmt.Sprintf("parts[%d].%s", i, field.Field), field.Why}
	}
	return err
}

func (p Part) freedom() error {
	if p.Sensitivity == 0 {
		return &FieldError{"Sensitivity", "is not set"}
	}
	if p.DOF == 0 {
		return nil
	}
	return within("DOF", p.DOF, 1, math.MaxFloat64)
}

// mostDOF is the largest number of degrees of freedom given to Student's t.
// More would change the factor by less than 3 parts in a million, downward.
const mostDOF = 1e6

// factor is the two-sided coverage factor; dof 0 means infinite.
func factor(dof, coverage float64) float64 {
	p := (1 + coverage) / 2
	if dof == 0 {
		return distuv.UnitNormal.Quantile(p)
	}
	// The small term keeps a whole number that came out a rounding error low.
	whole := math.Max(1, math.Floor(math.Min(dof, mostDOF)+1e-9))
	return distuv.StudentsT{Sigma: 1, Nu: whole}.Quantile(p)
}

// FewestRepeats is how many readings of one thing say how well it repeats. Two
// have one degree of freedom, and Student's factor for that is 14.
const FewestRepeats = 3

// ReadingsBudget is the mean of one or more readings at a mark, metres, and its
// budget at the two-sided coverage (see [Combine]). tape, datum and displayStep
// are as in [ReadingBudget]. From [FewestRepeats] readings on their scatter is a
// part of its own, with n-1 degrees of freedom; fewer say nothing of it, and the
// display step has to cover it. Errors: a [*FieldError]; a reading of zero or below
// is refused.
//
// Source: JCGM 100:2008, 4.2 (type A) with 5.1.2 and G.4.
func ReadingsBudget(tape, datum, displayStep float64, readings []float64, coverage float64) (mean float64, b Budget, err error) {
	err = cmp.Or(within("tape", tape, 0, longest), within("datum", datum, 0, longest),
		within("displayStep", displayStep, 0, longest))
	if err == nil && len(readings) == 0 {
		err = &FieldError{"readings", "there are none"}
	}
	for i, r := range readings {
		if err == nil && length("", r) != nil {
			err = length(fmt.Sprintf("readings[%d]", i), r)
		}
	}
	if err != nil {
		return 0, Budget{}, err
	}
	mean = stat.Mean(readings, nil)
	repeat := Part{Name: "repeatability", Sensitivity: 1}
	if len(readings) >= FewestRepeats {
		if mean, repeat.U, repeat.DOF, err = Repeatability(readings); err != nil {
			return 0, Budget{}, err
		}
	}
	b, err = Combine([]Part{
		{Name: "tape", U: Rectangular(tape), Sensitivity: 1},
		{Name: "datum", U: Rectangular(datum), Sensitivity: 1},
		{Name: "display step", U: Rectangular(displayStep / 2), Sensitivity: 1},
		repeat,
	}, coverage)
	if err != nil {
		return 0, Budget{}, err
	}
	return mean, b, nil
}

// ReadingBudget is the budget of one verification reading in metres, at the
// coverage [TwoSigma]: tape and datum are half-ranges within which the mark's
// distance and the reference points of the coil and the antenna lie, displayStep is
// the full step of the display, and repeat is the standard uncertainty of
// repeatability (0 if it was not taken; the step then has to cover it). Errors: a
// [*FieldError] naming the parameter, or parts where all are zero.
//
// Source: JCGM 100:2008, 4.3.7 for the half-ranges, 5.1.2 for the sum.
func ReadingBudget(tape, datum, displayStep, repeat float64) (Budget, error) {
	err := cmp.Or(within("tape", tape, 0, longest), within("datum", datum, 0, longest),
		within("displayStep", displayStep, 0, longest), within("repeat", repeat, 0, longest))
	if err != nil {
		return Budget{}, err
	}
	return Combine([]Part{
		{Name: "tape", U: Rectangular(tape), Sensitivity: 1},
		{Name: "datum", U: Rectangular(datum), Sensitivity: 1},
		{Name: "display step", U: Rectangular(displayStep / 2), Sensitivity: 1},
		{Name: "repeatability", U: repeat, Sensitivity: 1},
	}, TwoSigma)
}
