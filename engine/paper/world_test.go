package paper_test

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"os/exec"
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

const bore = "OR-4"

// world is a real engine on real rules and a real store, and a simulated crew.
type world struct {
	t      *testing.T
	now    time.Time
	store  *boltstore.Store
	engine *engine.Engine
	crew   *enginetest.Crew
	hand   ledger.Actor
	driver ledger.Actor
}

// begun is a world in which a bore is open.
func begun(t *testing.T) *world {
	t.Helper()
	w := &world{t: t, now: time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC)}
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Load(t.Context(), base, rules.Options{Layer: "base"})
	if err != nil {
		t.Fatal(err)
	}
	clock := func() time.Time { return w.now }
	w.store, err = boltstore.Open(t.TempDir(), boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.store.Close() })
	w.engine, err = engine.New(t.Context(), engine.Config{Rules: engine.Everywhere(set), Store: w.store, Registry: w.store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	w.crew = &enginetest.Crew{Engine: w.engine, Say: map[string]string{}}
	w.open(bore)
	return w
}

func (w *world) open(name string) {
	w.t.Helper()
	var err error
	if w.hand, w.driver, err = w.crew.Open(w.t.Context(), name); err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) answer(name string, gate engine.Gate) {
	w.t.Helper()
	if err := w.crew.AnswerAll(w.t.Context(), name, w.hand, gate); err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) release(name string) {
	w.t.Helper()
	w.answer(name, engine.GateRelease)
	turn, err := w.crew.Sign(w.t.Context(), name, w.hand, w.driver)
	if err != nil || turn.Record.Release == nil {
		w.t.Fatalf("not released: %v", err)
	}
}

// held is how many rules the release of a bore stands on.
func (w *world) held(name string) int {
	w.t.Helper()
	b, err := w.engine.Board(w.t.Context(), name)
	if err != nil || b.Release == nil {
		w.t.Fatalf("no release: %v", err)
	}
	return b.Release.Checks
}

// must is for turns that only have to work.
func (w *world) must(_ engine.Turn, err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) document(lang string) paper.Document {
	w.t.Helper()
	d, err := paper.Of(w.t.Context(), w.engine, w.store, bore, lang)
	if err != nil {
		w.t.Fatal(err)
	}
	return d
}

func pdf(t *testing.T, d paper.Document) []byte {
	t.Helper()
	raw, err := paper.PDF(context.Background(), d)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func html(t *testing.T, d paper.Document) string {
	t.Helper()
	raw, err := paper.HTML(context.Background(), d)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// poppler runs one of its programs on a PDF: the independent reader of these tests
// (Debian package poppler-utils). FILE stands for the PDF.
func poppler(t *testing.T, raw []byte, program string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		if os.Getenv("FIRSTROD_REAL") == "1" {
			t.Fatal(program + " is not installed (Debian package poppler-utils)")
		}
		t.Skip(program + " is not installed (Debian package poppler-utils)")
	}
	file := filepath.Join(t.TempDir(), "record.pdf")
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = file
		}
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil || errs.Len() > 0 {
		t.Fatalf("%s: %v: %s", program, err, errs.String())
	}
	return out.String()
}

// text is what stands on some pages, with plain spaces.
func text(t *testing.T, raw []byte, args ...string) string {
	t.Helper()
	return plain(poppler(t, raw, "pdftotext", append(args, "FILE", "-")...))
}

func squeezed(s string) string { return strings.Join(strings.Fields(s), "") }

func plain(s string) string { return strings.Join(strings.Fields(s), " ") }

// wants looks for texts. Spaces do not count: how wide one must be to be one is
// something that readers of PDF differ in.
func wants(t *testing.T, where, all string, parts ...string) {
	t.Helper()
	all = squeezed(all)
	for _, p := range parts {
		if !strings.Contains(all, squeezed(p)) {
			t.Errorf("%s does not say %q", where, p)
		}
	}
}
