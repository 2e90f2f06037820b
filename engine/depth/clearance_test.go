package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// crossing is a worked case, derived: a 10-in reamer, a 4-in utility, 12 in of
// clearance, the bore known to 5 % of 6 ft and the exposed utility to 1 in.
func crossing() depth.Crossing {
	return depth.Crossing{
		BoreDepth: 72 * in, BoreU: 3.6 * in, UtilityDepth: 48 * in, UtilityU: 1 * in,
		UtilityDiameter: 4 * in, ReamerDiameter: 10 * in, CodeClearance: 12 * in,
	}
}

func TestClearance(t *testing.T) {
	c := crossing()
	got, err := c.Assess()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "planned", got.Planned/in, 24, 1e-12)
	near(t, "bare", got.Bare/in, 19, 1e-12)
	near(t, "linear", got.Linear/in, 23.6, 1e-12)
	near(t, "root sum of squares", got.RSS/in, 22.7363083385, 1e-10)
	near(t, "probability", got.Probability, 0.99627954050463, 1e-13)
	near(t, "for 0.95", must(t)(c.RequiredFor(0.95))/in, 22.072840161, 1e-9)
	near(t, "for 0.99", must(t)(c.RequiredFor(0.99))/in, 23.34597648, 1e-8)
	// Over instead of under: the same separation.
	c.BoreDepth, c.UtilityDepth = c.UtilityDepth, c.BoreDepth
	over, err := c.Assess()
	if err != nil || over != got {
		t.Errorf("over %+v, under %+v, %v", over, got, err)
	}
}

func TestCrossingRefuses(t *testing.T) {
	set := map[string]func(*depth.Crossing, float64){
		"BoreDepth":       func(c *depth.Crossing, v float64) { c.BoreDepth = v },
		"BoreU":           func(c *depth.Crossing, v float64) { c.BoreU = v },
		"UtilityDepth":    func(c *depth.Crossing, v float64) { c.UtilityDepth = v },
		"UtilityU":        func(c *depth.Crossing, v float64) { c.UtilityU = v },
		"UtilityDiameter": func(c *depth.Crossing, v float64) { c.UtilityDiameter = v },
		"ReamerDiameter":  func(c *depth.Crossing, v float64) { c.ReamerDiameter = v },
		"CodeClearance":   func(c *depth.Crossing, v float64) { c.CodeClearance = v },
	}
	for field, put := range set {
		for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
			c := crossing()
			put(&c, bad)
			got, err := c.Assess()
			refused(t, err, field)
			if got != (depth.Clearance{}) {
				t.Errorf("%s: a clearance beside an error", field)
			}
			_, err = c.RequiredFor(0.95)
			refused(t, err, field)
		}
	}
	_, err := crossing().RequiredFor(1)
	refused(t, err, "probability")
}
