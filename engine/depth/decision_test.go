package depth_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"firstrod/engine/depth"
)

// Table conformity_jcgm106.csv: examples of JCGM 106:2012; inputs and two-digit
// results from memory, digits recomputed.
func TestConformanceTable(t *testing.T) {
	for _, r := range table(t, "conformity_jcgm106.csv") {
		if r["estimate"] == "" { // the guarded row: value a distance U = 2u inside
			limit := 0.0
			got := must(t)(depth.Conformance(nil, &limit, -2, 1))
			near(t, r["example"], got, r.num(t, "pc"), 1e-12)
			continue
		}
		limit := func(column string) *float64 {
			if r[column] == "" {
				return nil
			}
			v := r.num(t, column)
			return &v
		}
		got := must(t)(depth.Conformance(limit("lower"), limit("upper"), r.num(t, "estimate"), r.num(t, "u")))
		near(t, r["example"], got, r.num(t, "pc"), 1e-11)
	}
}

// ILAC-G8:09/2019 and ISO 14253-1:2017 (secondary): a result exactly at the
// acceptance limit T - r U, U = 2u, is false with this probability.
func TestRiskAtTheLimit(t *testing.T) {
	for _, c := range []struct{ r, conforms, risk, below float64 }{
		{0, 0.5, 0.5, 0.5001},
		{0.83, 0.95154277373328, 0.04845722627, 0.05},
		{1, 0.97724986805182, 0.02275013195, 0.025},
		{1.5, 0.99865010196837, 0.001349898032, 0.0016},
		{3, 0.99999999901341, 9.86587645e-10, 1e-6},
	} {
		const tol, u = 10.0, 1.0
		at := tol - c.r*2*u
		upper := tol
		p := must(t)(depth.Conformance(nil, &upper, at, u))
		near(t, "conforms", p, c.conforms, 1e-14)
		near(t, "risk", 1-p, c.risk, 5e-12) // half of the last digit tabled
		if 1-p >= c.below {
			t.Errorf("r = %g: risk %g, want below %g", c.r, 1-p, c.below)
		}
		if v, err := depth.Decide(at, 2*u, tol, c.r); v != depth.Holds || err != nil {
			t.Errorf("r = %g: at the limit %q, %v", c.r, v, err)
		}
		if v, err := depth.Decide(at+1e-9, 2*u, tol, c.r); v == depth.Holds || err != nil {
			t.Errorf("r = %g: beyond the limit %q, %v", c.r, v, err)
		}
	}
}

// JCGM 106:2012, table 1: z for one limit.
func TestOneLimitQuantiles(t *testing.T) {
	for p, z := range map[float64]float64{
		0.80: 0.841621233573, 0.90: 1.28155156554, 0.95: 1.64485362695,
		0.99: 2.32634787404, 0.999: 3.09023230617,
	} {
		lower := 0.0
		near(t, "p", must(t)(depth.Conformance(&lower, nil, z, 1)), p, 1e-12)
		near(t, "z", distuv.UnitNormal.Quantile(p), z, 1e-11)
	}
}

// Worked in feet, derived: T 0.5 ft, u 0.1 ft.
func TestDecide(t *testing.T) {
	for _, c := range []struct {
		miss, expanded, tolerance, guard float64
		want                             depth.Verdict
	}{
		{0.30, 0.2, 0.5, 1, depth.Holds},
		{-0.30, 0.2, 0.5, 1, depth.Holds},
		{0.45, 0.2, 0.5, 1, depth.Repeat},
		{0.5, 0.2, 0.5, 1, depth.Repeat},
		{-0.7, 0.2, 0.5, 1, depth.Repeat},
		{0.71, 0.2, 0.5, 1, depth.Fails},
		{-0.71, 0.2, 0.5, 1, depth.Fails},
		{0.5, 0.2, 0.5, 0, depth.Holds},
		{0.51, 0.2, 0.5, 0, depth.Fails},
		{0, 0.5, 0.5, 1, depth.NotCapable},
		{99, 0.5, 0.5, 1, depth.NotCapable},
		{0, 0.26, 0.5, 2, depth.NotCapable},
	} {
		got, err := depth.Decide(c.miss, c.expanded, c.tolerance, c.guard)
		if err != nil || got != c.want {
			t.Errorf("%+v: got %q, %v", c, got, err)
		}
	}
}

func TestDecisionRefuses(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for field, call := range map[string][4]float64{
			"miss": {bad, 1, 2, 1}, "expanded": {0, bad, 2, 1},
			"tolerance": {0, 1, bad, 1}, "guard": {0, 1, 2, bad},
		} {
			v, err := depth.Decide(call[0], call[1], call[2], call[3])
			refused(t, err, field)
			if v != "" {
				t.Errorf("a verdict %q beside an error", v)
			}
		}
		_, err := depth.Conformance(&bad, nil, 1, 1)
		refused(t, err, "lower")
		_, err = depth.Conformance(nil, &bad, 1, 1)
		refused(t, err, "upper")
	}
	_, err := depth.Decide(0, 0, 1, 1)
	refused(t, err, "expanded")
	_, err = depth.Decide(0, 1, 0, 1)
	refused(t, err, "tolerance")
	_, err = depth.Decide(0, 1, 2, -1)
	refused(t, err, "guard")
	one, two := 1.0, 2.0
	_, err = depth.Conformance(nil, nil, 1, 1)
	refused(t, err, "lower")
	_, err = depth.Conformance(&two, &one, 1, 1)
	refused(t, err, "lower")
	_, err = depth.Conformance(&one, &one, 1, 1)
	refused(t, err, "lower")
	_, err = depth.Conformance(&one, nil, 1, 0)
	refused(t, err, "u")
	_, err = depth.Conformance(&one, nil, math.NaN(), 1)
	refused(t, err, "value")
}

// Far inside one tail a difference of two numbers near 1 would lose every digit.
func TestConformanceKeepsSmallTails(t *testing.T) {
	low, high := 10.0, 20.0
	got := must(t)(depth.Conformance(&low, &high, 0, 1))
	near(t, "tail", got/7.61985302416052e-24, 1, 1e-9) // 1-Phi(10), from memory
}
