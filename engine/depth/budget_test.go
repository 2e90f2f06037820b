package depth_test

import (
	"math"
	"slices"
	"testing"

	"firstrod/engine/depth"
)

// Table t_factors.csv, 12 digits, derived by 40-digit arithmetic. The nominal
// 95.45 % and the rest as two-sided coverages.
func TestStudentFactors(t *testing.T) {
	for _, r := range table(t, "t_factors.csv") {
		for column, coverage := range map[string]float64{
			"p68.27": 0.6827, "p90": 0.90, "p95": 0.95, "p95.45": 0.9545, "p99": 0.99, "p99.73": 0.9973,
		} {
			b, err := depth.Combine([]depth.Part{{U: 1, DOF: r.num(t, "nu"), Sensitivity: 1}}, coverage)
			if err != nil {
				t.Fatal(err)
			}
			want := r.num(t, column)
			near(t, "nu "+r["nu"]+" "+column, b.K, want, 1e-11*want)
			near(t, "dof", b.DOF, r.num(t, "nu"), 1e-9)
			near(t, "expanded", b.Expanded, b.K, 1e-15*b.K)
		}
	}
}

// GUM (JCGM 100:2008) G.4.1; the inputs 0.25, 0.57, 0.82 % with n = 10, 5, 15
// from memory, published 1.03, 19.0, 2.09, 2.2; digits recomputed.
func TestWelchSatterthwaite(t *testing.T) {
	parts := []depth.Part{
		{Name: "p1", U: 0.25, DOF: 9, Sensitivity: 1},
		{Name: "p2", U: 0.57, DOF: 4, Sensitivity: 1},
		{Name: "p3", U: 0.82, DOF: 14, Sensitivity: 1},
	}
	b, err := depth.Combine(parts, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", b.U, 1.02946588093, 1e-11)
	near(t, "dof", b.DOF, 18.9987423143, 1e-9)
	// Rounded down to 18, the cautious side; the guide prints t for 19.
	near(t, "k", b.K, 2.10092204024, 1e-11)
	if b.Shares[0].Name != "p3" || b.Shares[2].Name != "p1" {
		t.Errorf("shares are not largest first: %v", b.Shares)
	}
	near(t, "sum of shares", b.Shares[0].Share+b.Shares[1].Share+b.Shares[2].Share, 1, 1e-15)
	near(t, "largest share", b.Shares[0].Share, 0.82*0.82/(b.U*b.U), 1e-15)
}

// A worked budget in feet, derived: tape +-0.25 in and datum +-0.5 in
// rectangular, a display in 0.1 ft, five readings.
func TestWorkedBudget(t *testing.T) {
	mean, u, dof, err := depth.Repeatability([]float64{10.0, 10.1, 10.0, 9.9, 10.0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", mean, 10, 1e-14)
	near(t, "u of mean", u, 0.0316227766, 1e-10)
	near(t, "dof", dof, 4, 0)
	near(t, "tape", depth.Rectangular(0.25/12), 0.0120281306, 1e-10)
	near(t, "display", depth.Rectangular(0.05), 0.0288675135, 1e-10)
	b, err := depth.Combine([]depth.Part{
		{Name: "tape", U: depth.Rectangular(0.25), Sensitivity: 1.0 / 12},
		{Name: "datum", U: depth.Rectangular(0.5), Sensitivity: -1.0 / 12},
		{Name: "display", U: depth.Rectangular(0.05), Sensitivity: 1},
		{Name: "readings", U: u, DOF: dof, Sensitivity: 1},
	}, 0.9545)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", b.U, 0.0505639492422, 1e-12)
	near(t, "dof", b.DOF, 26.1471246999, 1e-8)
	near(t, "k", b.K, 2.1008537, 1e-7)
	near(t, "U", b.Expanded, 0.106227462, 1e-9)
}

// Derived: with every figure known, k is 2 and the reading is good to 0.87 in.
func TestReadingBudget(t *testing.T) {
	b, err := depth.ReadingBudget(0.25*in, 0.5*in, 1*in, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "k", b.K, 2, 1e-12)
	near(t, "U in inches", b.Expanded/in, math.Sqrt(0.75), 1e-12)
	near(t, "dof", b.DOF, 0, 0)
	_, err = depth.ReadingBudget(0, 0, 0, 0)
	refused(t, err, "parts")
	_, err = depth.ReadingBudget(math.NaN(), 0, 0, 1)
	refused(t, err, "tape")
	_, err = depth.ReadingBudget(0, -1, 0, 1)
	refused(t, err, "datum")
	_, err = depth.ReadingBudget(0, 0, math.Inf(1), 1)
	refused(t, err, "displayStep")
	_, err = depth.ReadingBudget(0, 0, 0, -1)
	refused(t, err, "repeat")
}

// JCGM 100:2008, 4.2 for the mean and s/sqrt(n) of three readings, G.4 for the
// degrees of freedom; the digits derived by hand: 60, 60 and 61 in have the mean
// 60 1/3, s = 0.57735 and u = 1/3 in with 2 degrees of freedom; with tape, datum
// and step u = sqrt(0.1875 + 1/9) = 0.5464 in, nu = 0.5464^4 / ((1/3)^4 / 2) = 14.4.
func TestReadingsBudget(t *testing.T) {
	mean, b, err := depth.ReadingsBudget(0.25*in, 0.5*in, 1*in, []float64{60 * in, 61 * in, 60 * in}, 0.9545)
	if err != nil {
		t.Fatal(err)
	}
	u := math.Sqrt(0.1875 + 1.0/9)
	near(t, "mean", mean/in, 60+1.0/3, 1e-12)
	near(t, "u", b.U/in, u, 1e-12)
	near(t, "dof", b.DOF, 2*81*u*u*u*u, 1e-9)
	near(t, "k for 14", b.K, 2.19529128698, 1e-10) // t_factors.csv
	// All alike: the scatter is zero, and what is left is known; one or two say
	// nothing of the scatter.
	for _, same := range [][]float64{{60 * in}, {60 * in, 60 * in, 60 * in}, {59 * in, 61 * in}} {
		mean, b, err := depth.ReadingsBudget(0.25*in, 0.5*in, 1*in, same, depth.TwoSigma)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", mean/in, 60, 1e-12)
		near(t, "U of one", b.Expanded/in, math.Sqrt(0.75), 1e-12)
	}
	for field, readings := range map[string][]float64{
		"readings": nil, "readings[0]": {0}, "readings[1]": {1, -1}, "readings[2]": {1, 1, math.NaN()},
		"readings[3]": {1, 1, 1, math.Inf(1)},
	} {
		_, _, err := depth.ReadingsBudget(1, 1, 1, readings, 0.95)
		refused(t, err, field)
	}
	_, _, err = depth.ReadingsBudget(math.NaN(), 0, 0, []float64{1}, 0.95)
	refused(t, err, "tape")
	_, _, err = depth.ReadingsBudget(0, -1, 0, []float64{1}, 0.95)
	refused(t, err, "datum")
	_, _, err = depth.ReadingsBudget(0, 0, math.Inf(1), []float64{1}, 0.95)
	refused(t, err, "displayStep")
	_, _, err = depth.ReadingsBudget(0, 0, 0, []float64{1}, 0.95)
	refused(t, err, "parts")
	_, _, err = depth.ReadingsBudget(0, 0, 1, []float64{1}, 0.4)
	refused(t, err, "coverage")
}

func TestCombineRefuses(t *testing.T) {
	good := depth.Part{U: 1, Sensitivity: 1}
	for _, c := range []struct {
		field string
		part  depth.Part
	}{
		{"parts[1].U", depth.Part{U: math.NaN(), Sensitivity: 1}},
		{"parts[1].U", depth.Part{U: -1, Sensitivity: 1}},
		{"parts[1].DOF", depth.Part{U: 1, DOF: 0.5, Sensitivity: 1}},
		{"parts[1].DOF", depth.Part{U: 1, DOF: math.Inf(1), Sensitivity: 1}},
		{"parts[1].Sensitivity", depth.Part{U: 1}},
		{"parts[1].Sensitivity", depth.Part{U: 1, Sensitivity: math.Inf(1)}},
	} {
		_, err := depth.Combine([]depth.Part{good, c.part}, 0.95)
		refused(t, err, c.field)
	}
	_, err := depth.Combine(nil, 0.95)
	refused(t, err, "parts")
	for _, coverage := range []float64{0, 0.49, 1, 95, math.NaN()} {
		_, err := depth.Combine([]depth.Part{good}, coverage)
		refused(t, err, "coverage")
	}
	_, _, _, err = depth.Repeatability([]float64{1})
	refused(t, err, "readings")
	_, _, _, err = depth.Repeatability([]float64{1, math.NaN()})
	refused(t, err, "readings[1]")
}

// n equal parts of nu degrees of freedom have n nu; a rounding error below that
// whole number must not cost a degree.
func TestWholeDegreesStayWhole(t *testing.T) {
	want := map[int]float64{}
	for _, r := range table(t, "t_factors.csv") {
		want[int(r.num(t, "nu"))] = r.num(t, "p95")
	}
	for n := 1; n <= 5; n++ {
		for nu := 1; n*nu <= 20; nu++ {
			for u := 0.1; u < 2; u += 0.1 {
				parts := slices.Repeat([]depth.Part{{U: u, DOF: float64(nu), Sensitivity: 1}}, n)
				b, err := depth.Combine(parts, 0.95)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "k", b.K, want[n*nu], 1e-11*want[n*nu])
			}
		}
	}
}

// A very small part with a doubtful figure must not upset the sum, and a huge
// number of degrees of freedom must come to the normal factor from above.
func TestCombineAtTheEdges(t *testing.T) {
	b, err := depth.Combine([]depth.Part{
		{U: 1, Sensitivity: 1}, {U: 1e-200, DOF: 1, Sensitivity: 1},
	}, depth.TwoSigma)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "k", b.K, 2, 1e-9)
	b, err = depth.Combine([]depth.Part{
		{U: 1, Sensitivity: 1}, {U: 1e-80, DOF: 1, Sensitivity: 1}, // its fourth power is next to nothing
	}, depth.TwoSigma)
	if err != nil || math.IsInf(b.DOF, 0) {
		t.Fatalf("dof %g, %v", b.DOF, err)
	}
	many, err := depth.Combine([]depth.Part{{U: 1, DOF: 5000, Sensitivity: 1}}, depth.TwoSigma)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "dof", many.DOF, 5000, 1e-9)
	big, err := depth.Combine([]depth.Part{{U: 1, DOF: 1e300, Sensitivity: 1}}, depth.TwoSigma)
	if err != nil {
		t.Fatal(err)
	}
	if big.K < 2 || big.K > 2+1e-5 {
		t.Errorf("k for 1e300 degrees of freedom is %.12g", big.K)
	}
}
