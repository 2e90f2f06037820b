package depth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// The unit of length matters to nothing that has none: sphere, mat, standoff,
// nulls and the reach down the hole.
func TestUnitInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		s := depth.Sphere{Radius: rapid.Float64Range(0.3, 2).Draw(t, "radius"), Gap: rapid.Float64Range(0.5, 9).Draw(t, "gap"),
			Along: rapid.Float64Range(-3, 3).Draw(t, "along"), Angle: rapid.Float64Range(0, 3).Draw(t, "angle"), Metal: depth.Conductor}
		a, errA := s.Change(3)
		big := s
		big.Radius, big.Gap, big.Along = f*s.Radius, f*s.Gap, f*s.Along
		b, errB := big.Change(3 * f)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		near(t, "sphere", b.Vector, a.Vector, 1e-10)
		h := rapid.Float64Range(0.1, 9).Draw(t, "mat")
		m, errM := depth.AfterMat(3, h, 1.5)
		n, errN := depth.AfterMat(3*f, h*f, 1.5*f)
		if errM != nil || errN != nil {
			t.Fatal(errM, errN)
		}
		near(t, "mat", n.Later, m.Later, 1e-12)
		near(t, "read", n.Reads[0]/f, m.Reads[0], 1e-11)
		sight := depth.NullSight{Front: depth.Value{Value: h, U: 0.02}, Rear: depth.Value{Value: -2, U: 0.03},
			Pitch: depth.Value{Value: 0.1, U: 0.001}, Height: depth.Value{Value: 0.1, U: 0.01}}
		far := depth.NullSight{Front: depth.Value{Value: h * f, U: 0.02 * f}, Rear: depth.Value{Value: -2 * f, U: 0.03 * f},
			Pitch: sight.Pitch, Height: depth.Value{Value: 0.1 * f, U: 0.01 * f}}
		c, errC := sight.Cover()
		d, errD := far.Cover()
		if errC != nil || errD != nil {
			t.Fatal(errC, errD)
		}
		near(t, "cover", d.Value/f, c.Value, 1e-11)
		near(t, "its u", d.U/f, c.U, 1e-11)
	})
}

// Further metal never does more, in the bound; a sphere stays within the bound of
// what lies behind one plane; more doubt never reaches deeper.
func TestGroundMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(6, 30).Draw(t, "standoff")
		more := s * rapid.Float64Range(1, 3).Draw(t, "more")
		a, errA := depth.WorstAt(s, 3, 4.5, false)
		b, errB := depth.WorstAt(more, 3, 4.5, false)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if b.Far > a.Far || b.Later > a.Later {
			t.Fatalf("%g: %+v, %g: %+v", s, a, more, b)
		}
		sphere := depth.Sphere{Radius: rapid.Float64Range(0.3, 5).Draw(t, "radius"), Gap: s,
			Along: rapid.Float64Range(-2, 2).Draw(t, "along"), Angle: rapid.Float64Range(0, 3).Draw(t, "angle"),
			Metal: rapid.SampledFrom([]depth.Metal{depth.Conductor, depth.Permeable}).Draw(t, "metal")}
		c, err := sphere.Change(3)
		if err != nil {
			t.Fatal(err)
		}
		if bound := must(t)(depth.SignalBound(3, s, s)); c.Vector > bound || math.Abs(c.Total) > bound {
			t.Fatalf("%+v beyond the bound %g", c, bound)
		}
	})
}

func FuzzDown(f *testing.F) {
	f.Add(1.52, 4.57, 0.01, 0.001, 0.007, 0.01, 4.2, 0.05, 1.8, 0.02, 0.1, 0.25, 0.3)
	f.Add(1e6, 1e-6, 1e6, 0.25, 1e6, 1e6, 1e6, 1.0, 1e6, 1e6, 1e6, 1e6, 1e6)
	f.Add(math.NaN(), 0.0, 0.0, -1.0, 0.0, math.Inf(1), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, near, far, u, tape, datum, reading, x, tol, depthOf, uOf, size, reamer, code float64) {
		line, err := depth.FitLine([]depth.Mark{{True: 1.5, Read: near, U: u}, {True: 3, Read: 3, U: u}, {True: 4.5, Read: far, U: u}})
		kind(t, err)
		d := depth.Down{Line: line, Tape: tape, Datum: datum, Reading: reading, Coverage: 0.95}
		r, err := d.At(x)
		kind(t, err)
		whole(t, r.Miss, r.Worst, r.Budget.Expanded)
		deepest, ok, err := d.Deepest(tol, 1, x)
		kind(t, err)
		if whole(t, deepest); ok && (err != nil || deepest <= 0) {
			t.Fatalf("%g, %t, %v", deepest, ok, err)
		}
		s, err := d.Separation(x, depth.Utility{Depth: depthOf, U: uOf, Diameter: size, Exposed: true}, reamer, code)
		kind(t, err)
		if whole(t, s.Available, s.Required, s.Contact, s.BelowCode); s.Contact < 0 || s.Contact > s.BelowCode+1e-12 {
			t.Fatalf("%+v", s)
		}
		g, err := depth.Grade{Planned: near, Tolerance: tol, Step: tape, Zero: u}.Proof()
		kind(t, err)
		whole(t, g.U, g.Expanded)
		stations, err := depth.RodLog{Start: depth.Value{Value: near, U: u}, Pitch: far, Rods: []depth.Rod{{x, tol}, {reading, far}},
			PitchU: tape, ZeroU: u, LengthU: tape}.Stations()
		kind(t, err)
		for _, s := range stations {
			whole(t, s.Depth, s.Advance, s.U)
		}
		e, err := depth.Sphere{Radius: size, Gap: reamer, Along: near, Angle: tol, Metal: depth.Permeable}.Change(x)
		kind(t, err)
		whole(t, e.Axis, e.Total, e.Vector)
		p, err := depth.Process{Mean: near, SD: u, U: datum, Lower: -x, Upper: x, AcceptLower: -tol, AcceptUpper: tol}.Risk()
		kind(t, err)
		whole(t, p.Conforming, p.Consumer, p.Producer)
	})
}
