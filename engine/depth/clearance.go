package depth

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Crossing is one utility to be passed over or under; metres. Depths are to the
// centres of bore and utility, from one reference. BoreU and UtilityU are
// expanded uncertainties at k = 2. ReamerDiameter is that of the largest tool
// that will go through, not of the pilot bit.
//
// A utility that was not exposed has no usable UtilityU: leave it zero, and the
// crossing is refused.
type Crossing struct {
	BoreDepth, BoreU       float64
	UtilityDepth, UtilityU float64
	UtilityDiameter        float64
	ReamerDiameter         float64
	CodeClearance          float64 // between the walls, from the code in force
}

// Clearance is what a crossing has and what it needs, centre to centre, metres.
type Clearance struct {
	Planned float64
	Bare    float64 // both radii and the code clearance, no uncertainty
	Linear  float64 // Bare plus both uncertainties: the worst case
	RSS     float64 // Bare plus their root sum of squares: random errors only
	// Probability that the true separation is at least Bare, normal
	// distribution, both uncertainties random.
	Probability float64
}

// Assess works out the clearance of a crossing. Systematic doubts, those that are
// the same at every reading, add up as in Linear; use RSS only for what was shown
// to be random. Errors: a [*FieldError] naming the field; a utility that was not
// exposed has none of its depth.
//
// Source: radii, clearance and doubts added up, from centre to centre; probability
// for a normal distribution (JCGM 106:2012, clause 7).
func (c Crossing) Assess() (Clearance, error) {
	if err := c.check(); err != nil {
		return Clearance{}, err
	}
	r := Clearance{Planned: math.Abs(c.BoreDepth - c.UtilityDepth), Bare: c.bare()}
	r.Linear = r.Bare + c.BoreU + c.UtilityU
	r.RSS = r.Bare + 2*c.u()
	r.Probability = distuv.UnitNormal.CDF((r.Planned - r.Bare) / c.u())
	return r, nil
}

// RequiredFor is the separation in metres, centre to centre, at which the true one
// is at least both radii and the code clearance with the given probability (0.5 to
// 0.999999). It does not depend on the planned depths. Errors: a [*FieldError]
// naming the field or the parameter.
//
// Source: as for [Crossing.Assess].
func (c Crossing) RequiredFor(probability float64) (float64, error) {
	if err := cmp.Or(c.check(), within("probability", probability, 0.5, 0.999999)); err != nil {
		return 0, err
	}
	return c.bare() + distuv.UnitNormal.Quantile(probability)*c.u(), nil
}

func (c Crossing) bare() float64 {
	return c.ReamerDiameter/2 + c.UtilityDiameter/2 + c.CodeClearance
}

// u is the combined standard uncertainty of the separation.
func (c Crossing) u() float64 { return math.Hypot(c.BoreU, c.UtilityU) / 2 }

func (c Crossing) check() error {
	if c.UtilityU == 0 {
		return &FieldError{"UtilityU", "is zero: the depth of a utility that was not exposed is not known"}
	}
	return cmp.Or(length("BoreDepth", c.BoreDepth), doubt("BoreU", c.BoreU),
		length("UtilityDepth", c.UtilityDepth), doubt("UtilityU", c.UtilityU),
		length("UtilityDiameter", c.UtilityDiameter), length("ReamerDiameter", c.ReamerDiameter),
		length("CodeClearance", c.CodeClearance))
}
