package witness

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

func (y *yard) ask(l *log, size, since int64) (string, error) {
	return Cosign(context.Background(), Ask{
		URL: y.http.URL + "/", Witness: y.key.Key(), Note: l.at(size), Since: since, Hashes: l, HTTP: y.http.Client(),
	})
}

// TestCosign: the client finds its way to a cosignature wherever the witness stands.
func TestCosign(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefghij")...)
	y := newYard(t, l.public)
	policy, err := ParsePolicy(fmt.Appendf(nil, "log %s\nwitness yard %s\nquorum yard\n", l.public, mustKey(t)))
	if err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct{ size, since int64 }{{3, 0}, {5, 3}, {7, 0}, {7, 2}, {8, 99}, {10, 8}} {
		line, err := y.ask(l, step.size, step.since)
		if err != nil {
			t.Fatalf("%+v: %v", step, err)
		}
		if who, err := policy.Check(Merge(l.at(step.size), []string{line})); err != nil || who != "yard at 2026-03-02 07:00:00Z" {
			t.Errorf("%+v: %q, %v", step, who, err)
		}
	}
	if _, err := y.ask(l, 6, 10); !errors.Is(err, ErrAhead) {
		t.Errorf("rolled back: %v", err)
	}
	fork := newLog(t, 1).grow(letters("abcdeXghijk")...)
	if _, err := y.ask(fork, 11, 10); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), "422") {
		t.Errorf("forked: %v", err)
	}
	if _, err := y.ask(newLog(t, 2).grow("a"), 1, 0); !errors.Is(err, ErrRefused) {
		t.Errorf("another key: %v", err)
	}
}

func mustKey(t *testing.T) string {
	_, _, public := cosigner(t, 7, "yard.example/witness")
	return public
}

// TestCosignBadWitness: whatever a witness answers, only a good cosignature of the
// wanted key is taken.
func TestCosignBadWitness(t *testing.T) {
	l := newLog(t, 1).grow("a", "b", "c")
	key, _, _ := cosigner(t, 7, "yard.example/witness")
	other, _, _ := cosigner(t, 8, "yard.example/witness")
	text, _ := textOf(l.at(3))
	for name, c := range map[string]struct {
		do   http.HandlerFunc
		want error
	}{
		"nothing":         {func(http.ResponseWriter, *http.Request) {}, ErrNoAnswer},
		"words":           {func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "fine") }, ErrNoAnswer},
		"another key":     {func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, other.line([]byte(text), now)) }, ErrNoAnswer},
		"over other text": {func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, key.line([]byte("x\n"), now)) }, ErrNoAnswer},
		"sizes for ever": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/x.tlog.size")
			w.WriteHeader(http.StatusConflict)
			fmt.Fprint(w, "1\n")
		}, ErrNoAnswer},
		"no size": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/x.tlog.size")
			w.WriteHeader(http.StatusConflict)
			fmt.Fprint(w, "many\n")
		}, ErrNoAnswer},
		"endless": {func(w http.ResponseWriter, _ *http.Request) {
			for range 4096 {
				fmt.Fprint(w, strings.Repeat("x", 1024))
			}
		}, ErrNoAnswer},
		"broken": {func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "no", http.StatusInternalServerError) }, ErrRefused},
	} {
		t.Run(name, func(t *testing.T) {
			srv := httptest.NewServer(c.do)
			defer srv.Close()
			defer srv.Client().CloseIdleConnections()
			_, err := Cosign(t.Context(), Ask{URL: srv.URL, Witness: key.Key(), Note: l.at(3), Hashes: l, HTTP: srv.Client()})
			if !errors.Is(err, c.want) {
				t.Errorf("%v, want %v", err, c.want)
			}
		})
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	block := make(chan struct{})
	srv := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { <-block }))
	defer srv.Close()
	defer close(block)
	if _, err := Cosign(ctx, Ask{URL: srv.URL, Witness: key.Key(), Note: l.at(3), Hashes: l, HTTP: srv.Client()}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("a silent witness: %v", err)
	}
}

func TestMerge(t *testing.T) {
	p := newPanel(t)
	msg := p.signed(0, 1)
	text, _ := textOf(msg)
	again := Merge(msg, []string{p.who[0].line([]byte(text), now.Add(time.Minute))})
	if n := strings.Count(string(again), "— "); n != 3 {
		t.Errorf("%d signatures:\n%s", n, again)
	}
	if string(Merge([]byte("hello"), []string{"x"})) != "hello" {
		t.Error("what is no note is left alone")
	}
}
