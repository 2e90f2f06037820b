package paper_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/paper"
	"firstrod/engine/quantity"
)

// source is what Of would build from, for tests that change a part of it.
func (w *world) source() paper.Source {
	w.t.Helper()
	board, err := w.engine.Board(w.t.Context(), bore)
	if err != nil {
		w.t.Fatal(err)
	}
	_, note := w.store.Checkpoint()
	s := paper.Source{
		Board: &board, Catalogue: w.engine.Catalogue(""), Checkpoint: note, Lang: "en",
		Name: func(id string) (string, time.Time) { p, _ := w.engine.Person(id); return p.Name, p.Erased },
	}
	if err := w.store.Bore(w.t.Context(), bore, 1, func(r ledger.Record) error { s.Records = append(s.Records, r); return nil }); err != nil {
		w.t.Fatal(err)
	}
	return s
}

func built(t *testing.T, s paper.Source) paper.Document {
	t.Helper()
	d, err := paper.Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestErasedAndUnknownPeople(t *testing.T) {
	w := begun(t)
	w.release(bore)
	s := w.source()
	erased := time.Date(2027, 3, 1, 3, 0, 0, 0, time.UTC)
	s.Name = func(id string) (string, time.Time) {
		if id == w.hand.ID {
			return "Dana OR-4", erased // a name that comes along all the same is not shown
		}
		return "", time.Time{}
	}
	d := built(t, s)
	raw := pdf(t, d)
	all := text(t, raw)
	wants(t, "PDF", text(t, raw, "-l", "1"), "name erased 2027-02-28 ("+w.hand.ID+") locating hand", w.driver.ID+" drill operator")
	js, err := paper.JSON(d)
	if err != nil {
		t.Fatal(err)
	}
	for where, s := range map[string]string{"PDF": all, "HTML": html(t, d), "JSON": string(js)} {
		if strings.Contains(s, "Dana") || strings.Contains(s, "Luis") {
			t.Errorf("%s still names somebody", where)
		}
	}
}

func TestWaivedIsOnPageOne(t *testing.T) {
	w := begun(t)
	w.crew.Say["radio_checked"] = "no"
	w.answer(bore, engine.GateRelease)
	boss, err := w.engine.Introduce(t.Context(), w.crew.Said(ledger.Actor{}), "Marta Quill", engine.RoleSafetyManager)
	if err != nil {
		t.Fatal(err)
	}
	by := ledger.Actor{ID: boss.ID, Role: engine.RoleSafetyManager}
	w.must(w.engine.Waive(t.Context(), bore, w.crew.Said(by), "crew.radio", "hand signals agreed, rig in sight"))
	if _, err := w.crew.Sign(t.Context(), bore, w.hand, w.driver); err != nil {
		t.Fatal(err)
	}
	d := w.document("en")
	first := text(t, pdf(t, d), "-l", "1")
	wants(t, "page one", first, "READY TO DRILL", "WAIVED:", "hand signals agreed, rig in sight", "Marta Quill, safety manager, 2026-11-24 08:00 UTC-07:00, record", "Nothing was loosened.")
	if strings.Contains(first, "Nothing was waived") {
		t.Error("page one says that nothing was waived")
	}
	if len(d.Waived) != 1 || d.Waived[0].Finding != "crew.radio" {
		t.Errorf("%+v", d.Waived)
	}
}

// A limit that a local pack loosened comes first, with what it was, and by whom.
func TestLoosenedComesFirst(t *testing.T) {
	w := begun(t)
	w.release(bore)
	s := w.source()
	feet := func(n int64) quantity.Value { return quantity.Of(quantity.Length, n*304_800) }
	c := *s.Catalogue
	c.Params = nil
	for _, p := range s.Catalogue.Params {
		q := *p
		if q.Name == "ground.standoff" {
			q.Base, q.Value, q.Pack = q.Value, feet(25), "alder"
		}
		c.Params = append(c.Params, &q)
	}
	c.Layers = []engine.Layer{{Code: "base"}, {Code: "alder", Title: engine.Text{"en": "County of Alder"}, Holds: "US-VA/alder"}}
	c.Place = "US-VA/alder"
	c.Loose = []engine.Loosened{
		{Name: "ground.standoff", Pack: "alder", Was: feet(30), Is: feet(25), Why: engine.Text{"en": "narrow right of way"}, By: "county safety office", Until: 20_787},
		{Name: "crew.radio", Pack: "alder", How: "waivable", Why: engine.Text{"en": "rig in sight"}, By: "county safety office", Until: 20_787},
	}
	s.Catalogue = &c
	d := built(t, s)
	first := text(t, pdf(t, d), "-l", "1")
	wants(t, "page one", first, "LOOSENED: metal from the baseline (ground.standoff), was 30 ft (9.144 m), is 25 ft (7.62 m)", "LOOSENED: rule Rig and locating hand hear each other (crew.radio) may be waived",
		"county safety office, pack alder, until 2026-11-30", "narrow right of way", "Nothing was waived.", "US-VA/alder", "County of Alder",
		"25 ft (7.62 m) (pack alder; base 30 ft (9.144 m); LOOSENED)")
	if d.Limits[0].Name != "ground.standoff" || !d.Limits[0].Loose {
		t.Errorf("the first limit is %+v", d.Limits[0])
	}
}

// Signatures under another revision of the rules: page one says so.
func TestOtherRulesAreSaid(t *testing.T) {
	w := begun(t)
	s := w.source()
	c := *s.Catalogue
	c.Revision = strings.Repeat("0f", 32)
	s.Catalogue = &c
	wants(t, "page one", text(t, pdf(t, built(t, s)), "-l", "1"), "are those of the rules 0f0f 0f0f; the last record was made under "+s.Board.Rules[:4])
}

// The same pair on earlier bores makes a third picture, of the signal it gave.
func TestHistoryIsDrawn(t *testing.T) {
	w := begun(t)
	w.release(bore)
	if n := strings.Count(html(t, w.document("en")), "<figure>"); n != 3 { // readings, crossings, square code
		t.Errorf("%d figures without a history", n)
	}
	s := w.source()
	at := func(n int) time.Time { return w.now.Add(-time.Duration(n) * 24 * time.Hour) }
	s.Earlier = func(hz string) ([]engine.Constant, error) {
		if hz != "9500" {
			return nil, nil
		}
		return []engine.Constant{{Bore: "OR-1", At: at(3), DB: 59.8}, {Bore: "OR-2", At: at(2), DB: 60.1}, {Bore: "OR-9", At: at(-1), DB: 50}}, nil
	}
	d := built(t, s)
	if got := fmt.Sprint(len(d.Frequencies[0].Earlier), len(d.Frequencies[1].Earlier)); got != "2 0" {
		t.Errorf("%s earlier constants, want 2 of one frequency: a later bore is no history", got)
	}
	page := html(t, d)
	if n := strings.Count(page, "<figure>"); n != 4 || !strings.Contains(page, "OR-4: signal at the baseline, 9.5 kHz") {
		t.Errorf("%d figures with a history", n)
	}
	s.Earlier = func(string) ([]engine.Constant, error) { return nil, fmt.Errorf("the store has stopped") }
	if _, err := paper.Build(s); err == nil {
		t.Error("built without the history that could not be read")
	}
}
