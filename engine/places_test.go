package engine_test

import (
	"context"
	"io/fs"
	"testing"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// allRules is the rules inside the program, of all places.
func allRules(t *testing.T) *rules.Book {
	t.Helper()
	local, err := fs.Sub(policies.Local, "local")
	if err != nil {
		t.Fatal(err)
	}
	b, err := rules.LoadBook(context.Background(), rules.Layers{Base: basePack(t), Local: local}, rules.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A bore in each place is released when its crew answers what that place asks, and
// its people sign as that place wants.
func TestBoresOfPlaces(t *testing.T) {
	store, err := boltstore.Open(t.TempDir(), boltstore.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	e, err := engine.New(t.Context(), engine.Config{Rules: allRules(t), Store: store, Registry: store})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		bore, place string
		dug, metal  string // what the crew says instead of the usual
		roles       []string
		ready       bool
	}{
		{bore: "A-1", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}, ready: true},
		{bore: "A-2", dug: "3 ft", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}},
		{bore: "A-3", place: "US-TX", dug: "3 ft", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}},
		{bore: "A-4", place: "US-VA", dug: "3 ft", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}, ready: true},
		{bore: "A-5", place: "US-VA/alder", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}},
		{bore: "A-6", place: "US-VA/alder", metal: "41 ft", roles: []string{engine.RoleLocatingHand, engine.RoleDrillOperator}},
		{bore: "A-7", place: "US-VA/alder/two-mills", metal: "41 ft", roles: []string{engine.RoleLocatingHand, engine.RoleForeman}, ready: true},
	} {
		crew := &enginetest.Crew{Engine: e, Jurisdiction: c.place, Say: map[string]string{}}
		for ask, said := range map[string]string{"hand_dug": c.dug, "metal_distance": c.metal} {
			if said != "" {
				crew.Say[ask] = said
			}
		}
		if got := mayDrill(t, e, crew, c.bore, c.roles); got != c.ready {
			t.Errorf("%s in %q with %+v: released %v", c.bore, c.place, crew.Say, got)
		}
	}
}

// mayDrill answers everything, lets people in these roles sign, and says whether
// the bore may be drilled then.
func mayDrill(t *testing.T, e *engine.Engine, crew *enginetest.Crew, bore string, roles []string) bool {
	t.Helper()
	ctx := t.Context()
	hand, _, err := crew.Open(ctx, bore)
	if err != nil {
		t.Fatal(err)
	}
	if err := crew.AnswerAll(ctx, bore, hand, engine.GateRelease); err != nil {
		t.Fatal(err)
	}
	for _, role := range roles {
		said := crew.Said(hand)
		p, err := e.Introduce(ctx, said, role+" of "+bore, role)
		if err != nil {
			t.Fatal(err)
		}
		said = crew.Said(hand)
		said.By.ID, said.By.Role = p.ID, role
		if _, err := e.Sign(ctx, bore, said); err != nil {
			break // the board says why
		}
	}
	board, err := e.Board(ctx, bore)
	if err != nil {
		t.Fatal(err)
	}
	return board.State == engine.Released
}
