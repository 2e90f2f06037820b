package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// Table pitch_nulls.csv, derived by 25 to 40-digit arithmetic.
func TestNullsTable(t *testing.T) {
	for _, r := range table(t, "pitch_nulls.csv") {
		pitch := r.num(t, "pitch_pct") / 100
		n, err := depth.NullsAt(pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "front", n.Front, r.num(t, "u_front"), 1e-13)
		near(t, "rear", n.Rear, r.num(t, "u_rear"), 1e-13)
		near(t, "vertical", n.Vertical, r.num(t, "u_vertical_null"), 1e-13)
		near(t, "spacing", n.Front-n.Rear, r.num(t, "L_over_d"), 1e-12)
		v := must(t)
		near(t, "depth", v(depth.DepthFromNulls(1, pitch)), r.num(t, "d_over_L"), 1e-13)
		level := v(depth.DepthFromNulls(1, 0)) / v(depth.DepthFromNulls(1, pitch))
		near(t, "level formula over true", level, r.num(t, "naive_depth_over_true"), 1e-12)
		above, err := depth.Over(0, 0, 1, pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "above", above.Depth, r.num(t, "reading_over_true_directly_above"), 1e-13)
		at, err := depth.Over(n.Vertical, 0, 1, pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "at vertical null", at.Depth, r.num(t, "reading_over_true_at_vertical_null"), 1e-13)
	}
}

// The nulls are where the field of Over vanishes: the two know nothing of each
// other beyond the dipole. Their product is -1/2 at every pitch (derived).
func TestNullsAreNulls(t *testing.T) {
	for pitch := -9.9; pitch < 10; pitch += 0.1 {
		n, err := depth.NullsAt(pitch)
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range []float64{n.Front, n.Rear} {
			s, err := depth.Over(u, 0, 1, pitch)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "X at axial null", s.X/s.Total, 0, 1e-13)
		}
		s, err := depth.Over(n.Vertical, 0, 1, pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Z at vertical null", s.Z/s.Total, 0, 1e-13)
		near(t, "product", n.Front*n.Rear, -0.5, 1e-13)
		near(t, "midpoint", (n.Front+n.Rear)/2, -0.75*pitch, 1e-13)
	}
}

// Derived worked cases; any unit of length.
func TestDepthFromNulls(t *testing.T) {
	for _, c := range []struct{ spacing, pitch, height, depth, cover float64 }{
		{14, 0, 0, 9.899494936612, 9.899494936612},
		{14, 0.10, 0, 9.844275755085, 9.844275755085},
		{14, 0.20, 1.5, 9.684002494125, 8.184002494125},
		{10, -0.15, 2, 6.983238520753, 4.983238520753},
	} {
		near(t, "depth", must(t)(depth.DepthFromNulls(c.spacing, c.pitch)), c.depth, 1e-11)
		near(t, "cover", must(t)(depth.CoverFromNulls(c.spacing, c.pitch, c.height)), c.cover, 1e-11)
	}
	_, err := depth.CoverFromNulls(10, 0, 8)
	refused(t, err, "height")
	_, err = depth.CoverFromNulls(10, 0, must(t)(depth.DepthFromNulls(10, 0)))
	refused(t, err, "height")
	_, err = depth.CoverFromNulls(10, 0, -1)
	refused(t, err, "height")
	_, err = depth.DepthFromNulls(0, 0)
	refused(t, err, "spacing")
	_, err = depth.DepthFromNulls(1, math.NaN())
	refused(t, err, "pitch")
	_, err = depth.NullsAt(math.Inf(1))
	refused(t, err, "pitch")
}
