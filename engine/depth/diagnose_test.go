package depth_test

import (
	"math"
	"strings"
	"testing"

	"firstrod/engine/depth"
)

// evidence is a careful crew's with the marks read as given, in feet, on a
// display in quarters of an inch, so that the pattern shows.
func evidence(near, far float64) depth.Evidence {
	return depth.Evidence{
		Baseline: 10 * ft, Tape: 0.25 * in, Datum: 0.5 * in, Step: 0.25 * in, Hand: 0.1 * in,
		Bands: []depth.Band{{Name: "one", Marks: []depth.Sight{
			{True: 5 * ft, Readings: []float64{near * ft}}, {True: 15 * ft, Readings: []float64{far * ft}},
		}}},
	}
}

func diagnose(t *testing.T, e depth.Evidence) depth.Diagnosis {
	t.Helper()
	d, err := depth.Diagnose(e)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i, c := range d.Ranked {
		sum += c.Likelihood
		if i > 0 && c.Likelihood > d.Ranked[i-1].Likelihood {
			t.Fatalf("not ranked: %+v", d.Ranked)
		}
	}
	near(t, "sum of likelihoods", sum, 1, 1e-12)
	if d.Apart != (d.Next == "") || d.Apart != (d.Rivals == 1) {
		t.Fatalf("apart %t, next %q", d.Apart, d.Next)
	}
	return d
}

// leads says whether a cause is first, or one of those not told apart from it.
func leads(d depth.Diagnosis, id depth.CauseID) bool {
	for _, c := range d.Ranked[:d.Rivals] {
		if c.ID == id {
			return true
		}
	}
	return false
}

// Table error_patterns.csv, derived: the cause that made each pattern leads,
// where it is larger than the readings can resolve.
func TestDiagnosePatterns(t *testing.T) {
	causes := map[string]depth.CauseID{
		"scale_tape_only_at_cal": depth.CauseBaseline, "datum_offset_all_marks": depth.CauseDatum,
		"const_offset_in_absorbed": depth.CauseViewAbsorbed, "const_offset_in_not_absorbed": depth.CauseView,
		"noise_coherent_plus": depth.CauseInterference, "noise_incoherent": depth.CauseBackground,
	}
	looked := 0
	for _, r := range table(t, "error_patterns.csv") {
		n, f := r.num(t, "read_at_5"), r.num(t, "read_at_15")
		if math.Abs(n-5) < 0.1 && math.Abs(f-15) < 0.18 {
			continue
		}
		looked++
		if d := diagnose(t, evidence(n, f)); !leads(d, causes[r["pattern"]]) {
			t.Errorf("%s %s: %+v", r["pattern"], r["param"], d)
		}
	}
	if looked < 12 {
		t.Errorf("only %d patterns were looked at", looked)
	}
}

// Table rebar_mat.csv, derived: with the constant against its history (the
// change at 10 ft in dB) a mat is named wherever the marks see it, and where they
// do not, at a quarter of a foot, it is at least not taken for healthy.
func TestDiagnoseMat(t *testing.T) {
	for _, r := range table(t, "rebar_mat.csv") {
		h := r.num(t, "h_ft")
		e := evidence(r.num(t, "read5_after_cal_on_mat"), r.num(t, "read15_after_cal_on_mat"))
		e.Bands[0].Constant = &depth.Value{Value: 20 * math.Log10(1+r.num(t, "delta10")), U: 0.3}
		d := diagnose(t, e)
		switch {
		case h >= 0.5 && h <= 10 && !leads(d, depth.CauseMetal):
			t.Errorf("mat at %g ft: %+v", h, d)
		case h < 0.5 && d.Ranked[0].ID == depth.CauseNone:
			t.Errorf("mat at %g ft taken for healthy: %+v", h, d)
		}
	}
}

// The view that takes 2.5 in off (common practice, no source), as a crew reads
// it to the half inch: 4 ft 9 1/2 in and 14 ft 9 1/2 in.
func TestDiagnoseShortView(t *testing.T) {
	e := evidence(4+9.5/12, 14+9.5/12)
	e.Step = 0.5 * in
	d := diagnose(t, e)
	if d.Ranked[0].ID != depth.CauseView || !d.Apart {
		t.Fatalf("%+v", d)
	}
	near(t, "taken off, in inches", d.Ranked[0].Size/in, 2.5, 0.2)
}

// Derived: readings that agree are healthy whatever the constant says of small
// things; 6.02 dB more is an end-on transmitter or another cause of that size, and
// the extra reading is named.
func TestDiagnoseConstant(t *testing.T) {
	e := evidence(5, 15)
	if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseNone {
		t.Errorf("healthy: %+v", d)
	}
	e.Bands[0].Constant = &depth.Value{Value: 0.2, U: 0.3}
	if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseNone {
		t.Errorf("healthy with history: %+v", d)
	}
	e.Bands[0].Constant.Value = -4
	if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseGear || !d.Apart {
		t.Errorf("4 dB weaker: %+v", d)
	}
	e.Bands[0].Constant.Value = -60 * math.Log10(1.06) // gear, or a tape 6 % too long
	if d := diagnose(t, e); !leads(d, depth.CauseGear) || !leads(d, depth.CauseTape) || d.Next != depth.ExtraSecondTape && d.Next != depth.ExtraGear {
		t.Errorf("a tape 6 %% too long: %+v", d)
	}
	e.Bands[0].Constant.Value = 20 * math.Log10(2)
	d := diagnose(t, e)
	if !leads(d, depth.CauseAim) || d.Apart || d.Next == "" {
		t.Errorf("end-on: %+v", d)
	}
}

// Derived: what separates a turned transmitter from a wrong baseline, both off by
// a share, is not in the marks; the extra reading is named (the history once the
// constants lie far enough apart), and taking it decides.
func TestDiagnoseNamesTheExtra(t *testing.T) {
	for share, next := range map[float64]depth.ExtraID{1.03: depth.ExtraSecondTape, 1.05: depth.ExtraHistory} {
		e := evidence(5/share, 15/share)
		d := diagnose(t, e)
		if !leads(d, depth.CauseBaseline) || d.Apart || d.Next != next {
			t.Fatalf("%g: %+v", share, d)
		}
		e.Bands[0].Constant = &depth.Value{Value: -60 * math.Log10(share), U: 0.1}
		if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseBaseline || !d.Apart {
			t.Errorf("%g with the history: %+v", share, d)
		}
	}
}

// Derived: a reading at the length of the baseline. At the calibration mark itself
// it is right whatever the baseline was, and short by the same amount in a short
// view; at a mark laid out anew it is short by the share of a wrong baseline.
func TestDiagnoseAtTheBaseline(t *testing.T) {
	at := func(near, middle, far float64, fresh bool) depth.Diagnosis {
		e := evidence(near, far)
		e.Bands[0].Marks = append(e.Bands[0].Marks, depth.Sight{True: 3.048, Readings: []float64{middle * ft}, Fresh: fresh})
		return diagnose(t, e)
	}
	scale := 1 / 1.04
	for name, c := range map[string]struct {
		d    depth.Diagnosis
		want depth.CauseID
	}{
		"view, at the mark itself":  {at(5-0.208, 10-0.208, 15-0.208, false), depth.CauseView},
		"view, absorbed":            {at(5-0.167, 10, 15+0.167, false), depth.CauseViewAbsorbed},
		"baseline, at the mark":     {at(5*scale, 10, 15*scale, false), depth.CauseBaseline},
		"baseline, at a fresh mark": {at(5*scale, 10*scale, 15*scale, true), depth.CauseBaseline},
		"datum, at a fresh mark":    {at(5.182, 10, 14.818, true), depth.CauseDatum},
		"nothing":                   {at(5, 10, 15, true), depth.CauseNone},
	} {
		if !leads(c.d, c.want) {
			t.Errorf("%s: %+v", name, c.d)
		}
		if c.d.Next == depth.ExtraFreshMark && strings.Contains(name, "fresh") {
			t.Errorf("%s: asks for what it has", name)
		}
	}
	if d := at(5*scale, 10, 15*scale, false); likelihood(d, depth.CauseAim) > 0.01 {
		t.Errorf("a turned transmitter would not read right at the mark itself: %+v", d)
	}
}

// One typed value: 15 ft typed as metres, 5 ft as inches, 15 as 51, 5 ft 1 in as
// 1 ft 5 in, 14 ft 11 in as 11 ft 14 in; all derived.
func TestDiagnoseSlips(t *testing.T) {
	for _, c := range []struct {
		near, far, meant float64
		where            string
	}{
		{5, 15 / 0.3048, 15, "Bands[0].Marks[1].Readings[0]"},
		{5 * 0.3048, 15, 5, "Bands[0].Marks[0].Readings[0]"},
		{5.0 / 12, 15, 5, "Bands[0].Marks[0].Readings[0]"},
		{60, 15, 5, "Bands[0].Marks[0].Readings[0]"},
		{5, 51, 15, "Bands[0].Marks[1].Readings[0]"},
		{5, 11 + 14.0/12, 14 + 11.0/12, "Bands[0].Marks[1].Readings[0]"},
		{1 + 5.0/12, 15, 5 + 1.0/12, "Bands[0].Marks[0].Readings[0]"},
	} {
		d := diagnose(t, evidence(c.near, c.far))
		if got := d.Ranked[0]; got.ID != depth.CauseSlip || got.Where != c.where || math.Abs(got.Size/ft-c.meant) > 0.001 {
			t.Errorf("%g, %g: %+v", c.near, c.far, got)
		}
	}
	e := evidence(5*0.3048, 15*0.3048) // both in metres, typed as feet
	if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseSlip {
		t.Errorf("a whole band: %+v", d.Ranked[0])
	}
	e = evidence(5, 15)
	e.Bands[0].Marks[1].Readings = []float64{15 * ft, 51 * ft, 15.02 * ft}
	d := diagnose(t, e)
	if got := d.Ranked[0]; got.ID != depth.CauseSlip || got.Where != "Bands[0].Marks[1].Readings[1]" {
		t.Errorf("one of three: %+v", got)
	}
}

// All readings of a mark typed in the same wrong way, as they are when a mark is
// typed in one message: 15 ft as metres, 15 as 51, inches as feet;
// derived. Readings that differ need not be typed alike to the last digit.
func TestDiagnoseSlipOfAWholeMark(t *testing.T) {
	for _, c := range []struct {
		near, far []float64
		where     string
		meant     float64
	}{
		{[]float64{5, 5, 5}, []float64{15 / 0.3048, 15 / 0.3048, 15 / 0.3048}, "Bands[0].Marks[1].Readings", 15},
		{[]float64{5, 5, 5}, []float64{51, 51, 51}, "Bands[0].Marks[1].Readings", 15},
		{[]float64{5, 5, 5}, []float64{51, 51.1, 51}, "Bands[0].Marks[1].Readings", 15},
		{[]float64{60, 60, 61}, []float64{15, 15, 15}, "Bands[0].Marks[0].Readings", 5},
	} {
		e := evidence(5, 15)
		for i, list := range [][]float64{c.near, c.far} {
			e.Bands[0].Marks[i].Readings = nil
			for _, v := range list {
				e.Bands[0].Marks[i].Readings = append(e.Bands[0].Marks[i].Readings, v*ft)
			}
		}
		d := diagnose(t, e)
		if got := d.Ranked[0]; got.ID != depth.CauseSlip || !d.Apart || got.Where != c.where || math.Abs(got.Size/ft-c.meant) > 0.001 {
			t.Errorf("%v, %v: %+v", c.near, c.far, got)
		}
	}
}

// Noise on one of two bands is a matter of that band; the same on both points at
// the ground or the tape as well.
func TestDiagnoseBands(t *testing.T) {
	e := evidence(5, 15)
	bad := evidence(5.0327, 14.1826).Bands[0] // incoherent, 0.2
	e.Bands = append(e.Bands, bad)
	d := diagnose(t, e)
	if got := d.Ranked[0]; !leads(d, depth.CauseBackground) || d.Ranked[0].Where != "Bands[1]" {
		t.Errorf("%+v", got)
	}
	margin := 60.0 // the survey heard nothing
	e.Bands[1].Margin = &margin
	quiet := diagnose(t, e)
	margin = 14
	loud := diagnose(t, e)
	if quietP, loudP := likelihood(quiet, depth.CauseBackground), likelihood(loud, depth.CauseBackground); loudP <= quietP {
		t.Errorf("background %g with a loud survey, %g with a quiet one", loudP, quietP)
	}
}

func likelihood(d depth.Diagnosis, id depth.CauseID) float64 {
	for _, c := range d.Ranked {
		if c.ID == id {
			return c.Likelihood
		}
	}
	return 0
}

// What fits nothing is said to fit nothing.
func TestDiagnoseOther(t *testing.T) {
	if d := diagnose(t, evidence(6.1, 15.9)); d.Ranked[0].ID != depth.CauseOther {
		t.Errorf("%+v", d.Ranked)
	}
}

// As many readings as may be, and one more.
func TestDiagnoseMany(t *testing.T) {
	e := evidence(5, 15)
	for len(e.Bands[0].Marks[0].Readings) < 127 {
		e.Bands[0].Marks[0].Readings = append(e.Bands[0].Marks[0].Readings, 5*ft)
	}
	if d := diagnose(t, e); d.Ranked[0].ID != depth.CauseNone {
		t.Errorf("%+v", d.Ranked[0])
	}
	e.Bands[0].Marks[1].Readings = append(e.Bands[0].Marks[1].Readings, 15*ft)
	_, err := depth.Diagnose(e)
	refused(t, err, "Bands")
	chi2, n, err := evidence(5, 15).Misfit()
	if err != nil || chi2 > 1e-9 || n != 2 {
		t.Errorf("misfit %g of %d, %v", chi2, n, err)
	}
}

func BenchmarkDiagnose(b *testing.B) {
	e := evidence(5.1, 14.9)
	e.Bands = append(e.Bands, e.Bands[0])
	for b.Loop() {
		if _, err := depth.Diagnose(e); err != nil {
			b.Fatal(err)
		}
	}
}
