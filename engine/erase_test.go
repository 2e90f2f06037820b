package engine_test

import (
	"strings"
	"testing"

	"firstrod/engine"
	"firstrod/engine/boltstore"
)

// An erased name is nowhere any more, the roles stay, and whoever comes back under
// the same name or reference is a new person; a restart changes nothing of it.
func TestErase(t *testing.T) {
	dir := t.TempDir()
	begin := func() (*boltstore.Store, *engine.Engine) {
		t.Helper()
		s, err := boltstore.Open(dir, boltstore.Options{})
		if err != nil {
			t.Fatal(err)
		}
		book := engine.Everywhere(baseRules(t))
		e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: s, Registry: s})
		if err != nil {
			t.Fatal(err)
		}
		return s, e
	}
	s, e := begin()
	said := func(key string) engine.Said { return engine.Said{Key: key, From: "test"} }
	was, err := e.IntroduceAs(t.Context(), said("a"), "chat:T1/U1", "Rosa Quiver", engine.RoleCrew)
	if err != nil {
		t.Fatal(err)
	}
	for ground, want := range map[string]string{
		"": "legal ground", " ": "legal ground", "rosa  QUIVER asked": "would stay in the ledger", "chat:T1/U1 asked": "would stay",
	} {
		if _, err := e.Erase(t.Context(), said("no"), engine.Erasure{Person: was.ID, Ground: ground, By: "Ann Wells"}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ground %q: %v", ground, err)
		}
	}
	if _, err := e.Erase(t.Context(), said("b"), engine.Erasure{Person: was.ID, Ground: "asked", By: "Ann Wells"}); err != nil {
		t.Fatal(err)
	}
	if _, err := e.Erase(t.Context(), said("c"), engine.Erasure{Person: was.ID, Ground: "asked", By: "Ann Wells"}); engine.KindOf(err) != engine.Usage {
		t.Errorf("erased twice: %v", err)
	}
	look := func(when string, e *engine.Engine) {
		t.Helper()
		p, ok := e.Person(was.ID)
		if !ok || p.Name != "" || p.Ref != "" || p.Erased.IsZero() || p.Role() != engine.RoleCrew || !strings.HasPrefix(p.Called(), "erased on 20") {
			t.Errorf("%s: %+v, %v", when, p, ok)
		}
		if _, ok := e.Referred("chat:T1/U1"); ok {
			t.Errorf("%s: the reference still leads to somebody", when)
		}
		for _, id := range []string{was.ID, was.ID + "/ref"} {
			if v, ok, err := s.Private(t.Context(), id); ok || err != nil {
				t.Errorf("%s: %s still has %q, %v", when, id, v, err)
			}
		}
	}
	look("at once", e)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s, e = begin()
	defer s.Close()
	look("after a restart", e)
	again, err := e.IntroduceAs(t.Context(), said("d"), "chat:T1/U1", "Rosa Quiver", engine.RoleCrew)
	if err != nil || again.ID == was.ID {
		t.Errorf("came back as %+v, %v", again, err)
	}
}
