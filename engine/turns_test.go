package engine_test

import (
	"slices"
	"testing"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

func kind(t *testing.T, err error, want engine.Failure) {
	t.Helper()
	if err == nil || engine.KindOf(err) != want {
		t.Errorf("error %v is of kind %s, want %s", err, engine.KindOf(err), want)
	}
}

func (w *world) status(key string) engine.Status {
	w.t.Helper()
	b := w.board()
	for _, f := range b.Findings {
		if f.Key() == key {
			return f.Status
		}
	}
	w.t.Fatalf("no finding %s", key)
	return ""
}

func TestAChangedAnswerVoidsTheRelease(t *testing.T) {
	w := released(t)
	turn := w.must(w.say("metal_distance", "34 ft"))
	if turn.Void != engine.VoidAnswer || w.board().Verdict == engine.Ready {
		t.Errorf("void %q, verdict %s", turn.Void, w.board().Verdict)
	}
	if w.board().State != engine.Open {
		t.Errorf("state %s", w.board().State)
	}
	w.sign()
	if v := w.board().Verdict; v != engine.Ready {
		t.Errorf("signed again: %s", v)
	}
}

func TestAFailingAnswerBlocks(t *testing.T) {
	for key, text := range map[string]string{
		"metal_distance": "29 ft 11 7/8 in", "metal_distance_far": "29.99 ft", "in_housing": "no", "off_rig": "no",
		"housing_on_ground": "H-8", "buried_lines": "yes", "slab_or_rebar": "yes", "power_overhead": "yes",
		"tape_away": "no", "baseline": "306.2 cm", "measured_between": "ends", "calibrated_power@9500": "high",
		"near_reading@22000": `4' 9 1/2"`, "far_reading@9500": "15 ft 8.2 in", "reading_view": "walking",
		"background@22000": "45 dB", "overhead_line": "yes", "ticket_last_day": "2026-11-23", "owners_answered": "6",
		"exposed@gas main": "no", "receiver_charge": "62 %", "bore_depth@gas main": "7 ft 10 in", "crossings": "none",
	} {
		t.Run(key, func(t *testing.T) {
			w := answered(t)
			w.must(w.say(key, text))
			b := w.board()
			if b.Verdict == engine.Ready || b.Verdict == engine.Signable {
				t.Errorf("%s = %s leaves the board %s", key, text, b.Verdict)
			}
			_, err := w.crew.Sign(t.Context(), bore, w.hand, w.driver)
			kind(t, err, engine.Blocked)
		})
	}
}

func TestTwoPeopleInTwoRoles(t *testing.T) {
	w := answered(t)
	ctx := t.Context()
	if _, err := w.crew.Sign(ctx, bore, w.hand); err != nil {
		t.Fatal(err)
	}
	_, err := w.crew.Sign(ctx, bore, w.hand)
	kind(t, err, engine.Forbidden)
	p, err := w.engine.Introduce(ctx, w.crew.Said(w.hand), "Dana "+bore, engine.RoleForeman)
	if err != nil || p.ID != w.hand.ID {
		t.Fatalf("%v %v", p, err)
	}
	_, err = w.crew.Sign(ctx, bore, ledger.Actor{ID: p.ID, Role: engine.RoleForeman})
	kind(t, err, engine.Forbidden)
	q, err := w.engine.Introduce(ctx, w.crew.Said(w.hand), "Rosa Lindt", engine.RoleLocatingHand)
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.crew.Sign(ctx, bore, ledger.Actor{ID: q.ID, Role: engine.RoleLocatingHand})
	kind(t, err, engine.Forbidden)
	if v := w.board().Verdict; v == engine.Ready {
		t.Fatal("ready with one signature")
	}
	if turn, err := w.crew.Sign(ctx, bore, w.driver); err != nil || turn.Record.Release == nil {
		t.Errorf("the second person: %v", err)
	}
}

// Two signatures without the locating hand are not enough; a third mends it.
func TestTheLocatingHandIsAmongThem(t *testing.T) {
	w := answered(t)
	ctx := t.Context()
	p, err := w.engine.Introduce(ctx, w.crew.Said(w.hand), "Otis Bram", engine.RoleForeman)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.crew.Sign(ctx, bore, w.driver, ledger.Actor{ID: p.ID, Role: engine.RoleForeman}); err != nil {
		t.Fatal(err)
	}
	if v := w.board().Verdict; v == engine.Ready {
		t.Fatal("ready without the locating hand")
	}
	if turn, err := w.crew.Sign(ctx, bore, w.hand); err != nil || turn.Record.Release == nil {
		t.Errorf("the locating hand as the third: %v", err)
	}
}

func TestASignatureIsOnTheFactsAsTheyWere(t *testing.T) {
	w := answered(t)
	if _, err := w.crew.Sign(t.Context(), bore, w.hand); err != nil {
		t.Fatal(err)
	}
	w.must(w.say("planned_depth", "15 ft"))
	if turn, err := w.crew.Sign(t.Context(), bore, w.driver); err != nil || turn.Record.Release != nil {
		t.Errorf("a change after the first signature must make it void: %v", err)
	}
}

func TestUndoAsksAgain(t *testing.T) {
	w := answered(t)
	turn := w.must(w.engine.Undo(t.Context(), bore, w.crew.Said(w.hand)))
	if len(turn.Record.Drops) == 0 || w.board().Verdict == engine.Signable {
		t.Errorf("dropped %v, verdict %s", turn.Record.Drops, w.board().Verdict)
	}
	w.answerAll(engine.GateRelease)
	w.sign()
	turn = w.must(w.engine.Undo(t.Context(), bore, w.crew.Said(w.hand)))
	if turn.Void != engine.VoidUndo {
		t.Errorf("void %q", turn.Void)
	}
}

func TestWaivers(t *testing.T) {
	w := answered(t)
	w.must(w.say("radio_checked", "no"))
	said := w.crew.Said(w.hand)
	_, err := w.engine.Waive(t.Context(), bore, said, "crew.radio", "hand signals agreed")
	kind(t, err, engine.Forbidden)
	p, err := w.engine.Introduce(t.Context(), w.crew.Said(w.hand), "Marta Quill", engine.RoleSafetyManager)
	if err != nil {
		t.Fatal(err)
	}
	manager := ledger.Actor{ID: p.ID, Role: engine.RoleSafetyManager}
	_, err = w.engine.Waive(t.Context(), bore, w.crew.Said(manager), "crew.radio", " ")
	kind(t, err, engine.Usage)
	_, err = w.engine.Waive(t.Context(), bore, w.crew.Said(manager), "crew.briefing", "no time")
	kind(t, err, engine.Usage)
	w.must(w.engine.Waive(t.Context(), bore, w.crew.Said(manager), "crew.radio", "hand signals agreed"))
	if s := w.status("crew.radio"); s != engine.Waived {
		t.Fatalf("status %s", s)
	}
	turn := w.sign()
	if turn.Record.Release == nil || !slices.Equal(turn.Record.Release.Waived, []string{"crew.radio"}) {
		t.Errorf("release %+v", turn.Record.Release)
	}
	w.must(w.say("radio_checked", "no"))
	if s := w.status("crew.radio"); s != engine.Fail {
		t.Errorf("the waiver must lapse when the value is given again, status %s", s)
	}
}

func TestSomeRulesNobodyWaives(t *testing.T) {
	w := answered(t)
	w.must(w.say("metal_distance", "26 ft"))
	p, err := w.engine.Introduce(t.Context(), w.crew.Said(w.hand), "Marta Quill", engine.RoleSafetyManager)
	if err != nil {
		t.Fatal(err)
	}
	manager := ledger.Actor{ID: p.ID, Role: engine.RoleSafetyManager}
	_, err = w.engine.Waive(t.Context(), bore, w.crew.Said(manager), "ground.metal_baseline", "we are late")
	kind(t, err, engine.Forbidden)
}

func TestANewTransmitterIsAGearChange(t *testing.T) {
	w := answered(t)
	turn := w.must(w.say("transmitter_serial", "T-28"))
	if turn.Record.Event != "gear_change" || !slices.Contains(turn.Record.Drops, "near_reading@9500") {
		t.Errorf("event %q, dropped %v", turn.Record.Event, turn.Record.Drops)
	}
}

func TestTheSameDeliveryTwice(t *testing.T) {
	w := begun(t)
	said := w.crew.Said(w.hand)
	a := engine.Answer{Key: "marks_match", Value: quantity.OfYes(true), Typed: "yes"}
	first := w.must(w.engine.Answer(t.Context(), bore, said, a))
	again := w.must(w.engine.Answer(t.Context(), bore, said, a))
	if !again.Repeated || again.Receipt.Seq != first.Receipt.Seq || w.board().Ver != first.Record.Ver {
		t.Errorf("again %+v", again.Receipt)
	}
}

func TestAClosedBoreIsFinished(t *testing.T) {
	w := released(t)
	_, err := w.engine.Close(t.Context(), bore, w.crew.Said(w.hand))
	kind(t, err, engine.Blocked)
	w.answerAll(engine.GateClose)
	if v := w.board().Verdict; v != engine.Ready {
		t.Errorf("the closing answers made a running release %s", v)
	}
	w.must(w.engine.Close(t.Context(), bore, w.crew.Said(w.hand)))
	_, err = w.say("planned_depth", "14 ft")
	kind(t, err, engine.Forbidden)
	_, err = w.engine.Open(t.Context(), w.crew.Said(w.hand), engine.Opening{Name: "or-4", Zone: "UTC"})
	kind(t, err, engine.Conflict)
}

func TestGearIsOfferedFromAnEarlierBore(t *testing.T) {
	w := released(t)
	if _, err := w.engine.Open(t.Context(), w.crew.Said(w.hand), engine.Opening{Name: "OR-5", Zone: "UTC"}); err != nil {
		t.Fatal(err)
	}
	offer, err := w.engine.Offer(t.Context(), "OR-5", "gear")
	if err != nil || len(offer) < 4 {
		t.Fatalf("offered %v, %v", offer, err)
	}
	b, err := w.engine.Board(t.Context(), "OR-5")
	if err != nil || len(b.Facts()) != 0 {
		t.Error("an offer must never be taken by itself")
	}
}

// The record that opens a bore has a finding for every rule: what was never
// asked can never pass for proved.
func TestTheFirstRecordHasEveryRule(t *testing.T) {
	w := begun(t)
	found := map[string]bool{}
	err := w.store.Bore(t.Context(), bore, 1, func(r ledger.Record) error {
		for _, keys := range r.Findings {
			for _, key := range keys {
				found[key] = true
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, ch := range w.engine.Catalogue("").Checks {
		if !found[ch.ID] {
			t.Errorf("no finding for %s when the bore was opened", ch.ID)
		}
	}
}
