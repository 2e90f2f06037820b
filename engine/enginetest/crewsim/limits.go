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
	for band := range c.Near {
		ok, err := j.holds(c, band)
		if err != nil || !ok {
			return true, err
		}
	}
	return false, nil
}

func (j Judge) holds(c Crew, band int) (bool, error) {
	l, u := j.limits, j.u
	expanded := u * l.Cover * l.Guard
	marks := []depth.Mark{
		{True: nearMark, Read: c.Near[band], U: u}, {True: baseline, Read: baseline, U: u}, {True: farMark, Read: c.Far[band], U: u},
	}
	judged := []depth.Mark{marks[0], marks[2]}
	if l.DeepMark && c.World.Planned > farMark {
		judged = append(judged, depth.Mark{True: c.World.Planned, Read: c.Deep[band]})
	}
	for _, m := range judged {
		if math.Abs(m.Read-m.True)+expanded > l.Tolerance*m.True+1e-9 {
			return false, nil
		}
	}
	c2, uc, err := depth.Curvature(marks[0], marks[1], marks[2])
	if err != nil || math.Abs(c2) > uc*l.CurvatureCover {
		return false, err
	}
	margin, err := depth.Margin(c.Margin[band], baseline, 0, c.World.Planned)
	if err != nil || margin < l.NoiseMargin {
		return false, err
	}
	if !l.DoubtRule {
		return true, nil
	}
	worst, err := l.worst(marks, c.World.Planned)
	return worst <= l.Tolerance*c.World.Planned, err
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
