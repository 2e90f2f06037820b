package engine_test

import (
	"context"
	"fmt"
	"io/fs"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// start is the moment at which tests begin: a morning on site.
var start = time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC)

// world is a real engine on real rules and a real store, and a clock that only
// moves when told.
type world struct {
	t      *testing.T
	dir    string
	now    time.Time
	store  *boltstore.Store
	engine *engine.Engine
	crew   *enginetest.Crew
	hand   ledger.Actor
	driver ledger.Actor
	serial int64 // of the last publication
}

func basePack(tb testing.TB) fs.FS {
	tb.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		tb.Fatal(err)
	}
	return base
}

func baseRules(tb testing.TB) *rules.Set {
	tb.Helper()
	set, err := rules.Load(context.Background(), basePack(tb), rules.Options{Layer: "base"})
	if err != nil {
		tb.Fatal(err)
	}
	return set
}

func newWorld(t *testing.T) *world {
	t.Helper()
	w := &world{t: t, dir: t.TempDir(), now: start}
	w.open()
	t.Cleanup(w.close)
	return w
}

func (w *world) open() {
	w.t.Helper()
	clock := func() time.Time { return w.now }
	store, err := boltstore.Open(w.dir, boltstore.Options{Clock: clock})
	if err != nil {
		w.t.Fatal(err)
	}
	e, err := engine.New(w.t.Context(), engine.Config{Rules: engine.Everywhere(baseRules(w.t)), Store: store, Registry: store, Clock: clock})
	if err != nil {
		w.t.Fatal(err)
	}
	w.store, w.engine = store, e
	if w.crew == nil {
		w.crew = &enginetest.Crew{}
	}
	w.crew.Engine = e
}

// close checks the whole ledger after every test, as a matter of course.
func (w *world) close() {
	w.t.Helper()
	if err := w.store.Close(); err != nil {
		w.t.Error(err)
	}
	r, err := boltstore.OpenReader(w.dir)
	if err != nil {
		w.t.Fatal(err)
	}
	defer r.Close()
	ledger.Verify(r, ledger.Options{}, func(f ledger.Fault) { w.t.Errorf("ledger: %s", f.Say) })
}

const bore = "OR-4"

// begun opens a bore.
func begun(t *testing.T) *world {
	w := newWorld(t)
	var err error
	if w.hand, w.driver, err = w.crew.Open(t.Context(), bore); err != nil {
		t.Fatal(err)
	}
	return w
}

// answered opens a bore and answers everything.
func answered(t *testing.T) *world {
	w := begun(t)
	w.answerAll(engine.GateRelease)
	return w
}

// released is a bore that is ready to drill.
func released(t *testing.T) *world {
	w := answered(t)
	w.sign()
	if v := w.board().Verdict; v != engine.Ready {
		t.Fatalf("verdict %s, want ready", v)
	}
	return w
}

func (w *world) answerAll(gate engine.Gate) {
	w.t.Helper()
	if err := w.crew.AnswerAll(w.t.Context(), bore, w.hand, gate); err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) sign() engine.Turn {
	w.t.Helper()
	turn, err := w.crew.Sign(w.t.Context(), bore, w.hand, w.driver)
	if err != nil {
		w.t.Fatal(err)
	}
	return turn
}

func (w *world) board() engine.Board {
	w.t.Helper()
	b, err := w.engine.Board(w.t.Context(), bore)
	if err != nil {
		w.t.Fatal(err)
	}
	return b
}

// say answers one ask in words.
func (w *world) say(key, text string) (engine.Turn, error) {
	w.t.Helper()
	id, _ := engine.SplitKey(key)
	a, ok := w.engine.Catalogue("").Ask(id)
	if !ok {
		w.t.Fatalf("no ask %s", id)
	}
	b := w.board()
	got := enginetest.Read(text, a, &b)
	return w.engine.Answer(w.t.Context(), bore, w.crew.Said(w.hand), engine.Answer{Key: key, Value: got.Value, Typed: text})
}

func (w *world) must(t engine.Turn, err error) engine.Turn {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
	return t
}

func TestACarefulCrewIsReleased(t *testing.T) {
	w := released(t)
	b := w.board()
	if len(b.Release.Signers) != 2 || b.Release.Checks < 50 || len(b.Release.Waived) != 0 {
		t.Errorf("release %+v", b.Release)
	}
	if want := start.Add(9 * time.Hour); !b.Release.Until.Equal(want) {
		t.Errorf("until %s, want the end of the shift %s", b.Release.Until, want)
	}
}

func TestResumeFromTheRecords(t *testing.T) {
	w := released(t)
	before := w.board()
	if err := w.store.Close(); err != nil {
		t.Fatal(err)
	}
	w.open()
	after := w.board()
	if before.Verdict != after.Verdict || before.Ver != after.Ver || len(before.Facts()) != len(after.Facts()) {
		t.Errorf("before %s %d, after %s %d", before.Verdict, before.Ver, after.Verdict, after.Ver)
	}
	for i, f := range before.Findings {
		if after.Findings[i].Status != f.Status {
			t.Errorf("%s was %s and is %s after the restart", f.Key(), f.Status, after.Findings[i].Status)
		}
	}
}

// Leave every ask out in turn: whatever is missing, nobody is released.
func TestNothingMayBeMissing(t *testing.T) {
	set := baseRules(t)
	w := newWorld(t)
	for i, a := range set.Catalogue().Asks {
		name := fmt.Sprintf("S-%d", i)
		crew := &enginetest.Crew{Engine: w.engine, Skip: map[string]bool{a.ID: true}}
		hand, driver, err := crew.Open(t.Context(), name)
		if err != nil {
			t.Fatal(err)
		}
		if err := crew.AnswerAll(t.Context(), name, hand, engine.GateRelease); err != nil {
			t.Fatal(err)
		}
		_, err = crew.Sign(t.Context(), name, hand, driver)
		b, _ := w.engine.Board(t.Context(), name)
		if _, asked := b.Fact(a.ID); asked {
			t.Errorf("%s was to be left out", a.ID)
		}
		needed := neededOnThisBore(a.ID)
		if needed && (err == nil || b.Verdict == engine.Ready) {
			t.Errorf("released without %s", a.ID)
		}
		if !needed && err != nil {
			t.Errorf("not released for want of %s, which this bore does not need: %v", a.ID, err)
		}
	}
}

// neededOnThisBore: the careful crew's bore has no overhead line, a linked
// receiver, one crossing and no event, so these are never asked.
func neededOnThisBore(ask string) bool {
	switch ask {
	case "grade", "grade_tolerance", "pitch_step", "background_again":
		return false
	case "overhead_kv", "overhead_distance", "calibrated", "none_confirmed", "known_depth", "known_reading",
		"hold_cleared_how", "transmitter_whole", "interference_source", "handover_done",
		"seen_depth", "seen_reading", "null_spacing", "null_pitch", "null_height", "null_reading",
		"rod_length", "rod_entry_pitch", "rod_pitches", "rod_start", "rod_reading",
		"line_damaged", "damage_told", "holes_closed":
		return false
	}
	return true
}
