package depth_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/spatial/r3"

	"firstrod/engine/depth"
)

// sphereChange is the relative change of the axis signal over a baseline of
// length 1 along y, the transmitter pointing along x at a sphere of the given
// radius beside the middle of it, clear of it by gap: the sum of multipoles
// G = sum c_n a^(2n+1) / (R T)^(n+1) P_n, c_n = n/(n+1) for a conductor and -1
// for a permeable sphere, differentiated at both ends along x.
func sphereChange(radius, gap float64, permeable bool) float64 {
	centre := gap + radius
	end := func(x, y float64) r3.Vec { return r3.Vec{X: x - centre, Y: y} }
	g := func(transmitter, receiver float64) float64 { // their places along x
		from, to := end(transmitter, -0.5), end(receiver, 0.5)
		R, T, cos := r3.Norm(to), r3.Norm(from), r3.Cos(from, to)
		sum, before, p := 0.0, 1.0, cos
		grow := radius * radius / (R * T)
		term := radius / (R * T) // a^(2n+1)/(RT)^(n+1), from n = 0
		for n := 1.0; n < 400; n++ {
			term *= grow
			c := n / (n + 1)
			if permeable {
				c = -1
			}
			sum += c * term * p
			before, p = p, ((2*n+1)*cos*p-n*before)/(n+1)
		}
		return sum
	}
	// The plain signal is -1 and the extra one minus the mixed derivative.
	return fd.CrossLaplacian(func(x, y []float64) float64 { return g(x[0], y[0]) },
		[]float64{0}, []float64{0}, &fd.Settings{Formula: fd.Central, Step: 1e-3})
}

// Table metal_sphere.csv, derived: a compact body beside a 10-ft line. The rows
// by the sum of multipoles, and that nothing goes beyond the half-space bound.
func TestSphereTable(t *testing.T) {
	for _, r := range table(t, "metal_sphere.csv") {
		radius, gap := r.num(t, "radius_ft"), r.num(t, "surface_standoff_ft")
		want := r.num(t, "broadside_axis_pct_exact")
		got := 100 * sphereChange(radius/10, gap/10, r["kind"] == "PMC")
		near(t, "axis", got, want, 1e-4*math.Abs(want))
		bound := 100 * must(t)(depth.SignalBound(10, gap, gap))
		near(t, "bound", bound, r.num(t, "bound_pct"), 1e-5*bound)
		for _, column := range []string{"broadside_axis_pct_exact", "worst_vector_pct", "worst_total_pct"} {
			if math.Abs(r.num(t, column)) > 0.15*bound {
				t.Errorf("%v: %s beyond 0.15 of the bound", r, column)
			}
		}
	}
}
