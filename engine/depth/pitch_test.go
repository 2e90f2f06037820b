package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

const degree = math.Pi / 180

// Derived: 100 tan of the angle.
func TestPitchAndAngle(t *testing.T) {
	for _, c := range []struct{ percent, degrees float64 }{
		{1, 0.57293869768349}, {5, 2.8624052261117}, {10, 5.7105931374996},
		{25, 14.036243467926}, {45, 24.227745317954}, {1.7455064928218, 1},
		{17.632698070846, 10}, {21.255656167002, 12}, {-10, -5.7105931374996},
	} {
		near(t, "degrees", must(t)(depth.PitchAngle(c.percent/100))/degree, c.degrees, 1e-11)
		near(t, "percent", must(t)(depth.AnglePitch(c.degrees*degree))*100, c.percent, 1e-11)
	}
}

// Derived: +1.3 and -0.9 degrees give a bias of 0.2 and a slope of 1.1; a true
// bias of 0.3 degrees on 2 degrees reads 4.01641489672 and -2.96793071318 %.
func TestPitchZero(t *testing.T) {
	bias, slope, err := depth.PitchZero(math.Tan(1.3*degree), math.Tan(-0.9*degree))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", math.Atan(bias)/degree, 0.2, 1e-13)
	near(t, "slope", math.Atan(slope)/degree, 1.1, 1e-13)
	bias, slope, err = depth.PitchZero(0.0401641489672, -0.0296793071318)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias in percent", bias*100, 0.52360356057, 1e-11)
	near(t, "slope in degrees", math.Atan(slope)/degree, 2, 1e-11)
	// Half a step of a display in 0.1 %, rectangular.
	near(t, "u(b)", must(t)(depth.PitchZeroU(depth.Rectangular(0.0005)))*100, 0.0204124145, 1e-10)
	_, _, err = depth.PitchZero(math.NaN(), 0)
	refused(t, err, "first")
	_, _, err = depth.PitchZero(0, 11)
	refused(t, err, "reversed")
	_, err = depth.PitchZeroU(0)
	refused(t, err, "u")
	_, err = depth.PitchAngle(math.Inf(1))
	refused(t, err, "pitch")
	_, err = depth.AnglePitch(1.5)
	refused(t, err, "angle")
}

// Derived: length times the sine.
func TestRise(t *testing.T) {
	for _, c := range []struct{ rod, pitch, want float64 }{
		{10, 0.10, 0.99503719021}, {10, 0.20, 1.96116135138}, {10, 0.30, 2.87347885566},
		{15, 0.25, 3.63803437554}, {3, 0.10, 0.298511157063}, {10, -0.10, -0.99503719021},
	} {
		near(t, "rise", must(t)(depth.Rise(c.rod, c.pitch)), c.want, 1e-11)
	}
	_, err := depth.Rise(0, 0)
	refused(t, err, "rod")
}

// Derived: a bore of eight 10-ft rods, and two single bends.
func TestBend(t *testing.T) {
	rise, advance, err := depth.Bend(10, -0.20, -0.10)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise", rise, -1.47927678362, 1e-11)
	near(t, "advance", advance, 9.885958609389, 1e-11)
	rise, _, err = depth.Bend(10, -0.10, -0.06)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise", rise, -0.7970849550022, 1e-11)

	pitches := []float64{-0.20, -0.20, -0.16, -0.12, -0.08, -0.04, 0, 0, 0.04}
	after := []float64{1.96116135138, 3.7319160021, 5.11777231734, 6.11235450029,
		6.71100003259, 6.91086684556, 6.91086684556, 6.71100003259}
	below, along := 0.0, 0.0
	for i, want := range after {
		rise, advance, err := depth.Bend(10, pitches[i], pitches[i+1])
		if err != nil {
			t.Fatal(err)
		}
		below -= rise
		along += advance
		near(t, "depth by the rods", below, want, 1e-10)
	}
	near(t, "advance by the rods", along, 79.4758370975, 1e-10)
	_, _, err = depth.Bend(10, math.NaN(), 0)
	refused(t, err, "start")
	_, _, err = depth.Bend(10, 0, math.NaN())
	refused(t, err, "end")
}
