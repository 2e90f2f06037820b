package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// Table dipole_field.csv, derived by 25 to 40-digit arithmetic.
func TestOverTable(t *testing.T) {
	for _, r := range table(t, "dipole_field.csv") {
		s, err := depth.Over(r.num(t, "x_ft"), r.num(t, "y_ft"), r.num(t, "d_ft"), r.num(t, "pitch_pct")/100)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "X", s.X, r.num(t, "Bx"), 1e-13)
		near(t, "Y", s.Y, r.num(t, "By"), 1e-13)
		near(t, "Z", s.Z, r.num(t, "Bz"), 1e-13)
		near(t, "Total", s.Total, r.num(t, "Btot"), 1e-13)
		near(t, "Depth", s.Depth, r.num(t, "depth_from_Btot_ft"), 1e-12)
	}
}

// Derived: where the receiver stands off the point above a level transmitter.
func TestOffsets(t *testing.T) {
	for _, c := range []struct{ x, y, below, total, axial float64 }{
		{0, 1, 10, 10.0498756211209, 10.0498756211209},
		{0, 2, 10, 10.1980390271856, 10.1980390271856},
		{0, 3, 10, 10.4403065089106, 10.4403065089106},
		{0, 1, 5, 5.09901951359278, 5.09901951359278},
		{0, 3, 15, 15.2970585407784, 15.2970585407784},
		{1, 0, 10, 10.000967730588, 10.151396387458},
		{3, 0, 10, 10.06223634367, 11.479354404514},
	} {
		s, err := depth.Over(c.x, c.y, c.below, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "total", s.Depth, c.total, 1e-11)
		near(t, "axial", must(t)(s.AxialDepth()), c.axial, 1e-11)
	}
}

func TestAxialDepthAtItsNull(t *testing.T) {
	n, err := depth.NullsAt(0)
	if err != nil {
		t.Fatal(err)
	}
	s, err := depth.Over(n.Front*10, 0, 10, 0)
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.AxialDepth()
	refused(t, err, "X")
	near(t, "total at the null", s.Depth, 10.91123635972, 1e-11)
	_, err = depth.Surface{}.AxialDepth()
	refused(t, err, "X")
}

// Derived: the transmitter turned away from square during calibration.
func TestMisaim(t *testing.T) {
	for _, c := range []struct{ deg, total, axis float64 }{
		{0, 1, 1},
		{5, 0.99625161046799, 1.0077136107259},
		{10, 0.98567022839043, 1.0321105935757},
		{45, 0.85837421893256, 1.259921049894873},
		{90, 0.7937005259841, 0.7937005259841},
		{30, math.Pow(1.75, -1.0/6), 1.5874010519682}, // total: (1+3/4)^(-1/6)
	} {
		total, axis, err := depth.Misaim(c.deg * math.Pi / 180)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "total", total, c.total, 1e-12)
		near(t, "axis", axis, c.axis, 1e-12)
	}
	_, _, err := depth.Misaim(math.NaN())
	refused(t, err, "angle")
}

func TestOverRefuses(t *testing.T) {
	nan := math.NaN()
	_, err := depth.Over(nan, 0, 1, 0)
	refused(t, err, "x")
	_, err = depth.Over(0, math.Inf(-1), 1, 0)
	refused(t, err, "y")
	_, err = depth.Over(0, 0, 0, 0)
	refused(t, err, "below")
	_, err = depth.Over(0, 0, 1, 11)
	refused(t, err, "pitch")
}
