package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

func TestSignalAt(t *testing.T) {
	v := must(t)
	// Derived: 60 log10(3).
	near(t, "30 ft", v(depth.SignalAt(0, 10*ft, 30*ft)), -28.6272752831797, 1e-11)
	near(t, "5 ft", v(depth.SignalAt(70, 10*ft, 5*ft)), 88.0617997398389, 1e-11)
	near(t, "margin", v(depth.Margin(70, 10*ft, 30, 30*ft)), 40-28.6272752831797, 1e-11)
	near(t, "no margin", v(depth.Margin(50, 10*ft, 30, 30*ft)), 20-28.6272752831797, 1e-11)
}

// Derived by inverting the cube law; the in-phase and incoherent columns to two
// decimals. Out of phase is the stricter side: 20 log10 of 1/(1 - 1.01^-3).
func TestNeededMargin(t *testing.T) {
	for _, c := range []struct{ rel, inPhase, incoherent float64 }{
		{0.005, 36.39, 15.15}, {0.01, 30.28, 12.07}, {0.02, 24.08, 8.90}, {0.05, 15.58, 4.43},
	} {
		v := must(t)
		near(t, "in phase", v(depth.NeededMargin(c.rel, depth.InPhase)), c.inPhase, 0.01)
		near(t, "incoherent", v(depth.NeededMargin(c.rel, depth.Incoherent)), c.incoherent, 0.01)
		out := v(depth.NeededMargin(c.rel, depth.OutOfPhase))
		near(t, "out of phase", out, -20*math.Log10(1-math.Pow(1+c.rel, -3)), 1e-10)
		if out <= c.inPhase {
			t.Errorf("out of phase needs %g dB, not more than in phase", out)
		}
	}
}

func TestNoiseRefuses(t *testing.T) {
	_, err := depth.NeededMargin(0, depth.InPhase)
	refused(t, err, "relError")
	_, err = depth.NeededMargin(0.01, "")
	refused(t, err, "how")
	_, err = depth.NoiseError(10, "some")
	refused(t, err, "how")
	_, err = depth.NoiseError(math.NaN(), depth.InPhase)
	refused(t, err, "margin")
	_, err = depth.NoiseError(0, depth.OutOfPhase)
	refused(t, err, "margin")
	_, err = depth.SignalAt(math.Inf(1), 1, 1)
	refused(t, err, "signalAtBaseline")
	_, err = depth.SignalAt(1, 0, 1)
	refused(t, err, "baseline")
	_, err = depth.Margin(1, 1, math.NaN(), 1)
	refused(t, err, "background")
	_, err = depth.Margin(1, 1, 1, -1)
	refused(t, err, "depth")
}
