package engine_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// A crew that does anything at any time: whatever it does, no board is ready
// unless every finding in front of the release holds and two people in two
// roles stand behind it. The ledger is checked at the end of each walk, by a
// verifier that shares no code with the engine.
func TestNoWalkLeadsPastTheRules(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			w := answered(t)
			walk := &walker{w, rand.New(rand.NewPCG(seed, 7)), 0}
			for range 120 {
				walk.step()
				walk.check()
			}
			t.Logf("ready %d times", walk.ready)
		})
	}
}

type walker struct {
	*world
	r     *rand.Rand
	ready int
}

func (k *walker) step() {
	ctx := k.t.Context()
	by := []ledger.Actor{k.hand, k.driver}[k.r.IntN(2)]
	switch k.r.IntN(12) {
	case 0:
		k.now = k.now.Add(time.Duration(k.r.IntN(90)) * time.Minute)
	case 1:
		events := engine.Events()
		k.engine.Report(ctx, bore, k.crew.Said(by), events[k.r.IntN(len(events))], "walk")
	case 2:
		k.engine.Hold(ctx, bore, k.crew.Said(by), "walk")
	case 3:
		k.engine.Undo(ctx, bore, k.crew.Said(by))
	case 4:
		k.crew.Say = map[string]string{"metal_distance": []string{"26 ft", "34 ft"}[k.r.IntN(2)]}
		k.say("metal_distance", k.crew.Say["metal_distance"])
	case 5:
		k.crew.Say = map[string]string{"near_reading": []string{"4 ft 9 1/2 in", "5 ft", "5 ft 1 in"}[k.r.IntN(3)]}
	case 6, 7, 8:
		k.crew.Sign(ctx, bore, by)
	default:
		k.crew.Say = nil
		k.crew.AnswerAll(ctx, bore, by, engine.GateRelease)
	}
}

func (k *walker) check() {
	k.t.Helper()
	b := k.board()
	if b.Verdict != engine.Ready {
		return
	}
	k.ready++
	if bad := b.Of(engine.GateRelease, engine.Fail, engine.Needs, engine.Broken, ""); len(bad) > 0 {
		k.t.Fatalf("ready although %v", bad)
	}
	people, roles := map[string]bool{}, map[string]bool{}
	for _, a := range b.Release.Signers {
		people[a.ID], roles[a.Role] = true, true
	}
	if len(people) < 2 || len(roles) < 2 || !roles[engine.RoleLocatingHand] || b.At.After(b.Release.Until) {
		k.t.Fatalf("ready with %+v at %s", b.Release, b.At)
	}
}
