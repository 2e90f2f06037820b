package engine

import (
	"strings"

	"firstrod/engine/depth"
)

// Advice is what most likely makes a reading fail, in words for a crew.
type Advice struct {
	Cause string // one sentence
	Do    string // the one thing to do
	Also  string // where two causes look alike: what would tell them apart; may be empty
}

// Advise diagnoses the readings of a frequency when a check that judges them
// fails: one sentence of cause, one of what to do. ok is false for a check that
// is about something else, or where the numbers say nothing.
func (b *Board) Advise(ch *Check, hz, lang string) (a Advice, ok bool) {
	if !judgesReadings(ch) {
		return Advice{}, false
	}
	e, ok := b.evidence(hz)
	if !ok {
		return Advice{}, false
	}
	d, err := depth.Diagnose(e)
	if err != nil || len(d.Ranked) == 0 {
		return Advice{}, false
	}
	a.Cause, a.Do, err = depth.CauseWords(lang, leading(d).ID)
	if err != nil {
		return Advice{}, false
	}
	if !d.Apart {
		if a.Also, err = depth.ExtraWords(lang, d.Next); err != nil {
			a.Also = ""
		}
	}
	return a, true
}

// leading is the first cause but for "nothing is wrong": the check has failed.
func leading(d depth.Diagnosis) depth.Cause {
	for _, c := range d.Ranked {
		if c.ID != depth.CauseNone {
			return c
		}
	}
	return d.Ranked[0]
}

func judgesReadings(ch *Check) bool {
	for _, leaf := range ch.PassReads {
		for _, part := range []string{"near_error", "far_error", "curvature"} {
			if strings.HasPrefix(leaf, "frequency.derived."+part) {
				return true
			}
		}
	}
	return false
}

// evidence is what was read at the marks on one frequency, with the margin over
// the background where it is known.
func (b *Board) evidence(hz string) (depth.Evidence, bool) {
	limits, err := b.view.limits([]string{
		"calibration.baseline_um", "verification.near_mark_um", "verification.far_mark_um",
		"verification.tape_doubt_um", "verification.datum_doubt_um", "verification.display_step_um",
	})
	if err != nil {
		return depth.Evidence{}, false
	}
	at := func(name string) float64 { return limits[name] * micro }
	near, ok1 := b.readings("near_reading", hz)
	far, ok2 := b.readings("far_reading", hz)
	if !ok1 || !ok2 {
		return depth.Evidence{}, false
	}
	band := depth.Band{Name: hz, Marks: []depth.Sight{
		{True: at("verification.near_mark_um"), Readings: near},
		{True: at("verification.far_mark_um"), Readings: far},
	}}
	signal, ok1 := b.number("signal", hz)
	background, ok2 := b.number("background", hz)
	if ok1 && ok2 {
		margin := (signal - background) * milli
		band.Margin = &margin
	}
	return depth.Evidence{
		Baseline: at("calibration.baseline_um"), Tape: at("verification.tape_doubt_um"),
		Datum: at("verification.datum_doubt_um"), Step: at("verification.display_step_um"),
		Bands: []depth.Band{band},
	}, true
}

// readings are those of one mark, in metres.
func (b *Board) readings(ask, hz string) ([]float64, bool) {
	all, missing, err := subjectView{b.view, PerFrequency, hz}.numbers(string(PerFrequency) + "." + ask)
	if err != nil || len(missing) > 0 {
		return nil, false
	}
	for i := range all {
		all[i] *= micro
	}
	return all, true
}

func (b *Board) number(ask, subject string) (float64, bool) {
	g, ok := b.Fact(Key(ask, subject))
	if !ok || !g.Value.Kind().Numeric() {
		return 0, false
	}
	return float64(g.Value.Base()), true
}
