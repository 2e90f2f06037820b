package engine_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/quantity"
)

// 305 cm is 2 mm more than 10 ft and inside the tolerance; both are recorded for
// what they are.
func TestTenFeetIsNot305Centimetres(t *testing.T) {
	w := answered(t)
	w.must(w.say("baseline", "305 cm"))
	b := w.board()
	if n, ok := b.Derived(engine.PerBore, "", "derived.baseline_error_um"); !ok || n != 2000 {
		t.Errorf("baseline error %d um, want 2000: 10 ft is 304.8 cm exactly", n)
	}
}

// Readings are kept as typed and exactly, each by itself and in order.
func TestReadingsAreKeptOneByOne(t *testing.T) {
	w := answered(t)
	turn := w.must(w.say("near_reading@9500", `5' 0 1/2", 5', 5' 0 1/2"`))
	f := turn.Record.Facts[0]
	if f.Kind != "lengths" || f.Typed != `5' 0 1/2", 5', 5' 0 1/2"` || f.Value != "3" || f.Unit != "um" ||
		!slices.Equal(f.Items, []string{"1536700", "1524000", "1536700"}) {
		t.Errorf("%+v", f)
	}
	b := w.board()
	for leaf, want := range map[string]int64{
		// The mean is 60 1/3 in, 1532467 um; s 7332 um over the root of three is 4233 um.
		"near_mean_um": 1_532_467, "near_count": 3, "near_repeat_um": 4234, "near_error_um": 8467,
	} {
		if n, ok := b.Derived(engine.PerFrequency, "9500", "frequency.derived."+leaf); !ok || n != want {
			t.Errorf("%s %d, want %d", leaf, n, want)
		}
	}
	// One reading that was given when the rules asked for one counts as one.
	turn = w.must(w.say("near_reading@9500", "5 ft"))
	if s := w.status("verification.repeated@9500"); s != engine.Fail || turn.Board.Verdict != engine.Stopped {
		t.Errorf("one reading: %s, %s", s, turn.Board.Verdict)
	}
	w.must(w.say("near_reading@9500", "5 ft, 5 ft"))
	if s := w.status("verification.repeated@9500"); s != engine.Fail {
		t.Errorf("two readings: %s", s)
	}
	// A scatter of a foot and a half is too much for a tolerance of three inches,
	// though the mean is right (Student's factor for two degrees of freedom is 4.5).
	w.must(w.say("near_reading@9500", "5 ft 9 in, 5 ft, 4 ft 3 in"))
	if s := w.status("verification.near_mark@9500"); s != engine.Fail {
		t.Errorf("scattered readings: %s", s)
	}
}

// A bore deeper than the far mark hears the background once more. 60 dB at 10 ft is
// 41.94 dB at 20 ft (60 log10 2, derived): 24 dB over -12, and 7.94 over 34.
func TestBackgroundAfterTheMarks(t *testing.T) {
	w := answered(t)
	again := func() engine.Status { return w.status("verification.noise_again@9500") }
	if s := again(); s != engine.Exempt {
		t.Errorf("14 ft: %s", s)
	}
	w.must(w.say("planned_depth", "15 ft"))
	if s := again(); s != engine.Exempt {
		t.Errorf("as deep as the far mark: %s", s)
	}
	w.must(w.say("planned_depth", "20 ft"))
	if s := again(); s != engine.Needs {
		t.Errorf("20 ft: %s", s)
	}
	w.must(w.say("background_again@9500", "34 dB"))
	b := w.board()
	if n, ok := b.Derived(engine.PerFrequency, "9500", "frequency.derived.noise_again_margin_mdb"); !ok || n != 7938 || again() != engine.Fail {
		t.Errorf("margin %d, %s", n, again())
	}
	w.must(w.say("background_again@9500", "24.5 dB"))
	if s := again(); s != engine.Pass {
		t.Errorf("17.44 dB over: %s", s)
	}
	w.answerAll(engine.GateRelease)
	if turn := w.sign(); turn.Record.Release == nil {
		t.Errorf("not released: %v", turn.Board.Of(engine.GateRelease, engine.Fail, engine.Needs))
	}
}

// A display in tenths of a percent: u 0.0289 % of the pitch (JCGM 100:2008, 4.3.7)
// and, from two readings, 0.0204 % of its zero (derived; the first figure also stands
// in a public table of sewer slopes), together 0.0707 % at k = 2. An 8 in sewer falls
// 0.40 % (ASCE/WEF and Ten-States type tables, second-hand).
func TestAGradeThatCanBeShown(t *testing.T) {
	w := answered(t)
	if s := w.status("gear.grade"); s != engine.Exempt {
		t.Errorf("no grade is asked for: %s", s)
	}
	w.must(w.say("grade_wanted", "yes"))
	if s := w.status("gear.grade"); s != engine.Needs {
		t.Errorf("the grade is still to be given: %s", s)
	}
	grade := func(grade, tolerance, step string) engine.Status {
		w.must(w.several("grade", grade, "grade_tolerance", tolerance, "pitch_step", step))
		return w.status("gear.grade")
	}
	if s := grade("-0.4 %", "0.1 %", "0.1 %"); s != engine.Pass {
		t.Errorf("0.1 %% allowed on 0.4 %%: %s", s)
	}
	b := w.board()
	doubt, _ := b.Derived(engine.PerBore, "", "derived.grade_doubt_ppm")
	drift, _ := b.Derived(engine.PerBore, "", "derived.grade_drift_um")
	if doubt != 708 || math.Abs(float64(drift)-0.000707107*73_152_000) > 2 {
		t.Errorf("doubt %d ppm, over 240 ft %d um", doubt, drift)
	}
	for _, c := range [][3]string{{"-0.4 %", "0.05 %", "0.1 %"}, {"-0.06 %", "0.1 %", "0.1 %"}, {"-0.4 %", "0.1 %", "0.2 %"}} {
		if s := grade(c[0], c[1], c[2]); s != engine.Fail {
			t.Errorf("%v: %s", c, s)
		}
	}
	if s := grade("-0.4 %", "0.1 %", "0.01 %"); s != engine.Pass {
		t.Errorf("a finer display: %s", s)
	}
	// The zero is off by 0.1 %: nobody takes it off, so it eats the tolerance up.
	w.must(w.several("pitch_first", "0.3 %", "pitch_reversed", "-0.1 %"))
	if s := w.status("gear.grade"); s != engine.Fail {
		t.Errorf("a zero off by the whole tolerance: %s", s)
	}
	// 0.1 % over 300 ft is 0.3 ft (derived), give or take 2 x 0.0408 %, 0.245 ft.
	w.must(w.say("planned_length", "300 ft"))
	b = w.board()
	drift, _ = b.Derived(engine.PerBore, "", "derived.pitch_drift_um")
	expanded, _ := b.Derived(engine.PerBore, "", "derived.pitch_drift_expanded_um")
	if math.Abs(float64(drift)/304_800-0.3) > 1e-5 || math.Abs(float64(expanded)/304_800-0.244949) > 1e-5 {
		t.Errorf("drift %d um, expanded %d um", drift, expanded)
	}
	w.must(w.say("grade_wanted", "no"))
	if s := w.status("gear.grade"); s != engine.Exempt {
		t.Errorf("no grade after all: %s", s)
	}
}

// several answers more than one ask in one message.

func (w *world) several(pairs ...string) (engine.Turn, error) {
	w.t.Helper()
	board := w.board()
	var all []engine.Answer
	for i := 0; i < len(pairs); i += 2 {
		a, ok := w.engine.Catalogue("").Ask(pairs[i])
		if !ok {
			w.t.Fatalf("no ask %s", pairs[i])
		}
		got := enginetest.Read(pairs[i+1], a, &board)
		all = append(all, engine.Answer{Key: pairs[i], Value: got.Value, Typed: pairs[i+1]})
	}
	return w.engine.Answer(w.t.Context(), bore, w.crew.Said(w.hand), all...)
}

func TestItemsThatLeaveAListTakeTheirFactsAlong(t *testing.T) {
	w := answered(t)
	turn := w.must(w.say("frequencies", "9.5 kHz"))
	if !slices.Contains(turn.Record.Drops, "near_reading@22000") {
		t.Errorf("dropped %v", turn.Record.Drops)
	}
	for _, f := range w.board().Findings {
		if f.Subject == "22000" {
			t.Errorf("a finding for a frequency that is no more: %s", f.Key())
		}
	}
	w.must(w.say("frequencies", "9.5 kHz, 22 kHz"))
	if s := w.status("verification.near_mark@22000"); s == engine.Pass {
		t.Error("a frequency that came back brought its old readings along")
	}
}

func TestOldAnswersGrowStale(t *testing.T) {
	w := answered(t)
	w.now = w.now.Add(12*time.Hour + time.Minute)
	if s := w.status("crew.briefing"); s != engine.Needs {
		t.Errorf("a briefing of yesterday: %s", s)
	}
	if s := w.status("verification.still_true"); s != engine.Needs {
		t.Errorf("readings of yesterday want a known point: %s", s)
	}
}

func TestAnswersThatMakeNoSense(t *testing.T) {
	w := begun(t)
	for _, a := range []engine.Answer{
		{Key: "no_such_ask", Value: quantity.OfYes(true)},
		{Key: "metal_distance", Value: quantity.OfText(quantity.Text, "2")},
		{Key: "metal_distance", Value: quantity.OfYes(true)},
		{Key: "metal_distance"},
		{Key: "near_reading@9500", Value: quantity.Of(quantity.Length, 1524000)},
		{Key: "marks_match@9500", Value: quantity.OfYes(true)},
		{Key: "reading_view", Value: quantity.OfText(quantity.Choice, "sideways")},
	} {
		_, err := w.engine.Answer(t.Context(), bore, w.crew.Said(w.hand), a)
		kind(t, err, engine.Usage)
	}
	if v := w.board().Ver; v != 1 {
		t.Errorf("something was recorded: version %d", v)
	}
}
