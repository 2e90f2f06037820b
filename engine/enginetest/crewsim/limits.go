package crewsim

import (
	"fmt"
	"math"

	"firstrod/engine/depth"
)

// Limits are what a reading is judged by, in metres, shares and decibels.
type Limits struct {
	Tape, Datum, Step float64
	Cover, Guard      float64
	Tolerance         float64 // share of the distance
	CurvatureCover    float64
	NoiseMargin       float64 // needed at the planned depth
	// SurveyOnly leaves out that the background is heard again after the marks, where
	// the bore goes deeper than the far mark.
	SurveyOnly bool
	// DoubtRule adds a rule that is not in the base: what a reading at the planned
	// depth may be wrong by, see [depth.Down], must be within the tolerance there.
	DoubtRule bool
	// DeepMark adds another: where the bore goes deeper than the far mark, a
	// reading at a mark as far as the planned depth must be within the tolerance.
	DeepMark bool
}

// BaseLimits are those of the base rules.
func BaseLimits() Limits {
	return Limits{Tape: 0.25 * Inch, Datum: 0.5 * Inch, Step: 1 * Inch, Cover: 2, Guard: 1,
		Tolerance: 0.05, CurvatureCover: 2, NoiseMargin: 17.4}
}

// Judge holds crews against limits. Make one with [Limits.Judge].
type Judge struct {
	limits Limits
	u      float64 // of one reading
}

// Judge works out what one reading is good to under the limits. Errors: those of
// [depth.ReadingBudget].
func (l Limits) Judge() (Judge, error) {
	budget, err := depth.ReadingBudget(l.Tape, l.Datum, l.Step, 0)
	if err != nil {
		return Judge{}, fmt.Errorf("budget: %w", err)
	}
	return Judge{l, budget.U}, nil
}

// Blocks says whether the readings alone stop the crew: near mark, far mark,
// straightness and noise margin on every band, judged as in the base rules.
// Errors: those of package depth, for readings that cannot be judged.
func (j Judge) Blocks(c Crew) (bool, error) {
	w, err := j.limits.weigh(c)
	if err != nil {
		return true, err
	}
	return j.blocks(c, w)
}

// weighed are the marks of each band, near, baseline and far, with the mean of what
// was read there, and what each mean may be wrong by.
type weighed struct {
	marks    [3]depth.Mark
	expanded [3]float64 // guarded
	wide     [3]float64 // standard uncertainty, made wider where it comes from few readings
}

func (l Limits) weigh(c Crew) ([]weighed, error) {
	coverage := math.Erf(l.Cover / math.Sqrt2)
	var list []weighed
	_, told, err := depth.ReadingsBudget(l.Tape, l.Datum, l.Step, []float64{baseline}, coverage)
	if err != nil {
		return nil, fmt.Errorf("budget: %w", err)
	}
	for band := range c.Near {
		w := weighed{marks: [3]depth.Mark{1: {True: baseline, Read: baseline, U: told.U}}, wide: [3]float64{1: told.Expanded / l.Cover}}
		for i, m := range []struct {
			at       float64
			readings []float64
		}{{nearMark, c.Near[band]}, {baseline, nil}, {farMark, c.Far[band]}} {
			if m.readings == nil {
				continue
			}
			mean, b, err := depth.ReadingsBudget(l.Tape, l.Datum, l.Step, m.readings, coverage)
			if err != nil {
				return nil, fmt.Errorf("budget: %w", err)
			}
			w.marks[i] = depth.Mark{True: m.at, Read: mean, U: b.U}
			w.expanded[i], w.wide[i] = b.Expanded*l.Guard, b.Expanded/l.Cover
		}
		list = append(list, w)
	}
	return list, nil
}

func (j Judge) blocks(c Crew, all []weighed) (bool, error) {
	for band, w := range all {
		ok, err := j.holds(c, band, w)
		if err != nil || !ok {
			return true, err
		}
	}
	return false, nil
}

func (j Judge) holds(c Crew, band int, w weighed) (bool, error) {
	l := j.limits
	for i, m := range w.marks {
		if i != 1 && !l.near(m.Read, m.True, w.expanded[i]) {
			return false, nil
		}
	}
	deeper := c.World.Planned > farMark
	if l.DeepMark && deeper && !l.near(c.Deep[band], c.World.Planned, j.u*l.Cover*l.Guard) {
		return false, nil
	}
	c2, uc, err := depth.Curvature(w.marks[0], w.marks[1], w.marks[2])
	if err != nil || math.Abs(c2) > uc*l.CurvatureCover {
		return false, err
	}
	heard := []float64{c.Margin[band]}
	if deeper && !l.SurveyOnly {
		heard = append(heard, c.Again[band])
	}
	for _, h := range heard {
		margin, err := depth.Margin(h, baseline, 0, c.World.Planned)
		if err != nil || margin < l.NoiseMargin {
			return false, err
		}
	}
	if !l.DoubtRule {
		return true, nil
	}
	marks := w.marks
	for i := range marks {
		marks[i].U = w.wide[i]
	}
	worst, err := l.worst(marks[:], c.World.Planned)
	return worst <= l.Tolerance*c.World.Planned, err
}

// near says whether a reading is within the tolerance, its doubt taken off.
func (l Limits) near(read, truth, expanded float64) bool {
	return math.Abs(read-truth)+expanded <= l.Tolerance*truth+1e-9
}

// worst is what a reading at a depth of x metres may be wrong by, for what the
// marks read.
func (l Limits) worst(marks []depth.Mark, x float64) (float64, error) {
	line, err := depth.FitLine(marks)
	if err != nil {
		return 0, err
	}
	r, err := depth.Down{
		Line:     line,
		Tape:     depth.Rectangular(l.Tape) / baseline,
		Datum:    depth.Rectangular(l.Datum),
		Reading:  depth.Rectangular(l.Step / 2),
		Coverage: math.Erf(l.Cover / math.Sqrt2),
	}.At(x)
	return r.Worst, err
}
