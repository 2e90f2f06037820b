package depth_test

import (
	"errors"
	"math"
	"testing"

	"firstrod/engine/depth"
)

// whole fails the fuzzing when a result is not a number one can use.
func whole(t *testing.T, results ...float64) {
	t.Helper()
	for _, v := range results {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("a result is %g", v)
		}
	}
}

// kind fails the fuzzing when an error does not name a field.
func kind(t *testing.T, err error) {
	t.Helper()
	if err == nil {
		return
	}
	if fe, ok := errors.AsType[*depth.FieldError](err); !ok || fe.Field == "" || fe.Why == "" {
		t.Fatalf("an error that names no field: %v", err)
	}
}

func FuzzFitLine(f *testing.F) {
	f.Add(1.524, 1.52, 0.02, 3.048, 3.05, 0.02, 4.572, 4.57, 0.02, 9.0)
	f.Add(0.0, 0.0, 1e-9, 1e-6, 1e6, 1e-5, 1e6, -1e6, 1e-9, -1e6)
	f.Add(math.NaN(), 0.0, 1.0, math.Inf(1), 1.0, 1.0, 2.0, 2.0, 0.0, math.Inf(-1))
	f.Fuzz(func(t *testing.T, x1, y1, u1, x2, y2, u2, x3, y3, u3, at float64) {
		marks := []depth.Mark{{True: x1, Read: y1, U: u1}, {True: x2, Read: y2, U: u2}, {True: x3, Read: y3, U: u3}}
		for _, fit := range []func([]depth.Mark) (depth.Line, error){depth.FitLine, depth.FitLineByScatter} {
			l, err := fit(marks)
			kind(t, err)
			if err != nil && l != (depth.Line{}) {
				t.Fatal("a line beside an error")
			}
			whole(t, l.Intercept, l.Slope, l.UIntercept, l.USlope, l.Correlation, l.ResidualSD, l.ChiSquared)
			y, u, err := l.At(at)
			kind(t, err)
			whole(t, y, u)
		}
		c2, u, err := depth.Curvature(marks[0], marks[1], marks[2])
		kind(t, err)
		whole(t, c2, u)
	})
}

func FuzzDecide(f *testing.F) {
	f.Add(0.05, 0.02, 0.0762, 1.0)
	f.Add(math.NaN(), 1.0, 1.0, 1.0)
	f.Add(0.0, math.Inf(1), math.MaxFloat64, math.Copysign(0, -1))
	f.Fuzz(func(t *testing.T, miss, expanded, tolerance, guard float64) {
		v, err := depth.Decide(miss, expanded, tolerance, guard)
		kind(t, err)
		switch {
		case err != nil && v != "":
			t.Fatalf("a verdict %q beside an error", v)
		case v == depth.Holds && !(math.Abs(miss) <= tolerance && guard*expanded < tolerance):
			t.Fatalf("holds for %g, %g, %g, %g", miss, expanded, tolerance, guard)
		}
		p, err := depth.Conformance(&tolerance, nil, miss, expanded)
		kind(t, err)
		if whole(t, p); p < 0 || p > 1 {
			t.Fatalf("a probability of %g", p)
		}
		b, err := depth.Combine([]depth.Part{
			{U: miss, DOF: guard, Sensitivity: expanded}, {U: expanded, DOF: tolerance, Sensitivity: miss},
		}, depth.TwoSigma)
		kind(t, err)
		whole(t, b.U, b.DOF, b.K, b.Expanded)
	})
}
