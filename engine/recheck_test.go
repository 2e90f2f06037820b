package engine_test

import (
	"slices"
	"strings"
	"testing"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// stricter is rules by which the metal of the usual crew, at 34 ft, is too close.
func stricter(t *testing.T, onPublish string) book {
	t.Helper()
	return book{at: map[string]engine.Evaluator{"": standoff(t, "", "45 ft", onPublish)}}
}

// voids lists the records that took a release away because of rules.
func (w *world) voids() []ledger.Record {
	w.t.Helper()
	var all []ledger.Record
	err := w.store.Bore(w.t.Context(), bore, 1, func(r ledger.Record) error {
		if r.Kind == ledger.KindRechecked {
			all = append(all, r)
		}
		return nil
	})
	if err != nil {
		w.t.Fatal(err)
	}
	return all
}

// Rules that want releases checked take away those that they do not let stand, as a
// record of its own by whoever published.
func TestNewRulesMayWantEveryReleaseChecked(t *testing.T) {
	w := released(t)
	w.publish(stricter(t, engine.PublishRecheck), "more metal about")
	b := w.board()
	if b.State != engine.Open || b.Verdict != engine.Stopped || b.Void != engine.VoidRules || b.Why != "more metal about" || len(b.Signs) != 0 {
		t.Errorf("%s, %s, void %q: %q, %d signatures", b.State, b.Verdict, b.Void, b.Why, len(b.Signs))
	}
	all := w.voids()
	if len(all) != 1 {
		t.Fatalf("%d records took the release away", len(all))
	}
	r := all[0]
	if r.By == nil || r.By.Role != engine.RoleSafetyManager || r.Why != "more metal about" || r.Void != engine.VoidRules ||
		len(r.Refers) != 1 || !slices.Contains(r.Findings["fail"], tooClose) {
		t.Errorf("%+v", r)
	}
	if _, err := w.engine.Sign(t.Context(), bore, w.crew.Said(w.hand)); err == nil || !strings.Contains(err.Error(), "hold") {
		t.Errorf("signing where a rule fails: %v", err)
	}
	if turn := w.must(w.say("metal_distance", "50 ft")); turn.Void != "" {
		t.Errorf("void again: %q", turn.Void)
	}
	if turn := w.sign(); turn.Record.Release == nil {
		t.Error("not released with the metal far enough off")
	}
}

// What was taken away does not come back with the rules of before: people sign anew.
func TestAReleaseDoesNotComeBackWithItsRules(t *testing.T) {
	w := released(t)
	w.publish(stricter(t, engine.PublishRecheck), "more metal about")
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t)}}, "it was a mistake")
	if b := w.board(); b.Verdict != engine.Signable || b.Release != nil {
		t.Errorf("%s, release %v", b.Verdict, b.Release)
	}
	if turn := w.sign(); turn.Record.Release == nil {
		t.Error("not released again")
	}
}

// A publication that no engine was there for is caught up with at the next start,
// and once.
func TestAStartChecksReleasesOnce(t *testing.T) {
	w := released(t)
	w.serial++
	for range 3 {
		w.restart(stricter(t, engine.PublishRecheck))
	}
	if b := w.board(); b.State != engine.Open || b.Void != engine.VoidRules {
		t.Errorf("%s, void %q", b.State, b.Void)
	}
	if n := len(w.voids()); n != 1 {
		t.Errorf("%d records took the release away", n)
	}
}

// Rules that hold, and those that let a release stand to its end, take none away.
func TestReleasesThatStand(t *testing.T) {
	for name, b := range map[string]book{
		"recheck that holds": {at: map[string]engine.Evaluator{"": standoff(t, "", "32 ft", engine.PublishRecheck)}},
		"keep":               stricter(t, engine.PublishKeep),
	} {
		w := released(t)
		w.restart(b)
		if got := w.board(); got.Verdict != engine.Ready || len(w.voids()) != 0 {
			t.Errorf("%s: %s", name, got.Verdict)
		}
	}
}

// Whatever comes first on a bore whose rules were changed behind its back says so,
// and not that it took the release away itself.
func TestTheReasonIsTheRules(t *testing.T) {
	for name, do := range map[string]func(w *world) (engine.Turn, error){
		"answer": func(w *world) (engine.Turn, error) { return w.say("metal_distance", "35 ft") },
		"undo":   func(w *world) (engine.Turn, error) { return w.engine.Undo(t.Context(), bore, w.crew.Said(w.hand)) },
	} {
		w := released(t)
		w.restart(stricter(t, engine.PublishKeep)) // the release stands,
		w.engine = w.forgetful(stricter(t, engine.PublishKeep))
		turn, err := do(w)
		if err != nil || turn.Void != engine.VoidRules {
			t.Errorf("%s: void %q, %v", name, turn.Void, err)
		}
	}
}

// forgetful is an engine that cannot make the rules of then again, so that a release
// does not outlive them.
func (w *world) forgetful(b book) *engine.Engine {
	w.t.Helper()
	e, err := engine.New(w.t.Context(), engine.Config{
		Rules: b, Publication: engine.Publication{Serial: w.serial}, Store: w.store, Registry: w.store, Clock: w.crew.Engine.Now,
	})
	if err != nil {
		w.t.Fatal(err)
	}
	return e
}
