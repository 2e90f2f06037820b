package depth

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Mark is one place of known distance: the true distance, what was read there,
// and the standard uncertainty of the difference; metres.
type Mark struct {
	True, Read, U float64
}

// Line is a straight line read = Intercept + Slope * true. Slope off 1 is an
// error of scale, Intercept off 0 one of datum. Only a fit makes a usable Line.
type Line struct {
	Intercept, Slope   float64
	UIntercept, USlope float64 // standard uncertainties
	Correlation        float64 // between Intercept and Slope
	ResidualSD         float64 // scatter about the line, metres; 0 with two marks
	DOF                int     // of ResidualSD: number of marks less two
	ChiSquared         float64 // weighted fits only: sum of (residual/U)^2

	marks                int
	byScatter            bool
	centre, level, uAtIt float64 // the line at the weighted centre of the marks
}

// FitLine fits a straight line through two or more marks at different places,
// each weighted with 1/U^2. The uncertainties of the line follow from the marks'
// U alone, as known figures: their degrees of freedom are infinite. A U of zero
// is refused, and so are marks whose U differ by more than ten thousand times.
//
// The fit takes the marks to be independent. What they share (a datum wrong at all
// of them, a tape wrong in scale) it cannot see: give it to [Line.BudgetAt] as a
// part of its own. Errors: a [*FieldError] naming the parameter of a mark, or
// marks.
//
// Source: JCGM 100:2008, H.3, with weights.
func FitLine(marks []Mark) (Line, error) {
	weights := make([]float64, len(marks))
	least, most := math.Inf(1), 0.0
	for i, m := range marks {
		if err := doubt(fmt.Sprintf("marks[%d].U", i), m.U); err != nil {
			return Line{}, err
		}
		least, most = min(least, m.U), max(most, m.U)
	}
	if most > 1e4*least {
		return Line{}, &FieldError{"marks", "their uncertainties differ by more than ten thousand times"}
	}
	for i, m := range marks {
		r := least / m.U // the best mark weighs 1
		weights[i] = r * r
	}
	line, err := fit(marks, weights, 2)
	if err != nil {
		return Line{}, err
	}
	line.spread(marks, weights, least)
	for _, m := range marks {
		r := (m.Read - line.height(m.True)) / m.U
		line.ChiSquared += r * r
	}
	return settled(line, "marks", line.ChiSquared, line.UIntercept, line.USlope)
}

// FitLineByScatter fits a straight line through three or more marks, all with the
// same weight, and takes the uncertainty from their scatter about the line; U of
// the marks is not looked at. The uncertainties have DOF degrees of freedom: with
// three marks that is one, and says little. Errors: a [*FieldError] naming the
// parameter of a mark, or marks.
//
// Source: JCGM 100:2008, H.3.
func FitLineByScatter(marks []Mark) (Line, error) {
	weights := make([]float64, len(marks))
	floats.AddConst(1, weights)
	line, err := fit(marks, weights, 3)
	if err != nil {
		return Line{}, err
	}
	line.byScatter = true
	line.spread(marks, weights, line.ResidualSD)
	return settled(line, "marks", line.UIntercept, line.USlope)
}

// fit finds the line itself and the scatter about it.
func fit(marks []Mark, weights []float64, fewest int) (Line, error) {
	if len(marks) < fewest {
		return Line{}, &FieldError{"marks", fmt.Sprintf("at least %d are needed", fewest)}
	}
	x, y := make([]float64, len(marks)), make([]float64, len(marks))
	for i, m := range marks {
		x[i], y[i] = m.True, m.Read
		err := cmp.Or(position(fmt.Sprintf("marks[%d].True", i), x[i]),
			position(fmt.Sprintf("marks[%d].Read", i), y[i]))
		if err != nil {
			return Line{}, err
		}
	}
	if floats.Max(x)-floats.Min(x) < shortest {
		return Line{}, &FieldError{"marks", "are all at one place"}
	}
	l := Line{marks: len(marks), DOF: len(marks) - 2}
	l.Intercept, l.Slope = stat.LinearRegression(x, y, weights, false)
	l.centre, l.level = stat.Mean(x, weights), stat.Mean(y, weights)
	if l.DOF > 0 {
		sum := 0.0
		for i := range x {
			r := y[i] - l.height(x[i])
			sum += weights[i] * r * r
		}
		n := float64(l.marks)
		l.ResidualSD = math.Sqrt(sum / floats.Sum(weights) * n / float64(l.DOF))
	}
	return settled(l, "marks", l.Intercept, l.Slope, l.ResidualSD)
}

// spread works out the uncertainties from u, that of a mark of weight 1.
func (l *Line) spread(marks []Mark, weights []float64, u float64) {
	sxx, total := 0.0, floats.Sum(weights)
	for i, m := range marks {
		sxx += weights[i] * (m.True - l.centre) * (m.True - l.centre)
	}
	l.uAtIt = u / math.Sqrt(total)
	l.USlope = u / math.Sqrt(sxx)
	l.UIntercept = math.Hypot(l.uAtIt, l.centre*l.USlope)
	// Written without u, so that it also stands when the scatter is zero.
	l.Correlation = -l.centre / math.Hypot(math.Sqrt(sxx/total), l.centre)
}

func (l Line) height(x float64) float64 { return l.level + l.Slope*(x-l.centre) }

// At is the reading the line gives at a true distance of x metres, and the standard
// uncertainty of that point of the line. Beyond the marks u grows: with marks at 5,
// 10 and 15 it is five times as large at 30 as in the middle. Errors: a
// [*FieldError] naming the parameter, or Line for one that no fit made.
//
// Source: JCGM 100:2008, H.3.
func (l Line) At(x float64) (y, u float64, err error) {
	if l.marks == 0 {
		return 0, 0, &FieldError{"Line", "was not made by a fit"}
	}
	if err := position("x", x); err != nil {
		return 0, 0, err
	}
	return l.height(x), math.Hypot(l.uAtIt, (x-l.centre)*l.USlope), nil
}

// ErrorAt is the error of reading to expect at a true depth of x metres (reading
// minus truth; negative is too shallow) and its standard uncertainty. Errors: as in
// [Line.At].
//
// Source: [Line.At].
func (l Line) ErrorAt(x float64) (miss, u float64, err error) {
	y, u, err := l.At(x)
	if err != nil {
		return 0, 0, err
	}
	return y - x, u, nil
}

// BudgetAt is [Line.ErrorAt] with the whole doubt at a true depth of x metres: the
// line's own and the common parts, which are in metres at that depth (a tape that
// may be wrong in scale has x for its sensitivity), expanded to the two-sided
// coverage as in [Combine]. The line's share is named "line". Errors: as in
// [Line.At] and [Combine].
//
// Source: [Line.ErrorAt] and [Combine].
func (l Line) BudgetAt(x float64, common []Part, coverage float64) (miss float64, b Budget, err error) {
	miss, u, err := l.ErrorAt(x)
	if err != nil {
		return 0, Budget{}, err
	}
	own := Part{Name: "line", U: u, Sensitivity: 1}
	if l.byScatter {
		own.DOF = float64(l.DOF)
	}
	// Shared parts first, so that an error names them by the caller's index.
	b, err = Combine(append(slices.Clone(common), own), coverage)
	if err != nil {
		return 0, Budget{}, err
	}
	return miss, b, nil
}

// Curvature is near - 2 middle + far of the readings at three equally spaced marks,
// in metres, and its standard uncertainty. Every mix of a scale and a datum error
// leaves it at zero; background or metal does not: at marks of 5, 10 and 15 a
// coherent background of n times the signal at 10 makes it -10.4 n. Errors: a
// [*FieldError] naming the parameter, also for marks that are not equally spaced.
//
// Source: derived; first-order propagation, JCGM 100:2008, 5.1.2.
func Curvature(near, middle, far Mark) (c2, u float64, err error) {
	for i, m := range []Mark{near, middle, far} {
		name := []string{"near", "middle", "far"}[i]
		err := cmp.Or(position(name+".True", m.True), position(name+".Read", m.Read), doubt(name+".U", m.U))
		if err != nil {
			return 0, 0, err
		}
	}
	first, second := middle.True-near.True, far.True-middle.True
	if first < shortest || second < shortest || math.Abs(first-second) > 1e-6*first {
		return 0, 0, &FieldError{"middle.True", "the three marks are not equally spaced, near to far"}
	}
	return near.Read - 2*middle.Read + far.Read, math.Hypot(math.Hypot(near.U, far.U), 2*middle.U), nil
}
