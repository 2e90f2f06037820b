package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// Derived from S = k/r^3 by 40-digit arithmetic; the law is the dipole's
// (em.geosci.xyz, eq. 383). Feet here: any unit of length will do.
func TestCubeLaw(t *testing.T) {
	v := must(t)
	k := v(depth.Constant(1234.5, 10))
	near(t, "k", k, 1234500, 0)
	near(t, "depth for 500", v(depth.FromSignal(k, 500)), 13.51575663665, 1e-9)
	near(t, "depth for 9876", v(depth.FromSignal(k, 9876)), 5, 1e-12)
	near(t, "depth for 365.77", v(depth.FromSignal(k, 365.777777777778)), 15, 1e-9)
}

// Derived: 60 log10 of the ratio of distances.
func TestChangeDB(t *testing.T) {
	for _, c := range []struct{ from, to, want float64 }{
		{10, 5, 18.0617997398389},
		{10, 15, -10.5654755433409},
		{5, 15, -28.6272752831797},
		{10, 20, -18.0617997398389},
		{1.01, 1, 0.259282426958554},
		{10 * ft, 5 * ft, 18.0617997398389},
	} {
		near(t, "change", must(t)(depth.ChangeDB(c.from, c.to)), c.want, 1e-11)
	}
}

// Derived: 10^(dB/60).
func TestDepthFactor(t *testing.T) {
	for _, c := range []struct{ loss, want float64 }{
		{0.1, 1.00384501499789},
		{1, 1.03912230383517},
		{3, 1.12201845430196},
		{20 * math.Log10(2), 1.25992104989487},
		{-20 * math.Log10(2), 0.793700525984100}, // end-on field taken for broadside
	} {
		near(t, "factor", must(t)(depth.DepthFactor(c.loss)), c.want, 1e-13)
	}
}

func TestFieldRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range []float64{nan, inf, -inf, 0, -1} {
		_, err := depth.Constant(bad, 1)
		refused(t, err, "signalRead")
		_, err = depth.Constant(1, bad)
		refused(t, err, "distance")
		_, err = depth.FromSignal(bad, 1)
		refused(t, err, "k")
		_, err = depth.FromSignal(1, bad)
		refused(t, err, "signalRead")
		_, err = depth.ChangeDB(bad, 1)
		refused(t, err, "from")
		_, err = depth.ChangeDB(1, bad)
		refused(t, err, "to")
	}
	_, err := depth.FromSignal(1e40, 1e-30)
	refused(t, err, "depth")
	_, err = depth.DepthFactor(nan)
	refused(t, err, "lossDB")
	_, err = depth.DepthError(-1)
	refused(t, err, "change")
}
