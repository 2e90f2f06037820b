package main

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine/desk"
)

// seal puts what is published in the yard where a server gives it, with a promise.
func (y yard) seal(secret, to string, renewBy time.Time) {
	y.t.Helper()
	signer, err := desk.Signer(secret)
	if err != nil {
		y.t.Fatal(err)
	}
	c, err := desk.Read(y.dir)
	if err != nil {
		y.t.Fatal(err)
	}
	c.RenewBy = renewBy
	bundle, err := desk.Seal(c, signer)
	if err != nil {
		y.t.Fatal(err)
	}
	if err := desk.Replace(to, bundle); err != nil {
		y.t.Fatal(err)
	}
}

// A server that holds newer rules back is told of once the promise of the old ones is
// broken: once to each safety manager, also after a restart, and it stands on the home
// tab until newer rules come, whatever the server did in between.
func TestServeTellsOfABrokenPromise(t *testing.T) {
	c := newCrewChat(t)
	y := newYard(t)
	y.publish(exitFine, "first")
	secret, public, err := desk.NewKey(rand.Reader, "rules.yard.example")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	srv := startWeb()
	defer srv.Close()
	srv.gives.Store(&dir)
	y.seal(secret, filepath.Join(dir, "rules.bundle"), time.Now().UTC().AddDate(0, 0, -3).Truncate(24*time.Hour))
	config := c.safetySettings(fmt.Sprintf("rules_every: 40ms\nrules_url: %s/rules.bundle\nrules_key: %s\n", srv.URL, public))
	data := filepath.Join(t.TempDir(), "data")
	start := func() *started { return startServe(t, "--data", data, "--config", config) }
	halt := func(s *started) {
		t.Helper()
		s.stop()
		if err := <-s.done; err != nil {
			t.Fatalf("%v\n%s", err, s.out)
		}
	}
	const broken = "Rules 1 were to be signed anew by"
	s := start()
	wants(t, c.told(broken), "stay in force and block no less than before")
	halt(s)
	wants(t, s.out.String(), "kind=stale")
	s = start()

	dead := "dead"
	srv.gives.Store(&dead)
	c.told("could not be fetched")
	srv.gives.Store(&dir)
	c.told("Over: ", "could not be fetched")
	if home := c.home(); !strings.Contains(home, broken) {
		t.Errorf("a broken promise is over because a server answers:\n%s", home)
	}

	y.overlay("45 ft", "keep")
	y.publish(exitFine, "more room")
	y.seal(secret, filepath.Join(dir, "rules.bundle"), time.Now().UTC().AddDate(0, 0, 30).Truncate(24*time.Hour))
	c.told("Rules 2 are in force, published by Alma Ruiz: more room")
	c.told("Over: " + broken)
	if home := c.home(); strings.Contains(home, broken) {
		t.Errorf("it stands still:\n%s", home)
	}
	halt(s)
	told := 0
	for _, text := range c.texts(c.fake.DM(marta)) {
		if strings.HasPrefix(text, broken) {
			told++
		}
	}
	if told != 1 {
		t.Errorf("told %d times", told)
	}

	// What came into force while nobody was serving is told at the start.
	y.overlay("50 ft", "keep")
	y.publish(exitFine, "still more room")
	y.seal(secret, filepath.Join(dir, "rules.bundle"), time.Time{})
	s = start()
	c.told("Rules 3 are in force, published by Alma Ruiz: still more room")
	halt(s)
	if _, err := os.Stat(filepath.Join(data, "rules.bundle")); err != nil {
		t.Error(err)
	}
	outcome(t, exitFine, "verify", "--data", data)
}
