package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

func fitted(t *testing.T, marks []depth.Mark) depth.Line {
	t.Helper()
	l, err := depth.FitLineByScatter(marks)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// NIST StRD linear least squares, data set Norris, certified values.
func TestNorris(t *testing.T) {
	var marks []depth.Mark
	for _, r := range table(t, "norris.csv") {
		marks = append(marks, depth.Mark{True: r.num(t, "x"), Read: r.num(t, "y")})
	}
	l := fitted(t, marks)
	near(t, "b1", l.Slope/1.00211681802045, 1, 1e-12)
	near(t, "b0", l.Intercept/-0.262323073774029, 1, 1e-10)
	near(t, "sd b1", l.USlope/0.429796848199937e-03, 1, 1e-10)
	near(t, "sd b0", l.UIntercept/0.232818234301152, 1, 1e-10)
	near(t, "residual sd", l.ResidualSD/0.884796396144373, 1, 1e-10)
	near(t, "residual sum of squares", l.ResidualSD*l.ResidualSD*34/26.6173985294224, 1, 1e-10)
	near(t, "correlation", l.Correlation, -0.773828082087858206, 1e-12) // derived
	if l.DOF != 34 {
		t.Errorf("dof %d, want 34", l.DOF)
	}
}

// JCGM 100:2008, H.3 (data as in the GTC documentation); the published figures
// to their digits, the recomputed ones closer.
func TestThermometer(t *testing.T) {
	var marks []depth.Mark
	for _, r := range table(t, "gum_h3.csv") {
		marks = append(marks, depth.Mark{True: r.num(t, "t_k") - 20, Read: r.num(t, "b_k")})
	}
	l := fitted(t, marks)
	at := func(x float64) (float64, float64) {
		y, u, err := l.At(x)
		if err != nil {
			t.Fatal(err)
		}
		return y, u
	}
	b30, u30 := at(10)
	b24, u24 := at(4)
	for _, c := range []struct {
		what                         string
		got, published, half, digits float64
	}{
		{"y1", l.Intercept, -0.1712, 0.00005, -0.171203790131349977},
		{"s(y1)", l.UIntercept, 0.0029, 0.00005, 0.00287759783515995371},
		{"y2", l.Slope, 0.00218, 0.000005, 0.00218269773988727797},
		{"s(y2)", l.USlope, 0.00067, 0.000005, 0.000667938773227831702},
		{"r", l.Correlation, -0.930, 0.0005, -0.930429603093445881},
		{"s", l.ResidualSD, 0.0035, 0.00005, 0.00349756396350528406},
		{"b(30)", b30, -0.1494, 0.00005, -0.1493768127324772},
		{"u(b(30))", u30, 0.0041, 0.00005, 0.004138595752854947},
		{"b(24)", b24, -0.16247, 0.00001, -0.1624729991718009},
		{"u(b(24))", u24, 0.001055, 0.000001, 0.001054570333369726},
	} {
		near(t, c.what+" as published", c.got, c.published, c.half)
		near(t, c.what, c.got, c.digits, 1e-12)
	}
	if l.DOF != 9 {
		t.Errorf("dof %d, want 9", l.DOF)
	}
}

func threeMarks(near, middle, far, u float64) []depth.Mark {
	return []depth.Mark{{True: 5, Read: near, U: u}, {True: 10, Read: middle, U: u}, {True: 15, Read: far, U: u}}
}

// Worked cases in feet, derived from the normal equations.
func TestThreeMarks(t *testing.T) {
	for _, c := range []struct{ near, middle, far, b0, b1, c2, s, u1, u0 float64 }{
		{5.1, 10.2, 15.3, 0, 1.02, 0, 0, 0, 0},
		{4.8, 9.8, 14.8, -0.2, 1, 0, 0, 0, 0},
		{5.0, 10.0, 14.9, 0.0666666666667, 0.99, -0.1, 0.0408248290464, 0.00577350269, 0.0623609564},
		{5.0715, 10, 14.4736, 0.446266666667, 0.94021, -0.4549, 0.1857121473, 0.1857121473 / math.Sqrt(50), 0.1857121473 * math.Sqrt(7.0/3)},
	} {
		marks := threeMarks(c.near, c.middle, c.far, 0.05)
		l := fitted(t, marks)
		near(t, "b0", l.Intercept, c.b0, 1e-9)
		near(t, "b1", l.Slope, c.b1, 1e-9)
		near(t, "s", l.ResidualSD, c.s, 1e-9)
		near(t, "u(b1)", l.USlope, c.u1, 1e-9)
		near(t, "u(b0)", l.UIntercept, c.u0, 1e-9)
		c2, u, err := depth.Curvature(marks[0], marks[1], marks[2])
		if err != nil {
			t.Fatal(err)
		}
		near(t, "c2", c2, c.c2, 1e-12)
		near(t, "u(c2)", u, 0.05*math.Sqrt(6), 1e-12)
		near(t, "s from c2", l.ResidualSD, math.Abs(c2)/math.Sqrt(6), 1e-12)
	}
}

// Derived for marks at 5, 10 and 15 with the same u: how the line's doubt grows.
func TestWeightedLine(t *testing.T) {
	const u = 0.04
	l, err := depth.FitLine(threeMarks(5, 10, 14.9, u))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u(b1)", l.USlope, 0.141421356237*u, 1e-12)
	near(t, "u(b0)", l.UIntercept, 1.52752523165*u, 1e-11)
	near(t, "correlation", l.Correlation, -0.925820099773, 1e-11)
	near(t, "chi squared", l.ChiSquared, 0.0408248290464*0.0408248290464/(u*u), 1e-9)
	for _, c := range []struct{ x, u float64 }{
		{10, 0.577350269190}, {5, 0.912870929175}, {15, 0.912870929175}, {30, 2.88675134595},
	} {
		y, got, err := l.At(c.x)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "u at", got, c.u*u, 1e-11)
		near(t, "at", y, 0.0666666666667+0.99*c.x, 1e-11)
		// The same from the covariance of the two coefficients.
		cov := l.Correlation * l.UIntercept * l.USlope
		near(t, "u from covariance", got, math.Sqrt(l.UIntercept*l.UIntercept+c.x*c.x*l.USlope*l.USlope+2*c.x*cov), 1e-12)
		miss, u2, err := l.ErrorAt(c.x)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "error", miss, y-c.x, 0)
		near(t, "u of error", u2, got, 0)
	}
}

// A mark given three times must count like one with a third of the variance.
func TestWeightIsCount(t *testing.T) {
	twice := []depth.Mark{
		{True: 1, Read: 1.02, U: 0.03}, {True: 1, Read: 1.02, U: 0.03}, {True: 1, Read: 1.02, U: 0.03},
		{True: 2, Read: 1.99, U: 0.03}, {True: 4, Read: 4.07, U: 0.03},
	}
	once := []depth.Mark{{True: 1, Read: 1.02, U: 0.03 / math.Sqrt(3)}, twice[3], twice[4]}
	a, err := depth.FitLine(twice)
	if err != nil {
		t.Fatal(err)
	}
	b, err := depth.FitLine(once)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", a.Intercept, b.Intercept, 1e-13)
	near(t, "slope", a.Slope, b.Slope, 1e-13)
	near(t, "u intercept", a.UIntercept, b.UIntercept, 1e-13)
	near(t, "u slope", a.USlope, b.USlope, 1e-13)
	near(t, "correlation", a.Correlation, b.Correlation, 1e-13)
	near(t, "chi squared", a.ChiSquared, b.ChiSquared, 1e-11)
}

// The planned depth of 30 ft: the line's doubt, a datum known to half an inch
// and a tape known to 0.1 % (both rectangular), derived by adding the squares.
func TestBudgetAt(t *testing.T) {
	common := []depth.Part{
		{Name: "datum", U: depth.Rectangular(0.5 / 12), Sensitivity: 1},
		{Name: "tape scale", U: depth.Rectangular(0.001), Sensitivity: 30},
	}
	l, err := depth.FitLine(threeMarks(5, 10, 14.9, 0.04))
	if err != nil {
		t.Fatal(err)
	}
	miss, b, err := l.BudgetAt(30, common, depth.TwoSigma)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "miss", miss, 0.0666666666667-0.3, 1e-11)
	own := 2.88675134595 * 0.04
	near(t, "U", b.Expanded, 2*math.Sqrt(own*own+0.25/432+0.0003), 1e-11)
	if b.Shares[0].Name != "line" {
		t.Errorf("the largest share is %q", b.Shares[0].Name)
	}
	// The caller's parts are left as they are, spare room behind them too.
	room := append(common, depth.Part{Name: "spare"})
	if _, _, err := l.BudgetAt(30, room[:2], depth.TwoSigma); err != nil || room[2].Name != "spare" {
		t.Errorf("the caller's slice now holds %q, %v", room[2].Name, err)
	}
	// By scatter the line's own figure has one degree of freedom: k is 13.97.
	l = fitted(t, threeMarks(5, 10, 14.9, 0))
	_, b, err = l.BudgetAt(30, nil, 0.9545)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "dof", b.DOF, 1, 1e-12)
	near(t, "U by scatter", b.Expanded, 13.9678114875*2.88675134595*0.0408248290464, 1e-9)
	_, _, err = fitted(t, threeMarks(5, 10, 15, 0)).BudgetAt(30, nil, 0.95)
	refused(t, err, "parts")
	_, _, err = l.BudgetAt(math.NaN(), common, 0.95)
	refused(t, err, "x")
	_, _, err = l.BudgetAt(30, []depth.Part{{U: 1}}, 0.95)
	refused(t, err, "parts[0].Sensitivity")
}

func TestFitRefuses(t *testing.T) {
	nan := math.NaN()
	m := func(x, y, u float64) depth.Mark { return depth.Mark{True: x, Read: y, U: u} }
	for _, c := range []struct {
		field string
		marks []depth.Mark
	}{
		{"marks", nil},
		{"marks", []depth.Mark{m(1, 1, 1)}},
		{"marks", []depth.Mark{m(1, 1, 1), m(1, 2, 1)}},
		{"marks", []depth.Mark{m(1, 1, 1), m(1+1e-7, 2, 1)}},
		{"marks", []depth.Mark{m(1, 1, 1), m(2, 2, 1e5)}},
		{"marks[1].U", []depth.Mark{m(1, 1, 1), m(2, 2, 0)}},
		{"marks[1].U", []depth.Mark{m(1, 1, 1), m(2, 2, nan)}},
		{"marks[0].True", []depth.Mark{m(nan, 1, 1), m(2, 2, 1)}},
		{"marks[1].Read", []depth.Mark{m(1, 1, 1), m(2, math.Inf(1), 1)}},
	} {
		_, err := depth.FitLine(c.marks)
		refused(t, err, c.field)
	}
	_, err := depth.FitLineByScatter([]depth.Mark{m(1, 1, 0), m(2, 2, 0)})
	refused(t, err, "marks")
	_, _, err = depth.Line{}.At(1)
	refused(t, err, "Line")
	_, _, err = fitted(t, threeMarks(5, 10, 15, 1)).ErrorAt(nan)
	refused(t, err, "x")
	_, _, err = depth.Curvature(m(5, 5, 1), m(10, 10, 1), m(16, 16, 1))
	refused(t, err, "middle.True")
	_, _, err = depth.Curvature(m(5, 5, 1), m(10, 10, 1), m(15.01, 15, 1))
	refused(t, err, "middle.True")
	_, _, err = depth.Curvature(m(15, 5, 1), m(10, 10, 1), m(5, 16, 1))
	refused(t, err, "middle.True")
	_, _, err = depth.Curvature(m(5, 5, 1), m(10, 10, 1), m(15, 15, 0))
	refused(t, err, "far.U")
	_, _, err = depth.Curvature(m(5, nan, 1), m(10, 10, 1), m(15, 15, 0))
	refused(t, err, "near.Read")
}
