package paper_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/paper"
)

// states are ways to bring a bore into each state, and what the page must say of it
// first, in English and Spanish.
var states = []struct {
	name   string
	to     func(w *world)
	en, es []string
}{
	{"unfinished", func(*world) {}, []string{"NOT READY: ", "Nobody has signed."}, []string{"NO ESTÁ LISTA: ", "Nadie ha firmado."}},
	{"blocked", func(w *world) {
		w.crew.Say["metal_distance"] = "26 ft"
		w.answer(bore, engine.GateRelease)
	}, []string{"BLOCKED: rules that do not hold: 1", "Does not hold: ", "26 ft (7.92 m)"}, []string{"BLOQUEADA: reglas que no se cumplen: 1", "26 pies (7.92 m)"}},
	{"signable", func(w *world) { w.answer(bore, engine.GateRelease) },
		[]string{"EVERYTHING HOLDS, NOT SIGNED YET"}, []string{"TODO SE CUMPLE, FALTAN FIRMAS"}},
	{"ready", func(w *world) { w.release(bore) },
		[]string{"READY TO DRILL until 2026-11-24 17:00 UTC-07:00"}, []string{"LISTA PARA PERFORAR hasta 2026-11-24 17:00 UTC-07:00"}},
	{"held", func(w *world) {
		w.release(bore)
		w.must(w.engine.Hold(w.t.Context(), bore, w.crew.Said(w.driver), "smell of gas at the pit"))
	}, []string{"HELD: nobody drills", "Release void: somebody put it on hold.", "smell of gas at the pit"},
		[]string{"DETENIDA: nadie perfora", "Liberación anulada: alguien la detuvo."}},
	{"reported", func(w *world) {
		w.release(bore)
		w.must(w.engine.Report(w.t.Context(), bore, w.crew.Said(w.hand), "hard_impact", "cobble at rod 9"))
	}, []string{"HELD: nobody drills", "Release void: something was reported.", "cobble at rod 9"}, []string{"DETENIDA: nadie perfora"}},
	{"void", func(w *world) {
		w.release(bore)
		w.now = w.now.Add(13 * time.Hour)
	}, []string{"BLOCKED: ", "Release void: its time is up.", "As it stood 2026-11-24 21:00 UTC-07:00; the last record is", "It stands no longer."},
		[]string{"BLOQUEADA: ", "Liberación anulada: se acabó su tiempo.", "Ya no vale."}},
	{"closed", func(w *world) {
		w.release(bore)
		w.answer(bore, engine.GateClose)
		w.must(w.engine.Close(w.t.Context(), bore, w.crew.Said(w.hand)))
	}, []string{"CLOSED 2026-11-24 08:00 UTC-07:00", "The release ended when the bore was closed."}, []string{"CERRADA 2026-11-24 08:00 UTC-07:00"}},
}

func TestEveryStateOfABore(t *testing.T) {
	for _, state := range states {
		t.Run(state.name, func(t *testing.T) {
			w := begun(t)
			state.to(w)
			for lang, want := range map[string][]string{"en": state.en, "es": state.es} {
				d := w.document(lang)
				first := text(t, pdf(t, d), "-l", "1")
				wants(t, lang+" page one", first, want...)
				if at := strings.Index(first, plain(want[0])); at > 60 {
					t.Errorf("%s: %q comes after %d letters; it is to be read first", lang, want[0], at)
				}
				page := html(t, d)
				for _, p := range want {
					if !strings.Contains(page, p) {
						t.Errorf("%s HTML does not say %q", lang, p)
					}
				}
				if state.name != "ready" && strings.Contains(first, "READY TO DRILL") {
					t.Error("page one says READY TO DRILL")
				}
			}
		})
	}
}

// Everything with a number that page one is for can be read off it.
func TestPageOneHasEveryNumber(t *testing.T) {
	w := begun(t)
	w.release(bore)
	d := w.document("en")
	for _, page := range paper.Pages() {
		d.Paper = page
		first := text(t, pdf(t, d), "-l", "1", "-layout")
		wants(t, string(page), first, "OR-4", "Otter Run", "America/Phoenix", fmt.Sprintf("%d rules held", w.held(bore)),
			"2026-11-24 17:00 UTC-07:00", strconv.FormatInt(d.Version, 10)+", the last is number "+strconv.FormatInt(d.Last, 10),
			"Nothing was waived. Nothing was loosened.", d.Rules.Revision[:4]+" "+d.Rules.Revision[4:8], "page 1 of")
		if len(d.Gear) < 4 || len(d.Signatures) != 2 {
			t.Fatalf("%d pieces of gear, %d signatures", len(d.Gear), len(d.Signatures))
		}
		for _, v := range d.Gear {
			wants(t, string(page), first, v.Label+" "+v.Shown)
		}
		for _, s := range d.Signatures {
			wants(t, string(page), first, s.By.Name, s.Meaning, "2026-11-24 08:00 UTC-07:00 "+strconv.FormatInt(s.Record, 10))
		}
		limits := 0
		for _, l := range d.Limits {
			if l.Release {
				limits++
				wants(t, string(page), first, l.Title+" "+l.Shown)
			}
		}
		if limits < 30 {
			t.Errorf("only %d limits", limits)
		}
	}
}

func TestEveryPageSaysWhatItIs(t *testing.T) {
	w := begun(t)
	w.release(bore)
	d := w.document("en")
	for page, size := range map[paper.Page]string{paper.Letter: "612 x 792 pts (letter)", paper.A4: "595.28 x 841.89 pts (A4)", "": "(letter)"} {
		d.Paper = page
		raw := pdf(t, d)
		info := plain(poppler(t, raw, "pdfinfo", "FILE"))
		wants(t, "pdfinfo", info, "Title: Record of bore OR-4", size, "CreationDate: Tue Nov 24 15:00:00 2026 UTC")
		_, rest, _ := strings.Cut(info, "Pages: ")
		n, err := strconv.Atoi(strings.Fields(rest)[0])
		if err != nil || n < 5 || n > 12 {
			t.Fatalf("%d pages: %v", n, err)
		}
		for i := 1; i <= n; i++ {
			at := strconv.Itoa(i)
			wants(t, "page "+at, text(t, raw, "-f", at, "-l", at),
				"OR-4 record "+strconv.FormatInt(d.Last, 10)+" checkpoint "+d.Checkpoint.Short, "page "+at+" of "+strconv.Itoa(n))
		}
	}
}

func TestTheWholeRecordIsThere(t *testing.T) {
	w := begun(t)
	w.release(bore)
	w.must(w.engine.Report(t.Context(), bore, w.crew.Said(w.hand), "interference", "readings jump at rod 9"))
	d := w.document("en")
	all := text(t, pdf(t, d), "-layout")
	for _, f := range d.Frequencies {
		for _, m := range f.Marks {
			wants(t, f.Shown, all, m.Reading, m.Expanded.Shown, m.Tolerance.Shown)
		}
		if f.Doubt == nil || f.Deepest != nil {
			t.Fatalf("interference takes the background away, and with it how deep is good, not the doubt: %+v", f)
		}
		wants(t, f.Shown, all, f.Doubt.Shown)
	}
	if len(d.Crossings) != 1 || d.Crossings[0].Needed == nil {
		t.Fatalf("%+v", d.Crossings)
	}
	wants(t, "crossing", all, "gas main", d.Crossings[0].Available.Shown, d.Crossings[0].Contact.Shown)
	if len(d.Timeline) != int(d.Version) {
		t.Errorf("%d entries, %d records", len(d.Timeline), d.Version)
	}
	for _, e := range d.Timeline {
		wants(t, "timeline", all, strconv.FormatInt(e.Record, 10)+" 2026-11-24 08:00:00")
	}
	wants(t, "timeline", all, "Reported: interference", "readings jump at rod 9", "RELEASE VOID: something was reported", "HELD: nobody drills")
	wants(t, "check", all, d.Checkpoint.Root, "sum "+d.Seal().Sum)
}

func TestSameLedgerSameBytes(t *testing.T) {
	w := begun(t)
	w.release(bore)
	a, b := w.document("en"), w.document("en")
	first := pdf(t, a)
	for range 8 { // what differs by the order of a map differs one time in a few
		if !bytes.Equal(first, pdf(t, b)) {
			t.Fatal("two documents of one ledger differ")
		}
	}
	if html(t, a) != html(t, b) {
		t.Error("the HTML of two documents of one ledger differs")
	}
	raw, err := paper.JSON(a)
	again, err2 := paper.JSON(b)
	if err != nil || err2 != nil || !bytes.Equal(raw, again) {
		t.Error("two JSONs of one ledger differ")
	}
}

func TestJSONThereAndBack(t *testing.T) {
	w := begun(t)
	w.release(bore)
	w.must(w.engine.Show(t.Context(), bore, w.crew.Said(w.hand), ledger.File{Sum: strings.Repeat("ab", 32), Size: 12, Type: "image/png", Name: "pit.png"}))
	d := w.document("es")
	raw, err := paper.JSON(d)
	if err != nil {
		t.Fatal(err)
	}
	back, err := paper.Parse(raw)
	if err != nil || !reflect.DeepEqual(back, d) {
		t.Errorf("came back different: %v", err)
	}
	if !bytes.Equal(pdf(t, back), pdf(t, d)) {
		t.Error("the PDF of what came back differs")
	}
	wants(t, "PDF", text(t, pdf(t, back)), "pit.png", "image/png, 12 bytes")
	newer := bytes.Replace(raw, []byte(`"schema": 1,`), []byte(`"schema": 1, "a_later_field": [1, {"x": 2}],`), 1)
	if _, err := paper.Parse(newer); err != nil || bytes.Equal(newer, raw) {
		t.Errorf("a field of a later version: %v", err)
	}
	for _, bad := range []string{"", "{}", "[]", `{"schema": 2}`} {
		if _, err := paper.Parse([]byte(bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
	if !json.Valid(raw) || len(d.Stored) != int(d.Version) {
		t.Errorf("%d stored records, want %d", len(d.Stored), d.Version)
	}
}

// A document is refused, not made up, when its parts do not belong together.
func TestPartsThatDoNotBelongTogether(t *testing.T) {
	w := begun(t)
	board, err := w.engine.Board(t.Context(), bore)
	if err != nil {
		t.Fatal(err)
	}
	_, note := w.store.Checkpoint()
	good := paper.Source{
		Board: &board, Catalogue: w.engine.Catalogue(""), Checkpoint: note,
		Name: func(string) (string, time.Time) { return "", time.Time{} },
	}
	err = w.store.Bore(t.Context(), bore, 1, func(r ledger.Record) error { good.Records = append(good.Records, r); return nil })
	if err != nil {
		t.Fatal(err)
	}
	if _, err := paper.Build(good); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(s *paper.Source){
		"no board":         func(s *paper.Source) { s.Board = nil },
		"no names":         func(s *paper.Source) { s.Name = nil },
		"no records":       func(s *paper.Source) { s.Records = nil },
		"another bore":     func(s *paper.Source) { b := board; b.Bore = "OR-5"; s.Board = &b },
		"a later board":    func(s *paper.Source) { b := board; b.Ver++; s.Board = &b },
		"no checkpoint":    func(s *paper.Source) { s.Checkpoint = nil },
		"other checkpoint": func(s *paper.Source) { s.Checkpoint = []byte("x\n1\nAAAA\n\n") },
		"older checkpoint": func(s *paper.Source) {
			s.Checkpoint = bytes.Replace(note, []byte("\n"+strconv.FormatInt(board.Seq+1, 10)+"\n"), []byte("\n1\n"), 1)
		},
	} {
		s := good
		spoil(&s)
		if _, err := paper.Build(s); err == nil {
			t.Errorf("%s: built", name)
		}
	}
}
