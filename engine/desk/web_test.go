package desk

import (
	"context"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
)

// server gives a bundle as a plain server would, with an ETag, until a test has
// it behave otherwise.
type server struct {
	*httptest.Server
	mu     sync.Mutex
	bundle []byte
	etag   string
	odd    http.HandlerFunc // nil: behave
	asked  int
	whole  int // answers with a bundle
}

func serve(t *testing.T, bundle []byte) *server {
	t.Helper()
	s := &server{bundle: bundle, etag: `"1"`}
	s.Server = httptest.NewServer(s)
	t.Cleanup(s.Close)
	return s
}

func (s *server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	odd, bundle, etag := s.odd, s.bundle, s.etag
	s.asked++
	s.mu.Unlock()
	if odd != nil {
		odd(w, r)
		return
	}
	w.Header().Set("ETag", etag)
	if r.Header.Get("If-None-Match") == etag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	s.mu.Lock()
	s.whole++
	s.mu.Unlock()
	w.Write(bundle)
}

func (s *server) be(odd http.HandlerFunc) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.odd = odd
}

func (s *server) give(bundle []byte, etag string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bundle, s.etag, s.odd = bundle, etag, nil
}

// times is how often the server was asked, also where no answer came of it.
func (s *server) times() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.asked
}

func webFor(t *testing.T, url, keep string) *Web {
	t.Helper()
	_, v := keyPair(t, yard)
	w, err := NewWeb(WebConfig{URL: url, Key: v, Copy: keep, Timeout: 300 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestTheWebGivesWhatItHas(t *testing.T) {
	bundle, want := sealed(t)
	s := serve(t, bundle)
	w := webFor(t, s.URL, filepath.Join(t.TempDir(), "rules.bundle"))
	for range 3 {
		c, err := w.Read(t.Context())
		if err != nil || c.Sum != want.Sum || !c.Published || c.From != s.URL {
			t.Fatalf("%+v, %v", c, err)
		}
	}
	if s.asked != 3 || s.whole != 1 {
		t.Errorf("asked %d times, the bundle came %d times", s.asked, s.whole)
	}
	if _, err := w.Kept(t.Context()); engine.KindOf(err) != engine.NotFound {
		t.Errorf("kept before it was in force: %v", err)
	}
}

func TestServersThatBehaveBadly(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	t.Run("", func(t *testing.T) {
		bundle, _ := sealed(t)
		elsewhere := serve(t, bundle)
		for name, c := range map[string]struct {
			odd  http.HandlerFunc
			kind engine.Failure
			say  string
		}{
			"truncated": {func(w http.ResponseWriter, _ *http.Request) {
				w.Header().Set("Content-Length", fmt.Sprint(len(bundle)))
				w.Write(bundle[:len(bundle)/2])
			}, engine.Storage, "could not be fetched"},
			"cut, and silent about it": {func(w http.ResponseWriter, _ *http.Request) { w.Write(bundle[:len(bundle)/2]) },
				engine.Rules, "a part of it is missing"},
			"a byte now and then": {func(w http.ResponseWriter, r *http.Request) {
				for _, b := range bundle {
					w.Write([]byte{b})
					http.NewResponseController(w).Flush()
					select {
					case <-time.After(20 * time.Millisecond):
					case <-r.Context().Done():
						return
					}
				}
			}, engine.Storage, "did not come within 300ms"},
			"silence": {func(_ http.ResponseWriter, r *http.Request) { <-r.Context().Done() },
				engine.Storage, "did not come within 300ms"},
			"round and round": {func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, r.URL.Path+"x", http.StatusFound) },
				engine.Rules, "on and on"},
			"to another host": {func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, elsewhere.URL, http.StatusFound) },
				engine.Rules, "to another host"},
			"to the disk": {func(w http.ResponseWriter, r *http.Request) {
				w.Header().Set("Location", "file:///etc/passwd")
				w.WriteHeader(302)
			},
				engine.Rules, "to another host"},
			"a page": {func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "<html>please sign in</html>") },
				engine.Rules, "not an archive"},
			"nothing":             {func(http.ResponseWriter, *http.Request) {}, engine.Rules, "not an archive"},
			"a fault":             {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(500) }, engine.Storage, "answers 500"},
			"gone":                {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(404) }, engine.Storage, "answers 404"},
			"a part":              {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(206); w.Write(bundle) }, engine.Storage, "answers 206"},
			"as before, at first": {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(304) }, engine.Storage, "answers 304"},
			"a huge body it tells of": {func(w http.ResponseWriter, _ *http.Request) {
				w.Header().Set("Content-Length", fmt.Sprint(1<<40))
				w.Write(bundle)
			}, engine.Rules, "larger than 17 MiB"},
			"a huge body": {func(w http.ResponseWriter, r *http.Request) {
				block := make([]byte, 1<<20)
				for r.Context().Err() == nil {
					if _, err := w.Write(block); err != nil {
						return
					}
				}
			}, engine.Rules, "larger than 17 MiB"},
			"compressed": {func(w http.ResponseWriter, _ *http.Request) {
				w.Header().Set("Content-Encoding", "gzip")
				w.Write([]byte{0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 0xff})
			}, engine.Rules, "not an archive"},
			"another line": {func(w http.ResponseWriter, _ *http.Request) {
				c, _, err := http.NewResponseController(w).Hijack()
				if err == nil {
					io.WriteString(c, "220 mail.example ready\r\n")
					c.Close()
				}
			}, engine.Storage, "could not be fetched"},
		} {
			t.Run(name, func(t *testing.T) {
				s := serve(t, bundle)
				s.be(c.odd)
				w := webFor(t, s.URL, filepath.Join(t.TempDir(), "rules.bundle"))
				if name == "a huge body" {
					w.cfg.Timeout = time.Minute // the size is to end it, not the clock
				}
				_, err := w.Read(t.Context())
				fails(t, err, c.kind, c.say)
				s.be(nil)
				if _, err := w.Read(t.Context()); err != nil {
					t.Errorf("and then: %v", err)
				}
			})
		}
		if elsewhere.asked != 0 {
			t.Error("it went to another host")
		}
	})
}

func TestARedirectOnTheSameHost(t *testing.T) {
	bundle, _ := sealed(t)
	s := serve(t, bundle)
	s.be(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/new" {
			w.Write(bundle)
			return
		}
		http.Redirect(w, r, "/new", http.StatusMovedPermanently)
	})
	if _, err := webFor(t, s.URL+"/old", "x").Read(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestNoAddress(t *testing.T) {
	_, v := keyPair(t, yard)
	for _, u := range []string{"", "rules.zip", "file:///etc/passwd", "ftp://a/b", "https://", "https://me:secret@a/b", "http://[", "https:a/b"} {
		_, err := NewWeb(WebConfig{URL: u, Key: v, Copy: "x"})
		fails(t, err, engine.Usage, "not an address")
	}
	for _, c := range []WebConfig{{URL: "https://a/b", Copy: "x"}, {URL: "https://a/b", Key: v}} {
		_, err := NewWeb(c)
		fails(t, err, engine.Usage, "need a key")
	}
	untrusted := httptest.NewTLSServer(http.NotFoundHandler())
	untrusted.Config.ErrorLog = log.New(io.Discard, "", 0)
	defer untrusted.Close()
	for u, say := range map[string]string{
		"http://127.0.0.1:1/x": "could not be fetched: nobody answers there", "http://rules.invalid/x": "could not be fetched: the name of the server",
		untrusted.URL: "could not be fetched: the certificate",
	} {
		w := webFor(t, u, "x")
		w.cfg.Timeout = time.Minute // a machine without a network may think about a name for long
		_, err := w.Read(t.Context())
		fails(t, err, engine.Storage, say)
	}
}

// webStand is a desk on the web; its folder is where the publisher works.
func webStand(t *testing.T, s *server, keep, dir string) *stand {
	return newStand(t, dir, func(c *Config) { c.Source, c.Every = webFor(t, s.URL, keep), time.Minute })
}

// A desk on the web: newer rules come in, older and broken ones do not, the last
// good ones outlive a restart without a network, and their serial does too.
func TestADeskOnTheWeb(t *testing.T) {
	dir, keep := newFolder(t), filepath.Join(t.TempDir(), "rules.bundle")
	publish(t, dir, "first")
	first, _ := seal(t, dir)
	srv := serve(t, first)
	s := webStand(t, srv, keep, dir)
	if err := s.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.run().inForce(1)

	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 45 ft\n")
	publish(t, dir, "second")
	second, _ := seal(t, dir)
	srv.give(second, `"2"`)
	s.looks(2)
	s.heard(InForce)
	s.inForce(2)
	srv.give(first, `"1"`)
	s.looks(3)
	if a := s.heard(Refused)[0]; !strings.Contains(a.Say, "older than 2") {
		t.Errorf("%+v", a)
	}
	srv.be(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(503) })
	s.looks(3)
	s.heard(Unreadable)
	s.inForce(2)
	srv.give(second, `"2"`)
	s.looks(2)
	s.heard(Mended)

	write(t, filepath.Join(dir, "base/params.yaml"), "BAD\n")
	publish(t, dir, "third, with a slip")
	third, _ := seal(t, dir)
	srv.give(third, `"3"`)
	s.looks(3)
	s.heard(Refused)
	s.inForce(2)

	srv.be(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(503) })
	again := webStand(t, srv, keep, dir)
	if err := again.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	again.inForce(2)
	srv.give(first, `"1"`)
	again.run().looks(3)
	again.heard(Refused)
	again.inForce(2)
}

// The copy on the disk is believed no more than the web.
func TestADamagedCopy(t *testing.T) {
	bundle, c := sealed(t)
	srv := serve(t, bundle)
	for name, damage := range map[string]func([]byte) []byte{
		"cut":        func(b []byte) []byte { return b[:len(b)/2] },
		"a byte":     func(b []byte) []byte { b[strings.Index(string(b), "30 ft")] = '9'; return b },
		"empty":      func([]byte) []byte { return nil },
		"by another": func([]byte) []byte { s, _ := keyPair(t, "somebody.else"); b, _ := Seal(c, s); return b },
	} {
		t.Run(name, func(t *testing.T) {
			keep := filepath.Join(t.TempDir(), "rules.bundle")
			write(t, keep, string(damage(append([]byte{}, bundle...))))
			if _, err := webFor(t, srv.URL, keep).Kept(t.Context()); engine.KindOf(err) != engine.Rules {
				t.Errorf("%v", err)
			}
			s := webStand(t, srv, keep, t.TempDir())
			if err := s.desk.Start(t.Context()); err != nil {
				t.Fatalf("the server could have helped: %v", err)
			}
			s.inForce(1)
			if mended, err := os.ReadFile(keep); err != nil || string(mended) != string(bundle) {
				t.Error("the copy was not made good")
			}
		})
	}
}

func TestAFullDiskKeepsTheOldRules(t *testing.T) {
	bundle, _ := sealed(t)
	srv := serve(t, bundle)
	gone := filepath.Join(t.TempDir(), "gone") // a disk that is not there any more
	if err := os.Symlink(filepath.Join(t.TempDir(), "no", "such", "disk"), gone); err != nil {
		t.Fatal(err)
	}
	s := webStand(t, srv, filepath.Join(gone, "rules.bundle"), t.TempDir())
	fails(t, s.desk.Start(context.Background()), engine.Storage, "cannot be written")
	if s.desk.Live() != nil {
		t.Error("rules are in force that a restart would not find")
	}
}

// The first fetch may come before anything else has made the data folder.
func TestTheFirstBundleMakesTheFolder(t *testing.T) {
	bundle, _ := sealed(t)
	dir := filepath.Join(t.TempDir(), "data")
	w := webFor(t, serve(t, bundle).URL, filepath.Join(dir, "rules.bundle"))
	c, err := w.Read(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Keep(t.Context(), c); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("%v, %v", info, err)
	}
}

// What was kept need not be sent again to the next run; but a note that is about
// other bytes, another address, or no ETag at all is not believed.
func TestTheETagOutlivesARun(t *testing.T) {
	bundle, _ := sealed(t)
	srv := serve(t, bundle)
	keep := filepath.Join(t.TempDir(), "rules.bundle")
	w := webFor(t, srv.URL, keep)
	fetch := func(w *Web) Candidate {
		t.Helper()
		c, err := w.Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if err := w.Keep(t.Context(), fetch(w)); err != nil {
		t.Fatal(err)
	}
	if c := fetch(webFor(t, srv.URL, keep)); srv.whole != 1 || c.From != keep {
		t.Errorf("it came %d times, %s", srv.whole, c.From)
	}
	note, err := os.ReadFile(keep + ".etag")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]func() string{
		"another address": func() string { return srv.URL + "/other" },
		"other bytes":     func() string { write(t, keep+".etag", "0"+string(note[1:])); return srv.URL },
		"a control":       func() string { write(t, keep+".etag", strings.Replace(string(note), `"1"`, "\r", 1)); return srv.URL },
		"half a note":     func() string { write(t, keep+".etag", string(note[:70])); return srv.URL },
		"no bundle": func() string {
			write(t, keep+".etag", string(note))
			write(t, keep, "damaged")
			return srv.URL
		},
	} {
		before := srv.whole
		if fetch(webFor(t, c(), keep)); srv.whole != before+1 {
			t.Errorf("%s: the bundle was not sent", name)
		}
		write(t, keep+".etag", string(note))
		write(t, keep, string(bundle))
	}
}
