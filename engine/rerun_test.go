package engine_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// rerun makes every wanted record of a bore again.
func rerun(tb testing.TB, m *memory, id string, want func(ledger.Record) bool) []engine.Rerun {
	tb.Helper()
	r, err := engine.NewRerunner(tb.Context(), m, m, reopened)
	if err != nil {
		tb.Fatal(err)
	}
	var all []engine.Rerun
	if err := r.Bore(tb.Context(), id, want, func(again engine.Rerun) error {
		all = append(all, again)
		return nil
	}); err != nil {
		tb.Fatal(err)
	}
	return all
}

func every(ledger.Record) bool { return true }

func releases(r ledger.Record) bool { return r.Release != nil }

// Whatever a crew does, with time passing, waivers, lists that change, depth checks
// and rules that change under it: every record comes out as it did.
func TestEveryRecordOfAWalkComesOutAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("makes thousands of decisions again")
	}
	kinds, given := map[ledger.Kind]int{}, 0
	for seed := range uint64(8) {
		m := wandered(t, seed, 35)
		for _, again := range rerun(t, m, bore, every) {
			kinds[again.Record.Kind]++
			if again.Record.Release != nil {
				given++
			}
			if !again.Same() || again.Findings < 50 || again.Program != "" || len(again.Late) > 0 {
				t.Fatalf("seed %d, record %d, %s: %+v", seed, again.Record.Seq, again.Record.Kind, again)
			}
		}
	}
	for _, k := range []ledger.Kind{ledger.KindOpen, ledger.KindAnswer, ledger.KindUndo, ledger.KindReport, ledger.KindHold,
		ledger.KindWaive, ledger.KindSign, ledger.KindRefused, ledger.KindShown, ledger.KindMoved} {
		if kinds[k] == 0 {
			t.Errorf("no record of kind %s among them", k)
		}
	}
	t.Logf("%v, %d releases", kinds, given)
	if given < 20 {
		t.Errorf("%d releases", given)
	}
}

// wandered is a walk during which other rules come into force and the bore is moved.
func wandered(t *testing.T, seed uint64, steps int) *memory {
	t.Helper()
	m := newMemory()
	base := baseRules(t)
	strict := limit(t, "standoff", "30 ft", "33 ft")
	books := []book{
		{at: map[string]engine.Evaluator{"": base}},
		{at: map[string]engine.Evaluator{"": strict}},
		{at: map[string]engine.Evaluator{"": base, "US-VA": &placed{strict, *strict.Catalogue()}}},
	}
	w := remembered(t, m, books[0])
	r := rand.New(rand.NewPCG(seed, 13))
	var err error
	if w.hand, w.driver, err = w.crew.Open(t.Context(), bore); err != nil {
		t.Fatal(err)
	}
	walk := &walker{w, r, 0}
	for range steps {
		switch r.IntN(20) {
		case 0:
			w.publish(books[r.IntN(len(books))], "walk")
		case 1:
			w.engine.Move(t.Context(), bore, w.crew.Said(w.hand), []string{"", "US-VA"}[r.IntN(2)])
		case 2:
			// The program is started anew: the bore is folded from its records.
			w.boot(t, m, books[r.IntN(len(books))])
		case 3, 4, 5:
			settle(walk)
		default:
			wander(walk)
		}
	}
	return m
}

// settle is a crew that sets right what most often fails, and signs.
func settle(k *walker) {
	k.crew.Say = nil
	zone, err := time.LoadLocation("America/Phoenix")
	if err != nil {
		k.t.Fatal(err)
	}
	at := k.now.In(zone)
	for _, pair := range [][2]string{
		{"metal_distance", "40 ft"}, {"radio_checked", "yes"}, {"crossings", "gas main"},
		{"ticket_last_day", at.AddDate(0, 0, 9).Format(time.DateOnly)}, {"shift_ends", at.Add(9 * time.Hour).Format("2006-01-02 3:04 pm")},
		{"near_reading@9500", "5 ft, 5 ft, 5 ft"}, {"near_reading@22000", "5 ft, 5 ft, 5 ft"}, {"seen_reading", "6 ft 1 in"}, {"known_reading", "6 ft 1 in"},
	} {
		b := k.board()
		if _, given := b.Fact(pair[0]); given {
			k.say(pair[0], pair[1])
		}
	}
	k.answerAll(engine.GateRelease)
	k.crew.Sign(k.t.Context(), bore, k.hand, k.driver)
}

// tampered changes a copy of the records of a released bore.
func tampered(t *testing.T, change func(t *testing.T, m *memory, of []*ledger.Record)) []engine.Rerun {
	t.Helper()
	m := newMemory()
	crews(t, m, baseRules(t), "34 ft")
	var of []*ledger.Record
	for _, n := range m.bores["M-1"] {
		of = append(of, &m.all[n])
	}
	if all := rerun(t, m, "M-1", releases); len(all) != 1 || !all[0].Same() {
		t.Fatalf("before anything was changed: %+v", all)
	}
	change(t, m, of)
	return rerun(t, m, "M-1", releases)
}

func giving(of []*ledger.Record, ask string) (*ledger.Record, *ledger.Fact) {
	for _, r := range of {
		for i := range r.Facts {
			if r.Facts[i].Key == ask {
				return r, &r.Facts[i]
			}
		}
	}
	panic("nobody gave " + ask)
}

func TestRerunFindsWhatWasForged(t *testing.T) {
	last := func(of []*ledger.Record) *ledger.Record { return of[len(of)-1] }
	metal := func(of []*ledger.Record, ft int64) {
		_, f := giving(of, "metal_distance")
		f.Value = quantity.Of(quantity.Length, ft*304800).Exact()
	}
	for name, tt := range map[string]struct {
		change func(t *testing.T, m *memory, of []*ledger.Record)
		want   engine.Aspect
		key    string
	}{
		"a value that fails a rule": {func(_ *testing.T, _ *memory, of []*ledger.Record) { metal(of, 26) }, engine.AboutFinding, tooClose},
		"a value that does not":     {func(_ *testing.T, _ *memory, of []*ledger.Record) { metal(of, 35) }, engine.AboutInput, "signed"},
		"a finding": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r, _ := giving(of, "metal_distance")
			r.Findings = map[string][]string{"exempt": {tooClose}}
		}, engine.AboutFinding, tooClose},
		"a finding for a check that is none": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			of[0].Findings["pass"] = append(slices.Clone(of[0].Findings["pass"]), "ground.made_up")
		}, engine.AboutFinding, "ground.made_up"},
		"a time that makes a value stale": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r, _ := giving(of, "radio_checked")
			r.At = r.At.Add(-13 * time.Hour)
		}, engine.AboutFinding, "crew.radio"},
		"the end of the release": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r := *last(of).Release
			r.Until = r.Until.Add(time.Hour)
			last(of).Release = &r
		}, engine.AboutRelease, "until"},
		"the count of checks": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r := *last(of).Release
			r.Checks--
			last(of).Release = &r
		}, engine.AboutRelease, "checks"},
		"what was waived": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r := *last(of).Release
			r.Waived = []string{"crew.radio"}
			last(of).Release = &r
		}, engine.AboutRelease, "waived"},
		"a signer": {func(_ *testing.T, _ *memory, of []*ledger.Record) {
			r := *last(of).Release
			r.Signers = slices.Clone(r.Signers)
			r.Signers[0].ID = "p_none"
			last(of).Release = &r
		}, engine.AboutRelease, "signers"},
		"what was signed": {func(_ *testing.T, m *memory, of []*ledger.Record) {
			delete(m.blobs, last(of).Sign.Input)
		}, engine.AboutInput, ""},
		"the packs": {func(_ *testing.T, m *memory, of []*ledger.Record) {
			delete(m.blobs, m.all[0].Pack.Blob)
		}, engine.AboutRules, ""},
		"the packs, for others": {func(t *testing.T, m *memory, of []*ledger.Record) {
			other := limit(t, "standoff", "30 ft", "20 ft").Catalogue().Packs
			m.all[0].Pack.Blob = ledger.BlobSum(other)
			m.blobs[m.all[0].Pack.Blob] = other
		}, engine.AboutRules, ""},
		"the revision": {func(_ *testing.T, m *memory, of []*ledger.Record) { last(of).Rules = "none" }, engine.AboutRules, "record"},
	} {
		t.Run(name, func(t *testing.T) {
			all := tampered(t, tt.change)
			if len(all) != 1 || !slices.ContainsFunc(all[0].Differs, func(d engine.Discrepancy) bool {
				return d.What == tt.want && (tt.key == "" || d.Key == tt.key)
			}) {
				t.Errorf("%+v", all)
			}
		})
	}
}

// A release that a rule stood against, forged with all that belongs to it: the
// verifier's own proof cannot know that the finding is a lie; deciding again does.
func TestRerunFindsAForgedRelease(t *testing.T) {
	all := tampered(t, func(t *testing.T, m *memory, of []*ledger.Record) {
		_, f := giving(of, "metal_distance")
		f.Value = quantity.Of(quantity.Length, 12*304800).Exact()
	})
	if !slices.Contains(all[0].Differs, engine.Discrepancy{What: engine.AboutFinding, Key: tooClose, Then: "pass", Now: "fail"}) ||
		!slices.Contains(all[0].Differs, engine.Discrepancy{What: engine.AboutRelease, Key: "state", Then: "released", Now: "a rule does not hold"}) {
		t.Errorf("%+v", all[0].Differs)
	}
}

func TestRerunSaysThatTheProgramWasAnother(t *testing.T) {
	m := newMemory()
	w := remembered(t, m, engine.Everywhere(&older{baseRules(t)}))
	if _, err := w.crew.Release(t.Context(), "M-1"); err != nil {
		t.Fatal(err)
	}
	all := rerun(t, m, "M-1", releases)
	if want := "the rule engine was opa 0.1 and is " + baseRules(t).Catalogue().Engine + " now"; len(all) != 1 || !all[0].Same() || all[0].Program != want {
		t.Errorf("%+v", all)
	}
}

// older is rules as another rule engine had them.
type older struct{ engine.Evaluator }

func (o *older) Catalogue() *engine.Catalogue {
	c := *o.Evaluator.Catalogue()
	c.Engine, c.Revision = "opa 0.1", "of then"
	return &c
}

func TestRerunStops(t *testing.T) {
	m := newMemory()
	crews(t, m, baseRules(t), "34 ft")
	r, err := engine.NewRerunner(t.Context(), m, m, reopened)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := r.Bore(ctx, "M-1", every, func(engine.Rerun) error { return nil }); err != context.Canceled {
		t.Errorf("error %v", err)
	}
	stop := fmt.Errorf("enough")
	if err := r.Bore(t.Context(), "M-1", every, func(engine.Rerun) error { return stop }); err != stop {
		t.Errorf("error %v", err)
	}
}
