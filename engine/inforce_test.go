package engine_test

import (
	"context"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
)

// placed is rules with the place and the manner of coming into force that a
// local pack would give them.
type placed struct {
	engine.Evaluator
	catalogue engine.Catalogue
}

func (p *placed) Catalogue() *engine.Catalogue { return &p.catalogue }

// standoff is the base with another distance to metal.
func standoff(t *testing.T, place, distance, onPublish string) engine.Evaluator {
	t.Helper()
	set := limit(t, "standoff", "30 ft", distance)
	p := &placed{set, *set.Catalogue()}
	p.catalogue.Place, p.catalogue.OnPublish = place, onPublish
	p.catalogue.Layers = []engine.Layer{{Code: "base"}, {Code: "there", Holds: place}}
	return p
}

// book is a book of rules by place, and where a day has others, by day.
type book struct {
	at   map[string]engine.Evaluator
	from int64 // first day of later
	then engine.Evaluator
}

func (b book) At(jurisdiction string, day int64) engine.Evaluator {
	if b.then != nil && day >= b.from {
		return b.then
	}
	for place := jurisdiction; place != ""; place = ledger.Wider(place) {
		if set, ok := b.at[place]; ok {
			return set
		}
	}
	return b.at[""]
}

func (b book) Places() []string {
	var all []string
	for place := range b.at {
		all = append(all, place)
	}
	return all
}

func (w *world) publish(b book, why string) {
	w.t.Helper()
	w.serial++
	p := engine.Publication{By: "Marta Quill", Why: why, Serial: w.serial}
	if err := w.engine.Publish(w.t.Context(), b, p); err != nil {
		w.t.Fatal(err)
	}
}

// metalAt is where the usual crew finds the nearest metal: 34 ft, inside the
// base's 30 ft and outside of a county's 45 ft.
const tooClose = "ground.metal_baseline"

func TestABoreIsJudgedByTheRulesOfItsPlace(t *testing.T) {
	w := newWorld(t)
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t), "US-VA/alder": standoff(t, "US-VA/alder", "45 ft", "")}}, "a county with more metal")
	for _, c := range []struct {
		bore, at string
		want     engine.Status
	}{
		{"A-1", "", engine.Pass}, {"A-2", "US-VA", engine.Pass}, {"A-3", "US-VA/alder", engine.Fail},
		{"A-4", "US-VA/alder/two-mills", engine.Fail}, {"A-5", "US-VA/alderton", engine.Pass},
	} {
		w.crew.Jurisdiction = c.at
		hand, _, err := w.crew.Open(t.Context(), c.bore)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.crew.AnswerAll(t.Context(), c.bore, hand, engine.GateRelease); err != nil {
			t.Fatal(err)
		}
		b, err := w.engine.Board(t.Context(), c.bore)
		if err != nil {
			t.Fatal(err)
		}
		if got := statusOf(&b, tooClose); got != c.want {
			t.Errorf("metal at 34 ft in %q: %s, want %s", c.at, got, c.want)
		}
	}
}

func statusOf(b *engine.Board, key string) engine.Status {
	for _, f := range b.Findings {
		if f.Key() == key {
			return f.Status
		}
	}
	return ""
}

func TestMovingABoreAsksTheRulesThere(t *testing.T) {
	w := released(t)
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t), "US-VA": standoff(t, "US-VA", "45 ft", "")}}, "a state")
	if _, err := w.engine.Move(t.Context(), bore, w.crew.Said(w.hand), "alder county"); engine.KindOf(err) != engine.Usage {
		t.Errorf("moved to a place that is none: %v", err)
	}
	turn := w.must(w.engine.Move(t.Context(), bore, w.crew.Said(w.hand), "US-VA/alder"))
	if turn.Void != engine.VoidMoved || turn.Board.Verdict != engine.Stopped || !turn.NewRules {
		t.Errorf("void %q, %s, new rules %t", turn.Void, turn.Board.Verdict, turn.NewRules)
	}
	turn = w.must(w.engine.Move(t.Context(), bore, w.crew.Said(w.hand), ""))
	if got := statusOf(&turn.Board, tooClose); got != engine.Pass {
		t.Errorf("moved back: %s", got)
	}
}

func TestAReleaseStandsToItsEndUnderItsRules(t *testing.T) {
	w := released(t)
	strict := book{at: map[string]engine.Evaluator{"": standoff(t, "", "45 ft", engine.PublishKeep)}}
	w.publish(strict, "more metal about")
	// What the engine is given to make old rules again.
	w.restart(strict)
	b := w.board()
	if b.Verdict != engine.Ready || !b.Kept {
		t.Fatalf("%s, kept %t: the release was to stand", b.Verdict, b.Kept)
	}
	if _, err := w.engine.Sign(t.Context(), bore, w.crew.Said(w.hand)); engine.KindOf(err) != engine.Conflict && err == nil {
		t.Errorf("signed again: %v", err)
	}
	w.must(w.several("seen_depth", "6 ft", "seen_reading", "6 ft 1 in"))
	if b := w.board(); b.Verdict != engine.Ready {
		t.Errorf("after a depth check that holds: %s", b.Verdict)
	}
	w.now = w.now.Add(10 * time.Hour)
	b = w.board()
	if got := statusOf(&b, tooClose); b.Kept || got != engine.Fail {
		t.Errorf("after its end: kept %t, %s", b.Kept, got)
	}
}

// restart opens the ledger anew under a book, with the means to make old rules.
func (w *world) restart(b book) {
	w.t.Helper()
	if err := w.store.Close(); err != nil {
		w.t.Fatal(err)
	}
	clock := func() time.Time { return w.now }
	store, err := boltstore.Open(w.dir, boltstore.Options{Clock: clock})
	if err != nil {
		w.t.Fatal(err)
	}
	e, err := engine.New(w.t.Context(), engine.Config{
		Rules: b, Publication: engine.Publication{Serial: w.serial}, Store: store, Registry: store, Clock: clock,
		Reopen: func(ctx context.Context, packs []byte, _ string, _ int64) (engine.Evaluator, error) {
			fsys, err := rules.Open(packs)
			if err != nil {
				return nil, err
			}
			return rules.Load(ctx, fsys, rules.Options{Layer: "base"})
		},
	})
	if err != nil {
		w.t.Fatal(err)
	}
	w.store, w.engine, w.crew.Engine = store, e, e
}

// A limit that is loosened until a day falls back at the bore's midnight. The
// ledger says so before the first bore is judged by it.
func TestADayChangesTheRules(t *testing.T) {
	w := begun(t)
	tomorrow := engine.Day(w.now, time.UTC) + 1
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t)}, from: tomorrow, then: standoff(t, "", "45 ft", "")}, "until tomorrow")
	w.must(w.say("metal_distance", "34 ft"))
	before := w.board()
	w.now = w.now.Add(24 * time.Hour)
	turn := w.must(w.say("metal_distance", "34 ft"))
	if was, is := statusOf(&before, tooClose), statusOf(&turn.Board, tooClose); was != engine.Pass || is != engine.Fail {
		t.Errorf("34 ft was %s today and is %s tomorrow", was, is)
	}
	var revisions []string
	if err := w.store.Rules(t.Context(), func(r ledger.Record) error {
		revisions = append(revisions, r.Rules)
		return nil
	}); err != nil || len(revisions) != 3 || revisions[2] != turn.Record.Rules {
		t.Errorf("rules on record %v, the turn's %s; %v", revisions, turn.Record.Rules, err)
	}
}

func TestAPlaceWithoutRulesOfItsOwnAnyMore(t *testing.T) {
	w := newWorld(t)
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t), "US-VA": standoff(t, "US-VA", "45 ft", "")}}, "a state")
	w.publish(book{at: map[string]engine.Evaluator{"": baseRules(t)}}, "withdrawn")
	w.crew.Jurisdiction = "US-VA"
	var err error
	if w.hand, w.driver, err = w.crew.Open(t.Context(), bore); err != nil {
		t.Fatal(err)
	}
	w.answerAll(engine.GateRelease)
	w.sign()
	if b := w.board(); b.Verdict != engine.Ready || b.Rules != baseRules(t).Catalogue().Revision {
		t.Errorf("%s under %.8s", b.Verdict, b.Rules)
	}
}

// Rules that are older than those a ledger was judged by are not taken, nor are
// those that came with the program.
func TestOlderRulesAreNotTaken(t *testing.T) {
	w := newWorld(t)
	one := book{at: map[string]engine.Evaluator{"": baseRules(t)}}
	w.publish(one, "first")
	w.publish(one, "second")
	for _, serial := range []int64{0, 1} {
		err := w.engine.Publish(t.Context(), one, engine.Publication{By: "Marta Quill", Why: "back", Serial: serial})
		if engine.KindOf(err) != engine.Rules {
			t.Errorf("publication %d after 2: %v", serial, err)
		}
	}
}
