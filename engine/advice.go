package engine

import (
	"context"
	"math"
	"slices"
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
// fails: one sentence of cause, one of what to do. What the same pair gave on earlier
// bores counts too, where the ledger has any. ok is false for a check that is about
// something else, or where the numbers say nothing.
func (e *Engine) Advise(ctx context.Context, b *Board, ch *Check, hz, lang string) (a Advice, ok bool) {
	if !judgesReadings(ch) {
		return Advice{}, false
	}
	d, ok := e.diagnose(ctx, b, hz, true)
	if ok && leading(d).ID == depth.CauseOther {
		// Two faults at once, one in the readings and one in the constant: what the
		// readings say is better than nothing.
		d, ok = e.diagnose(ctx, b, hz, false)
	}
	if ok && leading(d).ID != depth.CauseSlip && b.jumps(ch, hz) {
		cause, do, err := depth.ScatterWords(lang)
		return Advice{Cause: cause, Do: do}, err == nil
	}
	if !ok {
		return Advice{}, false
	}
	return advice(d, lang)
}

// jumps says whether the readings at the mark that a check judges differ so much that
// their mean can show nothing, whatever it is: the causes that a diagnosis weighs shift
// readings, and none makes them jump.
func (b *Board) jumps(ch *Check, hz string) bool {
	for _, mark := range []string{"near", "far"} {
		leaf := "frequency.derived." + mark
		if !slices.Contains(ch.PassReads, leaf+"_error_um") {
			continue
		}
		expanded, ok1 := b.Derived(PerFrequency, hz, leaf+"_expanded_um")
		tolerance, ok2 := b.Derived(PerFrequency, hz, leaf+"_tolerance_um")
		repeat, ok3 := b.Derived(PerFrequency, hz, leaf+"_repeat_um")
		// What few readings repeat to is most of the doubt once it is a fifth of it:
		// Student's factor for three of them is 4.5.
		return ok1 && ok2 && ok3 && expanded >= tolerance && 5*repeat >= expanded
	}
	return false
}

// Suspect says what is likely wrong with a frequency although its readings hold: a
// pair that gives another signal than on earlier bores, as another housing, a
// transmitter turned at every mark or a mat right under the line makes it, which no
// reading on the line can show. ok is false where nothing is, where no earlier bore
// had this pair, and where the readings do not hold, which their checks say.
func (e *Engine) Suspect(ctx context.Context, b *Board, hz, lang string) (a Advice, ok bool) {
	for _, f := range b.Findings {
		ch, known := b.catalogue.Check(f.Check)
		if known && judgesReadings(ch) && (f.Subject == hz && !f.Status.Holds()) {
			return Advice{}, false
		}
	}
	if _, has := e.constant(ctx, b, hz); !has {
		return Advice{}, false
	}
	d, ok := e.diagnose(ctx, b, hz, true)
	if !ok || d.Ranked[0].ID == depth.CauseNone || d.Ranked[:d.Rivals][d.Rivals-1].ID == depth.CauseNone {
		return Advice{}, false
	}
	return advice(d, lang)
}

func advice(d depth.Diagnosis, lang string) (a Advice, ok bool) {
	var err error
	if a.Cause, a.Do, err = depth.CauseWords(lang, leading(d).ID); err != nil {
		return Advice{}, false
	}
	if !d.Apart {
		if a.Also, err = depth.ExtraWords(lang, d.Next); err != nil {
			a.Also = ""
		}
	}
	return a, true
}

// diagnose weighs the readings of a frequency, with the history of the pair or
// without it.
func (e *Engine) diagnose(ctx context.Context, b *Board, hz string, history bool) (depth.Diagnosis, bool) {
	evidence, ok := b.evidence(hz)
	if !ok {
		return depth.Diagnosis{}, false
	}
	if c, ok := e.constant(ctx, b, hz); ok && history {
		evidence.Bands[0].Constant = &c
	}
	d, err := depth.Diagnose(evidence)
	return d, err == nil && len(d.Ranked) > 0
}

// repeatsTo is what the signal of one pair at the baseline repeats to from bore to
// bore, in decibels, one standard deviation (common practice, no source). A history
// that scatters more counts as what it is.
const repeatsTo = 0.3

// constant is the signal at the baseline less what the same pair gave before, in
// decibels, and how well that is known: a new value against the mean of n old ones
// (JCGM 100:2008, 4.2). ok is false where it is not known or no earlier bore had
// this pair. A history that cannot be read is none: this is advice, not a rule.
func (e *Engine) constant(ctx context.Context, b *Board, hz string) (depth.Value, bool) {
	signal, ok := b.number("signal", hz)
	if !ok {
		return depth.Value{}, false
	}
	before, err := e.Constants(ctx, b, hz)
	if err != nil || len(before) == 0 {
		return depth.Value{}, false
	}
	sum, n := 0.0, float64(len(before))
	for _, c := range before {
		sum += c.DB
	}
	mean, squares := sum/n, 0.0
	for _, c := range before {
		squares += (c.DB - mean) * (c.DB - mean)
	}
	scatter := repeatsTo
	if n > 1 {
		scatter = math.Max(scatter, math.Sqrt(squares/(n-1)))
	}
	return depth.Value{Value: signal*milli - mean, U: scatter * math.Sqrt(1+1/n)}, true
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
