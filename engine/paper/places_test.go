package paper_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
	"firstrod/engine/paper"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// placed is the document of a bore that was released in a place, under all the rules
// inside the program.
func placed(t *testing.T, jurisdiction, lang string) paper.Document {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	local, err := fs.Sub(policies.Local, "local")
	if err != nil {
		t.Fatal(err)
	}
	book, err := rules.LoadBook(t.Context(), rules.Layers{Base: base, Local: local}, rules.Options{})
	if err != nil {
		t.Fatal(err)
	}
	// Before the end of what the county has loosened; see its overlay.yaml.
	clock := func() time.Time { return time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC) }
	store, err := boltstore.Open(t.TempDir(), boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: store, Registry: store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	crew := &enginetest.Crew{Engine: e, Jurisdiction: jurisdiction, Say: map[string]string{"metal_distance": "41 ft"}}
	hand, _, err := crew.Open(t.Context(), bore)
	if err != nil {
		t.Fatal(err)
	}
	if err := crew.AnswerAll(t.Context(), bore, hand, engine.GateRelease); err != nil {
		t.Fatal(err)
	}
	other := engine.RoleDrillOperator
	if strings.HasPrefix(jurisdiction, "US-VA/alder") {
		other = engine.RoleForeman
	}
	p, err := e.Introduce(t.Context(), crew.Said(hand), "Ines Park", other)
	if err != nil {
		t.Fatal(err)
	}
	second := ledger.Actor{ID: p.ID, Role: other}
	if turn, err := crew.Sign(t.Context(), bore, hand, second); err != nil || turn.Record.Release == nil {
		t.Fatalf("%s is not released: %v", jurisdiction, err)
	}
	d, err := paper.Of(t.Context(), e, store, bore, lang)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Page one says whose rules hold, what a crew must be told of them, and what they
// loosen: until when, by whom, and why.
func TestWhoseRulesHold(t *testing.T) {
	for place, wants := range map[string][]string{
		"":                      {"the base alone", "Nothing was loosened."},
		"US-VA":                 {"US-VA, its own"},
		"US-VA/alder/two-mills": {"US-VA/alder/two-mills: those of US-VA/alder", "Alder County", "LOOSENED"},
	} {
		t.Run(place, func(t *testing.T) {
			d := placed(t, place, "en")
			raw := pdf(t, d)
			first := text(t, raw, "-l", "1")
			one := strings.Join(strings.Fields(first), " ")
			for _, want := range wants {
				if !strings.Contains(one, want) {
					t.Errorf("page one lacks %q:\n%s", want, first)
				}
			}
			// The width to dig by hand is confirmed for Virginia, and a guess without a place.
			if told := len(d.Rules.Notices) > 0; told != (place == "") {
				t.Errorf("told of these rules: %q", d.Rules.Notices)
			}
			page := strings.Join(strings.Fields(html(t, d)), " ")
			for _, n := range d.Rules.Notices {
				if !strings.Contains(one, strings.Join(strings.Fields(n), " ")) {
					t.Errorf("page one lacks %q", n)
				}
				if !strings.Contains(page, strings.Join(strings.Fields(n), " ")) {
					t.Errorf("the HTML lacks %q", n)
				}
			}
			for _, l := range d.Loosened {
				for _, part := range []string{l.By, l.Until, l.Why} {
					if part == "" || !strings.Contains(one, strings.Join(strings.Fields(part), " ")) {
						t.Errorf("page one lacks %q of the loosened %s:\n%s", part, l.Name, first)
					}
				}
			}
			if dir := os.Getenv("FIRSTROD_KEEP"); dir != "" {
				name := strings.NewReplacer("/", "_").Replace("r-" + place + ".pdf")
				if err := os.WriteFile(filepath.Join(dir, name), raw, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}
