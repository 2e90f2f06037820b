package depth

import (
	"cmp"
	"fmt"
	"math"
)

// Down is what the readings at the marks and one more reading are worth down the
// hole. Tape and Datum are shared by all marks, so that the fit cannot see them.
type Down struct {
	Line    Line
	Tape    float64 // relative standard uncertainty of the scale of the tape, 0.001 is 0.1 %
	Datum   float64 // standard uncertainty of the reference points of coil and antenna, metres
	Reading float64 // standard uncertainty of one reading down the hole, metres
	// Coverage is two-sided, 0.95 for "95 %"; see [Combine].
	Coverage float64
}

// Reach is what a reading is worth at one true depth; metres.
type Reach struct {
	Depth  float64
	Miss   float64 // error to expect, reading less truth
	Budget Budget  // of the reading there, expanded
	Worst  float64 // |Miss| + Budget.Expanded: how wrong the depth may be
}

// At is the reach at a true depth of x metres, extrapolation included. Errors: a
// [*FieldError]; a Tape, Datum or Reading of zero is refused, as not measured.
//
// Source: [Line.BudgetAt]. A tape wrong by a share is wrong by x times that at
// depth x. A datum wrong by e shows at the marks as e (1 - x/b) and is -e x/b
// down the hole, where no tape is used: what the line leaves is -e at any depth
// (derived).
func (d Down) At(x float64) (Reach, error) {
	err := cmp.Or(within("Tape", d.Tape, finest, 0.25), doubt("Datum", d.Datum),
		doubt("Reading", d.Reading), length("x", x))
	if err != nil {
		return Reach{}, err
	}
	miss, b, err := d.Line.BudgetAt(x, []Part{
		{Name: "tape scale", U: d.Tape, Sensitivity: x},
		{Name: "datum", U: d.Datum, Sensitivity: 1},
		{Name: "reading", U: d.Reading, Sensitivity: 1},
	}, d.Coverage)
	if err != nil {
		return Reach{}, err
	}
	return Reach{Depth: x, Miss: miss, Budget: b, Worst: math.Abs(miss) + b.Expanded}, nil
}

// Deepest is the depth in metres down to which a reading still is within tolerance
// (0.05 is 5 % of the depth), kept back by guard times the expanded uncertainty as
// in [Decide], looked for from a tenth of limit on; limit (metres) if it holds that
// far. ok is false if there is no such depth: this set-up cannot show it. Errors: a
// [*FieldError] naming the field or the parameter.
//
// Source: [Down.At]; guarded acceptance, ILAC-G8:09/2019, 4.2.
func (d Down) Deepest(tolerance, guard, limit float64) (x float64, ok bool, err error) {
	err = cmp.Or(within("tolerance", tolerance, 1e-6, 1), within("guard", guard, 0, 10),
		within("limit", limit, 1e-3, 1e4))
	if err != nil {
		return 0, false, err
	}
	holds := func(x float64) bool {
		r, e := d.At(x)
		if e != nil {
			err = e
		}
		return e == nil && math.Abs(r.Miss)+guard*r.Budget.Expanded <= tolerance*x
	}
	const steps = 400
	from := 0.0 // last depth that holds
	for i := steps / 10; i <= steps && err == nil; i++ {
		x := limit * float64(i) / steps
		switch h := holds(x); {
		case h:
			from = x
		case from > 0:
			return bisect(from, x, holds), true, err
		}
	}
	return from, from > 0 && err == nil, err
}

// bisect is the last place that holds, between one that does and one that does
// not, to a part in a billion.
func bisect(from, to float64, holds func(float64) bool) float64 {
	for range 30 {
		if mid := (from + to) / 2; holds(mid) {
			from = mid
		} else {
			to = mid
		}
	}
	return from
}

// DeepestForMargin is the depth in metres at which the signal still stands the
// needed decibels over the background; the inverse of [Margin]. Errors: a
// [*FieldError] naming the parameter; the field is depth where the answer is out of
// range.
//
// Source: the cube law of a magnetic dipole (em.geosci.xyz, eq. 383), derived.
func DeepestForMargin(signalAtBaseline, baseline, background, needed float64) (float64, error) {
	err := cmp.Or(decibel("signalAtBaseline", signalAtBaseline), length("baseline", baseline),
		decibel("background", background), decibel("needed", needed))
	if err != nil {
		return 0, err
	}
	x := baseline * math.Pow(10, (signalAtBaseline-background-needed)/60)
	if err := length("depth", x); err != nil {
		return 0, err
	}
	return x, nil
}

// CannotSayError means that a question has no answer from what is known. The
// caller must treat it as not allowed, never as a yes or a no.
type CannotSayError struct {
	Field string
	Why   string
}

func (e *CannotSayError) Error() string { return e.Field + ": cannot say: " + e.Why }

// Utility is a line that is crossed; metres. Depth is to its centre, from the
// reference of the bore's depth; U is expanded, k = 2.
type Utility struct {
	Depth, U, Diameter float64
	Exposed            bool // seen in an open hole
}

// Separation is what a crossing has and needs, centre to centre, metres.
type Separation struct {
	Available float64
	Required  float64 // radii, code clearance, what the depth may be off, U of the utility, added up
	Doubt     float64 // of the bore's depth there: [Reach.Worst]
	Contact   float64 // chance that tool and utility touch
	BelowCode float64 // chance that the true gap is less than the code clearance
}

// Separation judges a bore planned at a depth of bore metres against a utility,
// for the largest tool that goes through and the code clearance between the
// walls. The expected miss is taken to be on the side of the utility; chances
// are for normal distributions.
//
// Errors: a [*CannotSayError] for a utility that was not exposed; otherwise a
// [*FieldError].
//
// Source: [Down.At] and [Crossing.Assess].
func (d Down) Separation(bore float64, u Utility, reamer, clearance float64) (Separation, error) {
	if !u.Exposed {
		return Separation{}, &CannotSayError{"Utility.Exposed", "the depth of a utility that was not exposed is not known"}
	}
	r, err := d.At(bore)
	if err != nil {
		return Separation{}, err
	}
	c := Crossing{BoreDepth: bore, BoreU: r.Worst, UtilityDepth: u.Depth, UtilityU: u.U,
		UtilityDiameter: u.Diameter, ReamerDiameter: reamer, CodeClearance: clearance}
	a, err := c.Assess()
	if err != nil {
		return Separation{}, err
	}
	s := Separation{Available: a.Planned, Required: a.Linear, Doubt: r.Worst}
	both := math.Hypot(r.Budget.U, u.U/2)
	gap := a.Planned - math.Abs(r.Miss)
	s.BelowCode, err = chanceBelow(gap-a.Bare, both)
	if err != nil {
		return Separation{}, err
	}
	s.Contact, err = chanceBelow(gap-a.Bare+clearance, both)
	return s, err
}

// chanceBelow is the chance that a value is below zero.
func chanceBelow(value, u float64) (float64, error) {
	zero := 0.0
	p, err := Conformance(nil, &zero, value, u)
	if err != nil {
		return 0, fmt.Errorf("chance: %w", err)
	}
	return p, nil
}
