package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// Table standoff_bound.csv, derived.
func TestStandoffTable(t *testing.T) {
	for _, r := range table(t, "standoff_bound.csv") {
		base, rel := r.num(t, "r_ft"), r.num(t, "depth_error_limit")
		s := must(t)(depth.StandoffFor(base, rel))
		near(t, "standoff", s, r.num(t, "s_min_ft"), 1e-12)
		near(t, "bound", must(t)(depth.SignalBound(base, s, s)), r.num(t, "delta_limit"), 1e-14)
		near(t, "there and back", must(t)(depth.WorstDepthError(base, s)), rel, 1e-14)
		// Two sides change the signal 2.5 times as much; the change falls with the cube.
		both := must(t)(depth.StandoffForBetween(base, rel))
		near(t, "both sides", both, r.num(t, "s_min_ft")*math.Cbrt(2.5), 1e-12)
		near(t, "there and back", must(t)(depth.WorstDepthErrorBetween(base, both)), rel, 1e-14)
		if simple := r.num(t, "s_simple_ft"); s <= simple {
			t.Errorf("standoff %g is not beyond the first-order %g", s, simple)
		}
	}
}

// Table metal_plane.csv, derived by image dipoles: the rows themselves, and that
// no row goes beyond the bound.
func TestPlaneTable(t *testing.T) {
	walls := map[string]depth.Wall{"A": depth.Beside, "B": depth.Under, "C": depth.Across}
	metals := map[string]depth.Metal{"PEC": depth.Conductor, "PMC": depth.Permeable}
	bounded := 0
	for _, r := range table(t, "metal_plane.csv") {
		base, s := r.num(t, "r_ft"), r.num(t, "s_ft")
		c, err := depth.SheetChange(base, s, walls[r["case"]], metals[r["kind"]])
		if err != nil {
			t.Fatal(err)
		}
		v := must(t)
		near(t, "axis", c.Axis*100, r.num(t, "signal_change_axis_pct"), 1e-11)
		near(t, "total", c.Total*100, r.num(t, "signal_change_total_pct"), 1e-11)
		near(t, "depth by axis", v(depth.DepthError(c.Axis))*100, r.num(t, "depth_change_axis_pct"), 1e-11)
		near(t, "depth by total", v(depth.DepthError(c.Total))*100, r.num(t, "depth_change_total_pct"), 1e-11)
		bound := v(depth.SignalBound(base, s, s))
		near(t, "bound", bound*100, r.num(t, "bound_signal_pct"), 1e-11*bound*100)
		if math.Abs(c.Axis) > bound || math.Abs(c.Total) > bound {
			t.Errorf("%v goes beyond the bound %g", r, bound)
		}
		worst, err := depth.WorstDepthError(base, s)
		if err != nil {
			refused(t, err, "standoff")
			continue
		}
		bounded++
		for _, column := range []string{"depth_change_axis_pct", "depth_change_total_pct"} {
			if got := math.Abs(r.num(t, column)) / 100; got > worst {
				t.Errorf("%v: depth error %g beyond the worst %g", r, got, worst)
			}
		}
	}
	if bounded < 60 {
		t.Errorf("only %d rows had a bound to be held against", bounded)
	}
}

// Derived: how near the exact plane, transmitter pointing at it, comes to the
// bound; it must never reach it.
func TestBoundIsTight(t *testing.T) {
	for _, c := range []struct{ ratio, want float64 }{{1, 0.660}, {2, 0.893}, {4, 0.971}, {40, 0.9997}} {
		got, err := depth.SheetChange(1, c.ratio, depth.Beside, depth.Conductor)
		if err != nil {
			t.Fatal(err)
		}
		// The vector's change: along and across the axis.
		d := math.Sqrt(1 + 4*c.ratio*c.ratio)
		across := 6 * c.ratio / math.Pow(d, 5)
		share := math.Hypot(got.Axis, across) / must(t)(depth.SignalBound(1, c.ratio, c.ratio))
		near(t, "share of the bound", share, c.want, 6e-4)
	}
}

// Table rebar_mat.csv, derived: a sheet below the line during calibration.
func TestMatTable(t *testing.T) {
	for _, r := range table(t, "rebar_mat.csv") {
		signal := func(distance float64) float64 { // over the signal with no mat
			c, err := depth.SheetChange(distance, r.num(t, "h_ft"), depth.Under, depth.Conductor)
			if err != nil {
				t.Fatal(err)
			}
			return 1 + c.Axis
		}
		v := must(t)
		k := v(depth.Constant(signal(10)*1e-3, 10))
		read := func(distance float64) float64 {
			return v(depth.FromSignal(k, signal(distance)/(distance*distance*distance)))
		}
		near(t, "change at 5", signal(5)-1, r.num(t, "delta5"), 1e-13)
		near(t, "change at 10", signal(10)-1, r.num(t, "delta10"), 1e-13)
		near(t, "change at 15", signal(15)-1, r.num(t, "delta15"), 1e-13)
		near(t, "read at 5", read(5), r.num(t, "read5_after_cal_on_mat"), 1e-12)
		near(t, "read at 15", read(15), r.num(t, "read15_after_cal_on_mat"), 1e-12)
		later := v(depth.FromSignal(k, 1e-3)) / 10
		near(t, "later scale", later, r.num(t, "later_depth_scale_factor_off_mat"), 1e-13)
	}
}

func TestStandoffRefuses(t *testing.T) {
	_, err := depth.WorstDepthError(10, 6) // the bound is above the whole signal
	refused(t, err, "standoff")
	_, err = depth.WorstDepthErrorBetween(10, 8)
	refused(t, err, "standoff")
	_, err = depth.WorstDepthError(0, 6)
	refused(t, err, "baseline")
	_, err = depth.StandoffFor(10, 0)
	refused(t, err, "relError")
	_, err = depth.StandoffFor(math.NaN(), 0.01)
	refused(t, err, "baseline")
	_, err = depth.SignalBound(1, math.NaN(), 1)
	refused(t, err, "toTransmitter")
	_, err = depth.SignalBound(1, 1, math.Inf(1))
	refused(t, err, "toReceiver")
	_, err = depth.SheetChange(1, 1, "", depth.Conductor)
	refused(t, err, "wall")
	_, err = depth.SheetChange(1, 1, depth.Under, "")
	refused(t, err, "metal")
	_, err = depth.SheetChange(1, 0, depth.Under, depth.Permeable)
	refused(t, err, "standoff")
	one, two := must(t)(depth.WorstDepthError(10, 30)), must(t)(depth.WorstDepthErrorBetween(10, 30))
	if two <= 2*one {
		t.Errorf("between two walls %g, beside one %g", two, one)
	}
}
