package depth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// drawn is some crew's evidence, not far from healthy; all in metres.
func drawn(t *rapid.T) depth.Evidence {
	var e depth.Evidence
	e.Baseline = 10 * ft
	e.Tape = rapid.Float64Range(0.05, 1).Draw(t, "tape") * in
	e.Datum = rapid.Float64Range(0, 1).Draw(t, "datum") * in
	e.Step = rapid.Float64Range(0.1, 1.2).Draw(t, "step") * in
	e.Hand = rapid.Float64Range(0.02, 0.5).Draw(t, "hand") * in
	for range rapid.IntRange(1, 2).Draw(t, "bands") {
		b := depth.Band{Name: "band"}
		for _, mark := range []float64{5, 15, 20}[:rapid.IntRange(2, 3).Draw(t, "marks")] {
			s := depth.Sight{True: mark * ft}
			off := rapid.Float64Range(-0.1, 0.1).Draw(t, "off")
			for range rapid.IntRange(1, 2).Draw(t, "readings") {
				s.Readings = append(s.Readings, s.True*(1+off)+rapid.Float64Range(-0.01, 0.01).Draw(t, "scatter"))
			}
			b.Marks = append(b.Marks, s)
		}
		if rapid.Bool().Draw(t, "history") {
			b.Constant = &depth.Value{Value: rapid.Float64Range(-7, 7).Draw(t, "constant"), U: 0.3}
		}
		e.Bands = append(e.Bands, b)
	}
	return e
}

// times is the same evidence with every length times f. Only what is typed in
// feet or metres, the slip, may see the difference.
func times(e depth.Evidence, f float64) depth.Evidence {
	s := depth.Evidence{Baseline: e.Baseline * f, Tape: e.Tape * f, Datum: e.Datum * f, Step: e.Step * f, Hand: e.Hand * f}
	for _, b := range e.Bands {
		c := depth.Band{Name: b.Name, Constant: b.Constant, Margin: b.Margin}
		for _, m := range b.Marks {
			n := depth.Sight{True: m.True * f, Fresh: m.Fresh}
			for _, r := range m.Readings {
				n.Readings = append(n.Readings, r*f)
			}
			c.Marks = append(c.Marks, n)
		}
		s.Bands = append(s.Bands, c)
	}
	return s
}

// The scale of the site, which is also the choice of a unit, cannot matter to the
// odds between any two causes that are not a matter of typing.
func TestDiagnoseScaleInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawn(t)
		f := rapid.SampledFrom([]float64{1 / 0.3048, 0.5, 3}).Draw(t, "factor")
		a, errA := depth.Diagnose(e)
		b, errB := depth.Diagnose(times(e, f))
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for i, c := range a.Ranked {
			for _, d := range a.Ranked[:i] {
				if c.ID == depth.CauseSlip || d.ID == depth.CauseSlip || c.Likelihood < 1e-9 {
					continue
				}
				want := math.Log(d.Likelihood / c.Likelihood)
				got := math.Log(likelihood(b, d.ID) / likelihood(b, c.ID))
				// Slip may take all the room in one of the two.
				if likelihood(b, c.ID) > 1e-200 {
					near(t, string(d.ID)+" against "+string(c.ID), got, want, 1e-6*(1+math.Abs(want)))
				}
			}
		}
	})
}

// The order of bands and marks is no evidence.
func TestDiagnoseOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawn(t)
		turned := times(e, 1)
		for i, j := 0, len(e.Bands)-1; j >= 0; i, j = i+1, j-1 {
			turned.Bands[i] = e.Bands[j]
			m := turned.Bands[i].Marks
			m[0], m[1] = m[1], m[0]
			turned.Bands[i].Marks = m
		}
		b, errB := depth.Diagnose(turned)
		for i := range turned.Bands {
			m := turned.Bands[i].Marks
			m[0], m[1] = m[1], m[0]
		}
		a, errA := depth.Diagnose(e)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for _, c := range a.Ranked {
			near(t, string(c.ID), likelihood(b, c.ID), c.Likelihood, 1e-6)
		}
	})
}

// A larger miss at the far mark never makes the readings look healthier.
func TestDiagnoseMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		before := 1.0
		for miss := 0.0; miss < 1; miss += 0.05 {
			d, err := depth.Diagnose(evidence(5, 15+sign*miss))
			if err != nil {
				t.Fatal(err)
			}
			p := likelihood(d, depth.CauseNone)
			if p > before+1e-9 {
				t.Fatalf("healthy with %g at a miss of %g ft, %g before", p, sign*miss, before)
			}
			before = p
		}
		if before > 1e-6 {
			t.Fatalf("still healthy with %g", before)
		}
	})
}

// More doubt about the readings never makes a fault surer against none.
func TestDiagnoseDoubt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(4.8, 5.2).Draw(t, "near")
		f := rapid.Float64Range(14.4, 15.6).Draw(t, "far")
		before := math.Inf(1)
		for _, scale := range []float64{1, 2, 4, 8} {
			e := evidence(n, f)
			e.Tape, e.Datum, e.Step, e.Hand = e.Tape*scale, e.Datum*scale, e.Step*scale, e.Hand*scale
			d, err := depth.Diagnose(e)
			if err != nil {
				t.Fatal(err)
			}
			// The best a fault without Occam's cost could do is exp(chi2/2); what is
			// left of none shrinks as chi2 grows.
			odds := likelihood(d, depth.CauseOther) / math.Max(likelihood(d, depth.CauseNone), 1e-300)
			if odds > 1 && odds > before*(1+1e-9) {
				t.Fatalf("odds of something else %g, with less doubt %g", odds, before)
			}
			before = odds
		}
	})
}

func FuzzDiagnose(f *testing.F) {
	f.Add(3.048, 0.006, 0.0127, 0.0254, 0.003, 1.524, 1.52, 4.572, 4.57, 0.1, 0.3, 60.0, false)
	f.Add(3.048, 0.0, 0.0, 1e-5, 0.0, 1.524, 1e6, 4.572, 1e-6, -200.0, 0.001, -200.0, true)
	f.Add(1e-6, 1e-7, 0.0, 1e-7, 0.0, 1e-6, 1e6, 2e-6, 1e6, 200.0, 0.001, 200.0, false)
	f.Add(math.NaN(), 0.0, math.Inf(1), -1.0, 0.0, 0.0, 0.0, 1e300, -1e300, 1.0, 0.0, 1.0, true)
	f.Fuzz(func(t *testing.T, base, tape, datum, step, hand, x1, y1, x2, y2, k, ku, margin float64, fresh bool) {
		band := depth.Band{Name: "one", Constant: &depth.Value{Value: k, U: ku}, Margin: &margin, Marks: []depth.Sight{
			{True: x1, Readings: []float64{y1}, Fresh: fresh}, {True: x2, Readings: []float64{y2, y1}}}}
		e := depth.Evidence{Baseline: base, Tape: tape, Datum: datum, Step: step, Hand: hand,
			Bands: []depth.Band{band, {Marks: band.Marks}}}
		d, err := depth.Diagnose(e)
		kind(t, err)
		if (err == nil) != (len(d.Ranked) > 0) {
			t.Fatalf("%d causes and %v", len(d.Ranked), err)
		}
		sum := 0.0
		for _, c := range d.Ranked {
			whole(t, c.Likelihood, c.Size)
			sum += c.Likelihood
		}
		if err == nil && math.Abs(sum-1) > 1e-9 {
			t.Fatalf("the likelihoods come to %g", sum)
		}
		if d.Next != "" {
			if _, err := depth.ExtraWords("en", d.Next); err != nil {
				t.Fatal(err)
			}
		}
	})
}
