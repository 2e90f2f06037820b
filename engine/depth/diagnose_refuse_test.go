package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

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
