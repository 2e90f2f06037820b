package desk

import (
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
)

// day is a day of the month in which these tests are.
func day(n int) time.Time { return time.Date(2026, 3, n, 0, 0, 0, 0, time.UTC) }

// promised is what was published in dir with a promise, in a bundle.
func promised(t testing.TB, dir string, renewBy time.Time) []byte {
	t.Helper()
	s, _ := keyPair(t, yard)
	c := read(t, dir)
	c.RenewBy = renewBy
	b, err := Seal(c, s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestAPromiseIsUnderTheSignature(t *testing.T) {
	dir := newFolder(t)
	publish(t, dir, "first")
	_, v := keyPair(t, yard)
	plain, _ := seal(t, dir)
	if c, err := Unseal(plain, v, "x"); err != nil || !c.RenewBy.IsZero() {
		t.Errorf("%s, %v", c.RenewBy, err)
	}
	bundle := promised(t, dir, day(5))
	if c, err := Unseal(bundle, v, "x"); err != nil || !c.RenewBy.Equal(day(5)) {
		t.Errorf("%s, %v", c.RenewBy, err)
	}
	for name, change := range map[string][2]string{
		"a later day": {"2026-03-05", "2027-03-05"}, "none": {"2026-03-05\n", ""}, "no promise": {"bundle 2", "bundle 1"},
	} {
		blob, err := pack(swap(parts(t, bundle), manifestName, change[0], change[1]))
		if err != nil {
			t.Fatal(err)
		}
		_, err = Unseal(blob, v, "x")
		fails(t, err, engine.Rules, "does not hold")
		if t.Failed() {
			t.Fatal(name)
		}
	}
	for _, text := range []string{
		"firstrod rules bundle 1\n1\na\nb\n2026-03-04T12:00:00Z\n2026-03-05\n", "firstrod rules bundle 2\n1\na\nb\n2026-03-04T12:00:00Z\n",
		"firstrod rules bundle 2\n1\na\nb\n2026-03-04T12:00:00Z\n0001-01-01\n", "firstrod rules bundle 2\n1\na\nb\n2026-03-04T12:00:00Z\n2026-3-5\n",
	} {
		if _, err := parseManifest(text); err == nil {
			t.Errorf("taken: %q", text)
		}
	}
}

func TestPromisesThatCannotBeMade(t *testing.T) {
	for text, say := range map[string]string{"": "not a day", "soon": "not a day", "2026-03-04": "not ahead", "2025-12-31": "not ahead"} {
		_, err := Promise(text, noon)
		fails(t, err, engine.Usage, say)
	}
	if got, err := Promise("2026-03-05", noon); err != nil || !got.Equal(day(5)) {
		t.Errorf("%s, %v", got, err)
	}
}

// A day is over when it is over everywhere.
func TestWhenAPromiseIsBroken(t *testing.T) {
	for _, c := range []struct {
		by, now time.Time
		want    bool
	}{
		{time.Time{}, day(30), false}, {day(5), day(5), false}, {day(5), day(6).Add(12*time.Hour - time.Second), false},
		{day(5), day(6).Add(12 * time.Hour), true}, {day(5), day(30), true},
	} {
		if overdue(c.by, c.now) != c.want {
			t.Errorf("%s at %s", c.by, c.now)
		}
	}
}

// A server that goes on giving what it gave is found out once the promise is
// broken: told once, also while the server is dead in between, and over with a later
// promise for the same rules or with newer rules. The rules stay all the while.
func TestAFrozenServer(t *testing.T) {
	dir, keep := newFolder(t), filepath.Join(t.TempDir(), "rules.bundle")
	publish(t, dir, "first")
	plain, _ := seal(t, dir)
	srv := serve(t, promised(t, dir, day(5)))
	s := webStand(t, srv, keep, dir)
	if err := s.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.run().looks(3)
	s.heard()
	s.step <- struct{}{}
	<-s.idle
	s.wait(day(6).Add(12 * time.Hour))
	s.looks(2)
	a := s.heard(Stale)[0]
	if !strings.Contains(a.Say, "Rules 1 were to be signed anew by 2026-03-05") || !strings.Contains(a.Hint, "stay in force and block no less") ||
		a.Publication.Serial != 1 {
		t.Errorf("%+v", a)
	}
	s.looks(10)
	srv.be(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(503) })
	s.looks(2)
	srv.give(plain, `"2"`) // the same without a promise is an older signing
	s.looks(4)
	s.heard(Unreadable, Mended)
	s.inForce(1)

	srv.give(promised(t, dir, day(8)), `"3"`)
	s.looks(3)
	if a := s.heard(Mended)[0]; a.Over == nil || a.Over.Kind != Stale {
		t.Errorf("%+v", a)
	}
	if c, err := webFor(t, srv.URL, keep).Kept(t.Context()); err != nil || !c.RenewBy.Equal(day(8)) {
		t.Errorf("kept: %s, %v", c.RenewBy, err)
	}
	srv.give(promised(t, dir, day(5)), `"4"`)
	s.looks(3)
	s.heard()
	s.wait(day(10))
	s.looks(1)
	if a := s.heard(Stale)[0]; !strings.Contains(a.Say, "2026-03-08") {
		t.Errorf("%+v", a)
	}

	publish(t, dir, "second")
	srv.give(promised(t, dir, day(20)), `"5"`)
	s.looks(4)
	if a := s.heard(InForce, Mended)[1]; a.Over == nil || a.Over.Kind != Stale {
		t.Errorf("%+v", a)
	}
	s.inForce(2)
	if s.asked != 2 {
		t.Errorf("rules were looked at %d times", s.asked)
	}
}

// wait sets the clock.
func (s *stand) wait(until time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = until
}
