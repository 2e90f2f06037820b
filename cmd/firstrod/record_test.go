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
	"firstrod/engine/enginetest"
)

// releasedAt is a data folder with a bore that was released at a time.
func releasedAt(t *testing.T, at time.Time) string {
	t.Helper()
	dir := t.TempDir()
	book, _, err := (&app{}).inForce(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	clock := func() time.Time { return at }
	store, err := boltstore.Open(dir, boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: store, Registry: store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	if turn, err := (&enginetest.Crew{Engine: e}).Release(t.Context(), "OR-4"); err != nil || turn.Record.Release == nil {
		t.Fatalf("not released: %v", err)
	}
	return dir
}

// The end of a release makes no record; a file made after it does not say READY all
// the same.
func TestARecordMadeAfterTheEndOfARelease(t *testing.T) {
	for name, c := range map[string]struct {
		ago       time.Duration
		says, not string
	}{
		"while it stands": {time.Minute, "<strong>READY TO DRILL until", "its time is up"},
		"two days later":  {48 * time.Hour, "Release void: its time is up.", "<strong>READY"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := releasedAt(t, time.Now().Add(-c.ago))
			out := filepath.Join(t.TempDir(), "r.html")
			var errs bytes.Buffer
			if code := run(context.Background(), []string{"record", "OR-4", "--data", dir, "--out", out}, streams{strings.NewReader(""), &errs, &errs}); code != exitFine {
				t.Fatalf("exit %d: %s", code, errs.String())
			}
			page, err := os.ReadFile(out)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(page), c.says) || strings.Contains(string(page), c.not) {
				t.Errorf("the page must say %q and not %q", c.says, c.not)
			}
		})
	}
}
