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
	if d.Apart != (d.Next == "") {
		t.Fatalf("apart %t, next %q", d.Apart, d.Next)
	}
	return d
}

// leads says whether a cause is first, or second and not told apart.
func leads(d depth.Diagnosis, id depth.CauseID) bool {
	return d.Ranked[0].ID == id || !d.Apart && d.Ranked[1].ID == id
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

// One typed value: 15 ft typed as metres, 5 ft as inches, 15 as 51, 5 ft 4 in as
// 4 ft 5 in; all derived.
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

func TestDiagnoseRefuses(t *testing.T) {
	for field, spoil := range map[string]func(e *depth.Evidence){
		"Baseline":                      func(e *depth.Evidence) { e.Baseline = math.NaN() },
		"Tape":                          func(e *depth.Evidence) { e.Tape = -1 },
		"Datum":                         func(e *depth.Evidence) { e.Datum = math.Inf(1) },
		"Step":                          func(e *depth.Evidence) { e.Step, e.Hand = 0, 0 },
		"Hand":                          func(e *depth.Evidence) { e.Hand = 1e9 },
		"Bands":                         func(e *depth.Evidence) { e.Bands = nil },
		"Bands[0].Marks":                func(e *depth.Evidence) { e.Bands[0].Marks = e.Bands[0].Marks[:1] },
		"Bands[0].Marks[1].True":        func(e *depth.Evidence) { e.Bands[0].Marks[1].True = 5 * ft },
		"Bands[0].Marks[0].True":        func(e *depth.Evidence) { e.Bands[0].Marks[0].True = -5 },
		"Bands[0].Marks[0].Readings":    func(e *depth.Evidence) { e.Bands[0].Marks[0].Readings = nil },
		"Bands[0].Marks[1].Readings":    func(e *depth.Evidence) { e.Bands[0].Marks[1].Readings = make([]float64, 5000) },
		"Bands[0].Marks[1].Readings[0]": func(e *depth.Evidence) { e.Bands[0].Marks[1].Readings[0] = 0 },
		"Bands[0].Marks[0].Readings[0]": func(e *depth.Evidence) { e.Bands[0].Marks[0].Readings[0] = math.Inf(1) },
		"Bands[0].Margin":               func(e *depth.Evidence) { v := math.NaN(); e.Bands[0].Margin = &v },
		"Bands[0].Constant.U":           func(e *depth.Evidence) { e.Bands[0].Constant = &depth.Value{} },
		"Bands[0].Constant.Value":       func(e *depth.Evidence) { e.Bands[0].Constant = &depth.Value{Value: 1e9, U: 1} },
	} {
		e := evidence(5, 15)
		spoil(&e)
		d, err := depth.Diagnose(e)
		refused(t, err, field)
		if len(d.Ranked) > 0 {
			t.Errorf("%s: a ranking beside an error", field)
		}
	}
	e := evidence(5, 15)
	e.Bands[0].Marks[0].True = 10 * ft // the calibration mark counts for nothing
	_, err := depth.Diagnose(e)
	refused(t, err, "Bands[0].Marks")
	e = evidence(5, 15)
	for range 100 {
		e.Bands = append(e.Bands, e.Bands[0])
	}
	_, err = depth.Diagnose(e)
	refused(t, err, "Bands")
}

// Every cause and every extra reading has its sentences in every language, and
// each is one sentence.
func TestWordsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	one := func(s string, err error) {
		t.Helper()
		if err != nil || !strings.HasSuffix(s, ".") || strings.Count(s, ". ") > 0 || len(s) < 8 || seen[s] {
			t.Errorf("%q, %v", s, err)
		}
		seen[s] = true
	}
	for _, lang := range depth.Langs() {
		for _, id := range depth.CauseIDs() {
			cause, do, err := depth.CauseWords(lang, id)
			one(cause, err)
			one(do, err)
		}
		for _, id := range depth.ExtraIDs() {
			one(depth.ExtraWords(lang, id))
		}
	}
	e := evidence(5, 15)
	e.Bands[0].Constant = &depth.Value{U: 1}
	if d := diagnose(t, e); len(d.Ranked) != len(depth.CauseIDs()) {
		t.Errorf("%d causes ranked, %d have words", len(d.Ranked), len(depth.CauseIDs()))
	}
	_, _, err := depth.CauseWords("xx", depth.CauseNone)
	refused(t, err, "lang")
	_, err = depth.ExtraWords("en", "x")
	refused(t, err, "id")
	_, err = depth.ExtraWords("xx", depth.ExtraView)
	refused(t, err, "lang")
	_, _, err = depth.CauseWords("es", "x")
	refused(t, err, "id")
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
