package engine_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
	"pgregory.net/rapid"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

func TestReplayOfAStricterLimit(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "31 ft", "50 ft", "33 ft", "36 ft", "34 ft")
	stricter := limit(t, "standoff", "30 ft", "34 ft")
	var told []int
	out := replayed(t, m, base, stricter, engine.ReplayOptions{Progress: func(done, total int) { told = append(told, done, total) }})
	got := row(out, tooClose)
	if got.Fails != 2 || got.Bores != 2 || got.Holds+got.Asks+got.Breaks != 0 || len(out.Checks) != 1 {
		t.Errorf("%+v in %d checks", got, len(out.Checks))
	}
	if out.Bores != 5 || out.Releases != 5 || out.Decisions != 5 || len(out.Refused) != 2 || len(out.Passable)+len(out.Wanting) != 0 {
		t.Errorf("%+v", out)
	}
	if !slices.Equal(told, []int{1, 5, 2, 5, 3, 5, 4, 5, 5, 5}) {
		t.Errorf("told %v", told)
	}
	worst := got.Worst[0]
	if worst.Bore != "M-1" || worst.Was != engine.Pass || worst.Is != engine.Fail || worst.Sight == nil {
		t.Fatalf("worst %+v", worst)
	}
	if s := worst.Sight; s.Name != "metal_distance" || s.Value.Base() != 9448800 || s.Was.Base() != 9144000 || s.Is.Base() != 10363200 {
		t.Errorf("sight %+v: 31 ft is 9448800 um, 30 ft 9144000, 34 ft 10363200", s)
	}
	if m.all[worst.Record].Release == nil || out.Refused[0].Record != worst.Record || !slices.Equal(out.Refused[0].Stops, []string{tooClose}) {
		t.Errorf("refused %+v", out.Refused)
	}
	// The other way round the same two would be let through.
	back := replayed(t, m, stricter, base, engine.ReplayOptions{})
	if r := row(back, tooClose); r.Holds != 2 || len(back.Passable) != 2 || len(back.Refused) != 0 {
		t.Errorf("back: %+v, %+v", r, back.Passable)
	}
	if out.Asked > 5 || !slices.Equal(out.Differs, []string{tooClose}) {
		t.Errorf("asked %d findings of %v; one for each decision would do", out.Asked, out.Differs)
	}
}

// A limit that no rule reads, and that acts only through a computed value.
func TestReplaySeesThroughComputedValues(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "40 ft")
	wider := limit(t, "clearance", "12 in", "9 ft")
	const id = "crossings.clearance"
	was, _ := base.Catalogue().Check(id)
	is, _ := wider.Catalogue().Check(id)
	if was.Digest != is.Digest {
		t.Fatalf("%s reads the limit itself; this test wants one that acts through a computed value", id)
	}
	out := replayed(t, m, base, wider, engine.ReplayOptions{})
	got := row(out, id)
	if got.Fails != 1 || len(out.Refused) != 1 || !slices.Contains(out.Differs, id) {
		t.Fatalf("%+v", out)
	}
	if s := got.Worst[0].Sight; s == nil || s.Limit != "crossing.derived.needed_um" || s.Is.Base()-s.Was.Base() != 2743200-304800 {
		t.Errorf("sight %+v; 9 ft less 12 in is 2438400 um", s)
	}
}

func TestReplayOfAQuestionNobodyWasAsked(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "40 ft", "50 ft")
	asking := edited(t, "ground/metal_baseline.rego", "pass if {\n\tis_number(input.metal_distance)\n", "pass if {\n\tis_number(input.known_depth)\n\tis_number(input.known_reading)\n\tis_number(input.metal_distance)\n")
	out := replayed(t, m, base, asking, engine.ReplayOptions{})
	got := row(out, tooClose)
	if got.Asks != 2 || got.Fails != 0 || len(out.Wanting) != 2 || len(out.Refused) != 0 {
		t.Errorf("%+v; wanting %d, refused %d", got, len(out.Wanting), len(out.Refused))
	}
	if want := []engine.NeedCount{{Ask: "known_depth", Decisions: 2}, {Ask: "known_reading", Decisions: 2}}; !slices.Equal(out.Needs, want) {
		t.Errorf("would need %v", out.Needs)
	}
}

func TestReplayListsNewAndGoneChecks(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "40 ft")
	without := fewer{base, *engine.NewCatalogue("without", base.Catalogue().Engine, nil,
		slices.DeleteFunc(slices.Clone(base.Catalogue().Checks), func(c *engine.Check) bool { return c.ID == "ground.no_slab" }),
		base.Catalogue().Params)}
	out := replayed(t, m, base, &without, engine.ReplayOptions{})
	if len(out.Gone) != 1 || out.Gone[0].ID != "ground.no_slab" || len(out.New) != 0 || len(out.Checks) != 0 {
		t.Errorf("gone %v, new %v, checks %v", out.Gone, out.New, out.Checks)
	}
	out = replayed(t, m, &without, base, engine.ReplayOptions{})
	if len(out.New) != 1 || len(out.Gone) != 0 {
		t.Errorf("gone %v, new %v", out.Gone, out.New)
	}
}

// fewer is rules with another catalogue over them.
type fewer struct {
	engine.Evaluator
	catalogue engine.Catalogue
}

func (f *fewer) Catalogue() *engine.Catalogue { return &f.catalogue }

func TestReplaySince(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "31 ft")
	stricter := limit(t, "standoff", "30 ft", "34 ft")
	if out := replayed(t, m, base, stricter, engine.ReplayOptions{Since: start}); out.Decisions != 1 {
		t.Errorf("%d decisions since the day itself", out.Decisions)
	}
	if out := replayed(t, m, base, stricter, engine.ReplayOptions{Since: start.Add(time.Second)}); out.Decisions+out.Bores != 0 {
		t.Errorf("%d decisions since later", out.Decisions)
	}
}

// The day of a decision is that of the bore's own zone: 8 pm in Phoenix is the
// next day in UTC, and the old day still.
func TestReplayGoesByTheDayOfTheBore(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	w := remembered(t, m, engine.Everywhere(base))
	w.now = time.Date(2026, 11, 25, 3, 0, 0, 0, time.UTC)
	w.crew.Jurisdiction = "US-AZ"
	if _, err := w.crew.Release(t.Context(), "D-1"); err != nil {
		t.Fatal(err)
	}
	asked := map[string]bool{}
	pick := func(jurisdiction string, day int64) engine.Evaluator {
		asked[fmt.Sprint(jurisdiction, " ", time.Unix(day*86400, 0).UTC().Format(time.DateOnly))] = true
		return base
	}
	if _, err := engine.Replay(t.Context(), m, pick, pick, engine.ReplayOptions{Workers: 1}); err != nil {
		t.Fatal(err)
	}
	if len(asked) != 1 || !asked["US-AZ 2026-11-24"] {
		t.Errorf("rules of %v", asked)
	}
}

func TestReplayStops(t *testing.T) {
	m, base := newMemory(), baseRules(t)
	crews(t, m, base, "31 ft", "32 ft")
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	ctx, cancel := context.WithCancel(t.Context())
	_, err := engine.Replay(ctx, m, everywhere(base), everywhere(base), engine.ReplayOptions{Workers: 2, Progress: func(int, int) { cancel() }})
	if err != context.Canceled {
		t.Errorf("error %v", err)
	}
	m.all[m.bores["M-1"][0]].Open.Zone = "Nowhere/Land"
	_, err = engine.Replay(t.Context(), m, everywhere(base), everywhere(base), engine.ReplayOptions{})
	if engine.KindOf(err) != engine.Damaged {
		t.Errorf("error %v", err)
	}
}

// candidates are packs that differ from the base in one limit, read by a rule
// itself, through computed values, through how people sign, or in a text.
func candidates(t *testing.T) []engine.Evaluator {
	return []engine.Evaluator{
		limit(t, "standoff", "30 ft", "40 ft"),
		limit(t, "standoff", "30 ft", "20 ft"),
		limit(t, "clearance", "12 in", "60 in"),
		limit(t, "tolerance", "5 %", "1.5 %"),
		limit(t, "people", "2", "3"),
		limit(t, "battery_reserve", "125 %", "250 %"),
		edited(t, "crew/radio.rego", "good_for: \"12 h", "good_for: \"1 h"),
		edited(t, "crew/radio.rego", "waivable: true", "waivable: false"),
	}
}

// On random bores, what is reused from the records gives the same as asking both
// sets of rules about everything.
func TestReplayFindsTheSameInFull(t *testing.T) {
	base := baseRules(t)
	sets := append(candidates(t), base)
	var walks []*memory
	for seed := range uint64(8) {
		walks = append(walks, walked(t, base, seed, 25))
	}
	rapid.Check(t, func(rt *rapid.T) {
		m := rapid.SampledFrom(walks).Draw(rt, "bores")
		old, candidate := rapid.SampledFrom(sets).Draw(rt, "old"), rapid.SampledFrom(sets).Draw(rt, "candidate")
		var earlier func(string) *engine.Catalogue
		if rapid.Bool().Draw(rt, "earlier known") {
			earlier = func(revision string) *engine.Catalogue {
				if revision == base.Catalogue().Revision {
					return base.Catalogue()
				}
				return nil
			}
		}
		o := engine.ReplayOptions{Workers: rapid.IntRange(1, 3).Draw(rt, "workers"), Examples: rapid.IntRange(1, 9).Draw(rt, "examples"), Earlier: earlier}
		fast := replayed(t, m, old, candidate, o)
		o.Full = true
		full := replayed(t, m, old, candidate, o)
		if fast.Asked >= full.Asked {
			rt.Fatalf("asked %d of %d", fast.Asked, full.Asked)
		}
		fast.Asked, full.Asked = 0, 0
		if !reflect.DeepEqual(fast, full) {
			rt.Fatalf("digest first:\n%+v\nin full:\n%+v", fast, full)
		}
	})
}

// walked is a few bores on which a crew did anything at any time.
func walked(t *testing.T, set engine.Evaluator, seed uint64, steps int) *memory {
	t.Helper()
	m := newMemory()
	w := remembered(t, m, engine.Everywhere(set))
	r := rand.New(rand.NewPCG(seed, 11))
	var err error
	if w.hand, w.driver, err = w.crew.Open(t.Context(), bore); err != nil {
		t.Fatal(err)
	}
	walk := &walker{w, r, 0}
	for range steps {
		wander(walk)
	}
	return m
}

// wander is a step of a walk, or something that a walk does not do: an answer that
// fails a rule, a waiver, a depth check, a picture, the end of the shift.
func wander(k *walker) {
	ctx := k.t.Context()
	switch k.r.IntN(12) {
	case 0:
		k.crew.Say = map[string]string{"radio_checked": []string{"no", "yes"}[k.r.IntN(2)]}
		k.say("radio_checked", k.crew.Say["radio_checked"])
	case 1:
		boss := ledger.Actor{ID: k.hand.ID, Role: engine.RoleSafetyManager}
		k.say("radio_checked", "no")
		b := k.board()
		for _, f := range b.Of(engine.GateRelease, engine.Fail) {
			k.engine.Waive(ctx, bore, k.crew.Said(boss), f.Key(), "walk")
		}
	case 2:
		k.several("seen_depth", "6 ft", "seen_reading", []string{"6 ft 1 in", "6 ft 9 in"}[k.r.IntN(2)])
	case 3:
		k.engine.Show(ctx, bore, k.crew.Said(k.driver), ledger.File{Sum: strings.Repeat("ab", 32), Size: 3, Type: "image/png"})
	case 4:
		k.now = k.now.Add(time.Duration(k.r.IntN(14)) * time.Hour)
	case 5:
		k.crew.Say = map[string]string{"crossings": []string{"gas main", "gas main, water", "none"}[k.r.IntN(3)]}
		k.say("crossings", k.crew.Say["crossings"])
	default:
		k.step()
	}
}
