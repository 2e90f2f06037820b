package desk

import (
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
)

// signings is one publisher's work: the first and second rules, the third with a
// slip in it, and the first again with other files.
type signings struct{ first, second, slip, other []byte }

func sign(t *testing.T) signings {
	t.Helper()
	var all signings
	dir := newFolder(t)
	publish(t, dir, "first")
	all.first, _ = seal(t, dir)
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 45 ft\n")
	publish(t, dir, "second")
	all.second, _ = seal(t, dir)
	write(t, filepath.Join(dir, "base/params.yaml"), "BAD\n")
	publish(t, dir, "third")
	all.slip, _ = seal(t, dir)
	dir = newFolder(t)
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 1 ft\n")
	publish(t, dir, "first of another")
	all.other, _ = seal(t, dir)
	return all
}

func unsigned(t *testing.T, bundle []byte) []byte {
	t.Helper()
	all := parts(t, bundle)
	i := at(all, manifestName)
	blob, err := pack(append(all[:i:i], all[i+1:]...))
	if err != nil {
		t.Fatal(err)
	}
	return blob
}

// counted counts what is accepted as new, and what is only loaded.
type counted struct{ accepted, loaded int }

func (n *counted) loading() Loading {
	return Loading{
		Accept: func(ctx context.Context, c Candidate) (engine.Rulebook, error) { n.accepted++; return loads(ctx, c) },
		Load:   func(ctx context.Context, c Candidate) (engine.Rulebook, error) { n.loaded++; return loads(ctx, c) },
	}
}

// What a program begins with, by what it has kept and what the server gives.
func TestBegin(t *testing.T) {
	all := sign(t)
	gives := func(bundle []byte) http.HandlerFunc {
		return func(w http.ResponseWriter, _ *http.Request) { w.Write(bundle) }
	}
	status := func(n int) http.HandlerFunc {
		return func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(n) }
	}
	hangs := func(_ http.ResponseWriter, r *http.Request) { <-r.Context().Done() }
	damaged := append([]byte("x"), all.second...)
	damaged = damaged[:len(damaged)/2]
	const stays = "; the kept rules stay in force, publication 1 by Alma Ruiz of 2026-03-04 12:01 UTC"
	for name, c := range map[string]struct {
		kept   []byte
		server http.HandlerFunc
		serial int64    // 0: nothing may be judged
		says   []string // beginnings or ends
		keeps  []byte
		tried  counted
	}{
		"nothing kept":              {nil, gives(all.first), 1, nil, all.first, counted{1, 0}},
		"nothing kept, dead":        {nil, status(503), 0, []string{"answers 503"}, nil, counted{}},
		"nothing kept, not signed":  {nil, gives(unsigned(t, all.first)), 0, []string{"not signed"}, nil, counted{}},
		"nothing kept, and a slip":  {nil, gives(all.slip), 0, []string{"BAD"}, nil, counted{1, 0}},
		"the same":                  {all.first, gives(all.first), 1, nil, all.first, counted{0, 1}},
		"newer":                     {all.first, gives(all.second), 2, []string{"Rules 2 are in force, published by Alma Ruiz: second"}, all.second, counted{1, 0}},
		"dead":                      {all.first, status(503), 1, []string{"were not given: the server answers 503" + stays}, all.first, counted{0, 1}},
		"silent":                    {all.first, hangs, 1, []string{"did not come within 300ms" + stays}, all.first, counted{0, 1}},
		"not signed":                {all.first, gives(unsigned(t, all.second)), 1, []string{"is not used: this bundle is not signed: it has no manifest.note" + stays}, all.first, counted{0, 1}},
		"newer, and a slip":         {all.first, gives(all.slip), 1, []string{"base/params.yaml:1: BAD is no word" + stays}, all.first, counted{1, 1}},
		"other files of one serial": {all.first, gives(all.other), 1, []string{"publication 1 is in use with other files" + stays}, all.first, counted{0, 1}},
		"older": {all.second, gives(all.first), 2, []string{
			"publication 1 is older than 2, which has been in force; the kept rules stay in force, publication 2 by Alma Ruiz of 2026-03-04 12:02 UTC"}, all.second, counted{0, 1}},
		"damaged": {damaged, gives(all.second), 2, []string{"rules.bundle cannot be used: this is not an archive of rules, or a part of it is missing; publication 2 by Alma Ruiz was fetched and put in its place"},
			all.second, counted{1, 0}},
		"damaged, and dead":       {damaged, status(503), 0, []string{"rules.bundle cannot be used", "the server answers 503"}, damaged, counted{}},
		"damaged, and a slip":     {damaged, gives(all.slip), 0, []string{"rules.bundle cannot be used", "BAD"}, damaged, counted{1, 0}},
		"kept ones do not load":   {all.slip, status(503), 0, []string{"BAD", "the server answers 503"}, all.slip, counted{0, 1}},
		"damaged, and not signed": {damaged, gives(unsigned(t, all.second)), 0, []string{"rules.bundle cannot be used", "not signed"}, damaged, counted{}},
	} {
		t.Run(name, func(t *testing.T) {
			srv := serve(t, nil)
			srv.be(c.server)
			keep := filepath.Join(t.TempDir(), "rules.bundle")
			if c.kept != nil {
				write(t, keep, string(c.kept))
			}
			tried, began := counted{}, time.Now()
			o, err := Begin(t.Context(), webFor(t, srv.URL, keep), tried.loading())
			if took := time.Since(began); took > 5*time.Second || srv.times() != 1 {
				t.Errorf("%s, asked %d times", took, srv.times())
			}
			if c.serial == 0 {
				if err == nil {
					t.Fatal("nothing may be judged by these")
				}
				say, hint := inWords(err)
				if hint == "" {
					t.Error("no hint")
				}
				for _, want := range c.says {
					if !strings.Contains(say, want) {
						t.Errorf("%q lacks %q", say, want)
					}
				}
			} else {
				if err != nil || o.Rulebook.(*book).serial != c.serial || o.Publication.Serial != c.serial {
					t.Fatalf("%+v, %v", o, err)
				}
				if words := o.Words(noon); len(words) != len(c.says) || len(words) == 1 && !strings.HasSuffix(words[0], c.says[0]) {
					t.Errorf("said %q, want %q", words, c.says)
				}
			}
			if got, err := os.ReadFile(keep); string(got) != string(c.keeps) {
				t.Errorf("kept is another file, %v", err)
			}
			if tried != c.tried {
				t.Errorf("accepted and loaded %+v, want %+v", tried, c.tried)
			}
		})
	}
}

// Somebody who stops the program while the server is being asked has not chosen the
// old rules.
func TestBeginIsStopped(t *testing.T) {
	all := sign(t)
	keep := filepath.Join(t.TempDir(), "rules.bundle")
	write(t, keep, string(all.first))
	ctx, stop := context.WithCancel(t.Context())
	srv := serve(t, nil)
	srv.be(func(_ http.ResponseWriter, r *http.Request) { stop(); <-r.Context().Done() })
	tried := counted{}
	if _, err := Begin(ctx, webFor(t, srv.URL, keep), tried.loading()); !errors.Is(err, context.Canceled) || tried != (counted{}) {
		t.Errorf("%v, %+v", err, tried)
	}
}

// A broken promise is said at the start, and no promise is taken back by playing an
// earlier signing of the same rules.
func TestBeginWithABrokenPromise(t *testing.T) {
	dir, keep := newFolder(t), filepath.Join(t.TempDir(), "rules.bundle")
	publish(t, dir, "first")
	plain, _ := seal(t, dir)
	srv := serve(t, nil)
	begin := func(bundle []byte, etag string, want time.Time) Opening {
		t.Helper()
		srv.give(bundle, etag)
		o, err := Begin(t.Context(), webFor(t, srv.URL, keep), (&counted{}).loading())
		if err != nil || !o.RenewBy.Equal(want) || o.Unused != nil {
			t.Errorf("%+v, %v", o, err)
		}
		return o
	}
	begin(plain, `"1"`, time.Time{})
	begin(promised(t, dir, day(5)), `"2"`, day(5))
	begin(plain, `"1"`, day(5))
	begin(promised(t, dir, day(8)), `"3"`, day(8))
	o := begin(promised(t, dir, day(5)), `"2"`, day(8))
	if words := o.Words(day(9)); len(words) != 0 {
		t.Errorf("%q", words)
	}
	words := o.Words(day(20))
	if len(words) != 1 || !strings.Contains(words[0], "Rules 1 were to be signed anew by 2026-03-08") || !strings.Contains(words[0], "block no less than before") {
		t.Errorf("%q", words)
	}
}
