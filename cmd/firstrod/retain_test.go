package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// Years later the name and the evidence go, by rule and with a record of it, in the
// files and not only in the list; a legal hold keeps both; the ledger stays whole.
func TestRetentionYearsLater(t *testing.T) {
	dir := releasedAt(t, time.Now().AddDate(-9, 0, 0))
	sum := closedWithEvidence(t, dir, time.Now().AddDate(-8, 0, 0))
	config := filepath.Join(t.TempDir(), "config.yaml")
	if err := os.WriteFile(config, []byte("retention:\n  names: 7\n  evidence: 7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	did := func(want int, args ...string) string {
		t.Helper()
		var out bytes.Buffer
		args = append(args, "--data", dir, "--config", config)
		if code := run(context.Background(), args, streams{strings.NewReader(""), &out, &out}); code != want {
			t.Fatalf("%v: exit %d, want %d: %s", args, code, want, out.String())
		}
		return out.String()
	}
	file := filepath.Join(dir, "evidence", sum)
	names := peopleOf(t, dir)
	if out := did(exitFine, "retain"); !strings.Contains(out, "PAST ITS TIME: 1 files of evidence of bore OR-4") || !strings.Contains(out, "Nothing was removed") {
		t.Error(out)
	}
	did(exitFine, "legal-hold", "OR-4", "--by", "Ann Wells", "--why", "a claim")
	if out := did(exitFine, "retain", "--apply", "--by", "Ann Wells"); !strings.Contains(out, "LEGAL HOLD, stays: 1 files") || strings.Contains(out, "REMOVED: 1 files") {
		t.Error(out)
	}
	if _, err := os.Stat(file); err != nil {
		t.Fatal("evidence under a legal hold is gone", err)
	}
	did(exitFine, "legal-hold", "OR-4", "--release", "--by", "Ann Wells", "--why", "settled")
	did(exitFine, "legal-hold", "OR-4", "--release", "--by", "Bo Lind", "--why", "settled")
	if out := did(exitFine, "retain", "--apply", "--by", "Ann Wells"); !strings.Contains(out, "REMOVED: 1 files of evidence of bore OR-4") {
		t.Error(out)
	}
	if _, err := os.Stat(file); err == nil {
		t.Error("the evidence is still there")
	}
	raw, err := os.ReadFile(filepath.Join(dir, "ledger.db"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if bytes.Contains(raw, []byte(n)) {
			t.Errorf("the file still has %q", n)
		}
	}
	if out := did(exitFine, "verify"); !strings.Contains(out, "Names erased") {
		t.Error(out)
	}
	did(exitFine, "prove", "OR-4", "--out", filepath.Join(t.TempDir(), "p.zip"), "--evidence")
	page := filepath.Join(t.TempDir(), "r.html")
	did(exitFine, "record", "OR-4", "--out", page)
	if html, err := os.ReadFile(page); err != nil || !bytes.Contains(html, []byte("name erased")) {
		t.Errorf("the record does not say that names were erased: %v", err)
	}
	if out := did(exitFine, "retain"); !strings.Contains(out, "Nothing is past its time") {
		t.Error(out)
	}
}

// peopleOf lists the names in a data folder.
func peopleOf(t *testing.T, dir string) (names []string) {
	t.Helper()
	s, err := boltstore.Open(dir, boltstore.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.People(t.Context(), func(r ledger.Record) error {
		name, ok, err := s.Private(t.Context(), r.Person.ID)
		if ok {
			names = append(names, name)
		}
		return err
	})
	if err != nil || len(names) < 2 {
		t.Fatal(names, err)
	}
	return names
}

// closedWithEvidence shows a picture on OR-4 at a time, and closes the bore.
func closedWithEvidence(t *testing.T, dir string, at time.Time) (sum string) {
	t.Helper()
	s, err := boltstore.Open(dir, boltstore.Options{Clock: func() time.Time { return at }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f, err := s.Keep(t.Context(), "mark.png", strings.NewReader("\x89PNG\r\n\x1a\n and so on"))
	if err != nil {
		t.Fatal(err)
	}
	var last ledger.Record
	if err := s.Bore(t.Context(), "OR-4", 1, func(r ledger.Record) error { last = r; return nil }); err != nil {
		t.Fatal(err)
	}
	r := ledger.Record{V: 1, Key: "shown", Kind: ledger.KindShown, At: at.UTC(), Bore: "OR-4", Ver: last.Ver + 1, By: last.By, Shown: []ledger.File{f}}
	if _, err := s.Append(t.Context(), ledger.Entry{Record: r}); err != nil {
		t.Fatal(err)
	}
	r = ledger.Record{V: 1, Key: "close", Kind: ledger.KindClose, At: at.UTC(), Bore: "OR-4", Ver: last.Ver + 2, By: last.By, State: string(engine.Closed), Void: engine.VoidClosed}
	if _, err := s.Append(t.Context(), ledger.Entry{Record: r}); err != nil {
		t.Fatal(err)
	}
	return f.Sum
}
