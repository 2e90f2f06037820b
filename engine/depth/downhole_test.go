package depth_test

import (
	"errors"
	"math"
	"testing"

	"firstrod/engine/depth"
)

// down is a crew with the ordinary reading budget and readings at 5 and 15 ft as
// given, in feet.
func down(t *testing.T, near, far float64) depth.Down {
	t.Helper()
	b, err := depth.ReadingBudget(0.25*in, 0.5*in, 1*in, 0)
	if err != nil {
		t.Fatal(err)
	}
	line, err := depth.FitLine([]depth.Mark{
		{True: 5 * ft, Read: near * ft, U: b.U}, {True: 10 * ft, Read: 10 * ft, U: b.U}, {True: 15 * ft, Read: far * ft, U: b.U},
	})
	if err != nil {
		t.Fatal(err)
	}
	return depth.Down{Line: line, Tape: 0.001, Datum: depth.Rectangular(0.5 * in), Reading: b.U, Coverage: depth.TwoSigma}
}

// Derived by hand: at 30 ft the line through 5, 10, 15 has 2.88675 u (see the
// fit), to which come 0.1 % of 30 ft, the datum and one
// more reading.
func TestDownAt(t *testing.T) {
	d := down(t, 5, 15)
	r, err := d.At(30 * ft)
	if err != nil {
		t.Fatal(err)
	}
	u := math.Sqrt(0.75) / 2 * in
	want := math.Sqrt(u*u*(25.0/3+1) + 0.03*0.03*ft*ft + 0.25/3*in*in)
	near(t, "u", r.Budget.U, want, 1e-12)
	near(t, "miss", r.Miss, 0, 1e-12)
	near(t, "worst", r.Worst, 2*want, 1e-9)
	if r.Budget.Shares[0].Name != "line" {
		t.Errorf("shares %v", r.Budget.Shares)
	}
	for field, spoil := range map[string]func(d *depth.Down){
		"Tape":     func(d *depth.Down) { d.Tape = 0 },
		"Datum":    func(d *depth.Down) { d.Datum = 0 },
		"Reading":  func(d *depth.Down) { d.Reading = math.NaN() },
		"Line":     func(d *depth.Down) { d.Line = depth.Line{} },
		"coverage": func(d *depth.Down) { d.Coverage = 2 },
	} {
		d := down(t, 5, 15)
		spoil(&d)
		_, err := d.At(3)
		refused(t, err, field)
	}
}

// A datum wrong by e shows at the marks and goes on down the hole as the table
// says: what the line predicts less e. Table error_patterns.csv, derived; the row
// gives readings with the datum wrong at the mark too, so e is taken off there.
func TestDownDatumPart(t *testing.T) {
	for _, r := range table(t, "error_patterns.csv") {
		if r["pattern"] != "datum_offset_all_marks" {
			continue
		}
		e := r.num(t, "param")
		reach, err := down(t, r.num(t, "read_at_5"), r.num(t, "read_at_15")).At(30 * ft)
		if err != nil {
			t.Fatal(err)
		}
		// At a true 30 + e the receiver shows the row; a share, so at 30 it is
		truth := r.num(t, "read_at_30") * 30 / (30 + e)
		near(t, "down the hole", reach.Miss/ft-e, truth-30, 0.05*math.Abs(e))
	}
}

// The deepest depth is where it stops holding, and nowhere past it; less
// tolerance or more guard never reaches deeper.
func TestDeepest(t *testing.T) {
	d := down(t, 5.02, 14.45)
	x, ok, err := d.Deepest(0.05, 1, 30)
	if err != nil || !ok {
		t.Fatal(x, ok, err)
	}
	holds := func(x float64) bool {
		r, err := d.At(x)
		if err != nil {
			t.Fatal(err)
		}
		v, err := depth.Decide(r.Miss, r.Budget.Expanded, 0.05*x, 1)
		if err != nil {
			t.Fatal(err)
		}
		return v == depth.Holds
	}
	if !holds(x*(1-1e-6)) || holds(x*(1+1e-6)) {
		t.Errorf("the edge is not at %g", x)
	}
	before := math.Inf(1)
	for _, tol := range []float64{0.06, 0.05, 0.04, 0.03} {
		x, _, err := d.Deepest(tol, 1, 30)
		if err != nil || x > before {
			t.Errorf("tolerance %g reaches %g, a wider one %g, %v", tol, x, before, err)
		}
		before = x
	}
	if x, ok, err := d.Deepest(0.001, 1, 30); ok || err != nil || x != 0 {
		t.Errorf("0.1 %% reaches %g, %t, %v", x, ok, err)
	}
	perfect := down(t, 5, 15)
	if x, ok, err := perfect.Deepest(0.05, 1, 10); !ok || err != nil || x != 10 {
		t.Errorf("a perfect line stops at %g, %t, %v", x, ok, err)
	}
	_, _, err = d.Deepest(0, 1, 30)
	refused(t, err, "tolerance")
	_, _, err = d.Deepest(0.05, -1, 30)
	refused(t, err, "guard")
	_, _, err = d.Deepest(0.05, 1, math.NaN())
	refused(t, err, "limit")
	_, _, err = depth.Down{}.Deepest(0.05, 1, 30)
	refused(t, err, "Tape")
}

// There and back: the margin at the deepest depth is the margin needed.
func TestDeepestForMargin(t *testing.T) {
	v := must(t)
	x := v(depth.DeepestForMargin(60, 10*ft, -12, 12.1))
	near(t, "margin there", v(depth.Margin(60, 10*ft, -12, x)), 12.1, 1e-9)
	// 72 dB over 10 ft is 60 log10(d/10) + 12: d = 100 ft.
	near(t, "ten times as deep", v(depth.DeepestForMargin(60, 10*ft, -12, 12))/ft, 100, 1e-9)
	_, err := depth.DeepestForMargin(60, 0, -12, 12)
	refused(t, err, "baseline")
	_, err = depth.DeepestForMargin(1000, 1, -1000, 12)
	refused(t, err, "depth")
}

// Derived: the sums by hand; the worked crossing elsewhere has the same
// probability when the doubt is the same.
func TestSeparation(t *testing.T) {
	d := down(t, 5, 15)
	u := depth.Utility{Depth: 6 * ft, U: 1 * in, Diameter: 4 * in, Exposed: true}
	s, err := d.Separation(12*ft, u, 10*in, 12*in)
	if err != nil {
		t.Fatal(err)
	}
	r, err := d.At(12 * ft)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "available", s.Available, 6*ft, 1e-12)
	near(t, "required", s.Required, (5+2+12+1)*in+r.Worst, 1e-12)
	both := math.Hypot(r.Budget.U, 0.5*in)
	z := (6*ft - 19*in) / both
	near(t, "below code", s.BelowCode, math.Erfc(z/math.Sqrt2)/2, 1e-12)
	z = (7*in - 7.5*in) / both // tool and utility all but meet
	s, err = d.Separation(6*ft+7.5*in, u, 10*in, 12*in)
	if err != nil {
		t.Fatal(err)
	}
	if s.Contact < 0.05 || s.Contact > 0.5 || s.BelowCode < 0.999 || s.Contact >= s.BelowCode {
		t.Errorf("%+v, z %g", s, z)
	}
	u.Exposed = false
	_, err = d.Separation(12*ft, u, 10*in, 12*in)
	if c, ok := errors.AsType[*depth.CannotSayError](err); !ok || c.Field != "Utility.Exposed" || c.Why == "" {
		t.Errorf("unexposed: %v", err)
	}
	u.Exposed, u.U = true, 0
	_, err = d.Separation(12*ft, u, 10*in, 12*in)
	refused(t, err, "UtilityU")
	_, err = d.Separation(math.NaN(), u, 10*in, 12*in)
	refused(t, err, "x")
}

// A bias of 0.1 % over 300 ft is 0.3 ft (derived). A display in tenths of a
// percent has u 0.029 %, and with the zero from two readings of it 0.0204 % more
// (derived): it shows a grade tolerance of 0.1 %, not one of 0.05 %. An 8-in
// sewer at 0.40 %, smallest slopes as in the Ten-States type tables, secondary.
func TestGrade(t *testing.T) {
	drift, u, err := depth.PitchDrift(0.001, 0.000204, 300*ft)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drift", drift/ft, 0.3, 1e-12)
	near(t, "u", u/ft, 0.0612, 1e-12)
	zero := must(t)(depth.PitchZeroU(depth.Rectangular(0.0005)))
	for _, c := range []struct {
		planned, tolerance float64
		shown, falls       bool
	}{
		{0.004, 0.001, true, true}, {0.004, 0.0005, false, true}, {0.0005, 0.001, true, false}, {-0.004, 0.001, true, true},
	} {
		p, err := depth.Grade{Planned: c.planned, Tolerance: c.tolerance, Step: 0.001, Zero: zero}.Proof()
		if err != nil || p.Shown != c.shown || p.Falls != c.falls {
			t.Errorf("%+v: %+v, %v", c, p, err)
		}
		near(t, "u in percent", 100*p.U, math.Hypot(0.0288675134595, 0.0204124145), 1e-9)
	}
	_, _, err = depth.PitchDrift(0.001, 0, 100)
	refused(t, err, "u")
	_, err = depth.Grade{Planned: 0.004, Tolerance: 0.001, Step: 0.001}.Proof()
	refused(t, err, "Zero")
	_, err = depth.Grade{Planned: math.NaN(), Tolerance: 0.001, Step: 0.001, Zero: 1e-4}.Proof()
	refused(t, err, "Planned")
}
