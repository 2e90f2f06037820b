package depth_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"firstrod/engine/depth"
)

// loop is the field at r of a round current loop of the given radius about the
// x axis, tipped nose-up by pitch, by adding up the law of Biot and Savart over
// short straight pieces; scaled so that a vanishing loop is a unit dipole. A way
// to the field that knows nothing of dipoles.
func loop(radius, pitch float64, r r3.Vec) r3.Vec {
	const pieces = 256
	axis := r3.Unit(r3.Vec{X: 1, Z: pitch})
	side := r3.Vec{Y: 1}
	up := r3.Cross(axis, side)
	var b r3.Vec
	for i := range pieces {
		phi := 2 * math.Pi * (float64(i) + 0.5) / pieces
		at := r3.Add(r3.Scale(radius*math.Cos(phi), side), r3.Scale(radius*math.Sin(phi), up))
		along := r3.Add(r3.Scale(-radius*math.Sin(phi), side), r3.Scale(radius*math.Cos(phi), up))
		to := r3.Sub(r, at)
		n := r3.Norm(to)
		b = r3.Add(b, r3.Scale(1/(n*n*n), r3.Cross(along, to)))
	}
	// Length of a piece, over the moment (area) of the loop.
	return r3.Scale(2*math.Pi/pieces/(math.Pi*radius*radius), b)
}

// The loop comes to the dipole as c (a/d)^2, with c = 9/8 overhead, 1.5 end-on,
// 0.8485 at x = d/2 and 0.6161 at the axial null (derived, elliptic integrals).
func TestSmallLoopIsADipole(t *testing.T) {
	for _, c := range []struct{ x, below, rate float64 }{
		{0, 1, 1.125},
		{0.5, 1, 0.8485},
		{math.Sqrt2 / 2, 1, 0.6161},
	} {
		for _, radius := range []float64{0.02, 0.01, 0.005} {
			s, err := depth.Over(c.x, 0, c.below, 0)
			if err != nil {
				t.Fatal(err)
			}
			got := r3.Norm(r3.Sub(loop(radius, 0, r3.Vec{X: c.x, Z: c.below}), r3.Vec{X: s.X, Z: s.Z}))
			near(t, "rate", got/s.Total/(radius*radius), c.rate, 1e-3+3*radius*radius)
		}
	}
	end := loop(0.005, 0, r3.Vec{X: 1})
	near(t, "end-on", end.X, 2*(1-1.5*0.005*0.005), 1e-8)
}

// Every point of the table again, by the loop: pitched and off to the side too.
func TestLoopAgreesWithTable(t *testing.T) {
	const radius = 1e-4
	for _, r := range table(t, "dipole_field.csv") {
		d := r.num(t, "d_ft")
		at := r3.Vec{X: r.num(t, "x_ft") / d, Y: r.num(t, "y_ft") / d, Z: 1}
		b := loop(radius, r.num(t, "pitch_pct")/100, at)
		near(t, "X", b.X, r.num(t, "Bx"), 1e-7)
		near(t, "Y", b.Y, r.num(t, "By"), 1e-7)
		near(t, "Z", b.Z, r.num(t, "Bz"), 1e-7)
	}
}

// The axial null of a loop lies at 0.706075035849496 and 0.707065532415238 for
// a/d = 0.05 and 0.01 (derived, elliptic integrals), coming to the dipole's.
func TestLoopNull(t *testing.T) {
	limit, err := depth.NullsAt(0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ radius, want float64 }{
		{0.05, 0.706075035849496}, {0.01, 0.707065532415238}, {0.001, 0.707106368707504},
	} {
		low, high := 0.6, 0.8 // the field along x changes sign once between these
		for range 60 {
			mid := (low + high) / 2
			if loop(c.radius, 0, r3.Vec{X: mid, Z: 1}).X < 0 {
				low = mid
			} else {
				high = mid
			}
		}
		near(t, "null", low, c.want, 1e-10)
		near(t, "rate", (limit.Front-low)/(c.radius*c.radius), 0.41248, 2e-3)
	}
}
