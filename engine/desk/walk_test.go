package desk

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine"
)

// Whatever people do to a folder, in whatever order, what is in force was
// published under its serial with these very bytes and was accepted, serials only
// grow, also across restarts, and a folder that is well published gets its way.
func TestWhateverIsDoneToAFolder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newMachine(t)
		defer os.RemoveAll(m.dir)
		t.Repeat(map[string]func(*rapid.T){
			"edit": m.edit, "publish": m.publish, "roll back": m.rollback, "forge": m.forge, "look": m.look,
			"restart": m.restart, "lose a file": m.lose, "": m.check,
		})
	})
}

type machine struct {
	dir       string
	desk      *Desk
	last      Publication      // recorded last
	published map[int64]string // sums, by serial, as Publish was told
	accepted  map[string]bool  // sums
	n         int
}

func newMachine(t *rapid.T) *machine {
	dir, err := os.MkdirTemp("", "desk-walk-")
	if err != nil {
		t.Fatal(err)
	}
	m := &machine{dir: dir, published: map[int64]string{}, accepted: map[string]bool{}}
	m.put(t, "base/params.yaml", "fine 0\n")
	m.desk = m.open(t)
	return m
}

func (m *machine) open(t *rapid.T) *Desk {
	d, err := New(Config{
		Source: Folder(m.dir), Last: m.last, Alert: func(Alert) {},
		Accept: func(ctx context.Context, c Candidate) (engine.Rulebook, error) {
			b, err := loads(ctx, c)
			if err == nil {
				m.accepted[c.Sum] = true
			}
			return b, err
		},
		Record: func(_ context.Context, _ engine.Rulebook, p Publication) error { m.last = p; return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func (m *machine) put(t *rapid.T, name, text string) {
	path := filepath.Join(m.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func (m *machine) edit(t *rapid.T) {
	name := rapid.SampledFrom([]string{"base/params.yaml", "base/ground/metal.rego", "local/us-va/overlay.yaml"}).Draw(t, "file")
	word := rapid.SampledFrom([]string{"fine", "fine", "fine", "BAD"}).Draw(t, "word")
	m.n++
	m.put(t, name, fmt.Sprintf("%s %d\n", word, m.n))
}

func (m *machine) publish(t *rapid.T) {
	if p, err := tryPublish(m.dir, "a walk"); err == nil {
		m.published[p.Serial] = p.Sum
	}
}

func (m *machine) rollback(t *rapid.T) {
	all, err := Serials(m.dir)
	if err != nil || len(all) == 0 {
		return
	}
	n := rapid.SampledFrom(all).Draw(t, "serial")
	if p, err := Rollback(m.dir, n, "Alma Ruiz", "a walk back", noon); err == nil {
		m.published[p.Serial] = p.Sum
	}
}

// forge writes a publication for what lies there, under a serial that was used.
func (m *machine) forge(t *rapid.T) {
	c, err := Read(m.dir)
	if err != nil || c.Publication.Serial == 0 {
		return
	}
	p := Publication{rapid.Int64Range(1, c.Publication.Serial).Draw(t, "serial"), c.Sum, "Otto Krug", "forged", noon, 0}
	raw, err := p.encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(m.dir, publicationName), raw, 0o644); err != nil {
		t.Fatal(err)
	}
	if p.Serial > m.last.Serial {
		m.published[p.Serial] = p.Sum // nobody can tell it from a real one
	}
}

func (m *machine) lose(t *rapid.T) {
	name := rapid.SampledFrom([]string{"base/params.yaml", publicationName, "local/us-va/overlay.yaml"}).Draw(t, "file")
	os.Remove(filepath.Join(m.dir, name))
}

func (m *machine) look(t *rapid.T) {
	m.desk.look(context.Background())
	m.desk.look(context.Background())
	c, err := Read(m.dir)
	if err != nil || !c.Published || c.Publication.Follows(m.last) != nil {
		return
	}
	if _, bad := loads(context.Background(), c); bad == nil && !m.desk.Live().Publication.Same(c.Publication) {
		t.Fatalf("publication %+v did not come into force", c.Publication)
	}
}

func (m *machine) restart(t *rapid.T) {
	m.desk = m.open(t)
	if err := m.desk.Start(context.Background()); err != nil && m.desk.Live() != nil {
		t.Fatalf("in force after a start that failed: %v", err)
	}
}

func (m *machine) check(t *rapid.T) {
	live := m.desk.Live()
	if live == nil {
		return
	}
	p := live.Publication
	switch {
	case live.Rulebook.(*book).serial != p.Serial:
		t.Fatalf("rules of %d under publication %d", live.Rulebook.(*book).serial, p.Serial)
	case m.published[p.Serial] != p.Sum:
		t.Fatalf("publication %d was never published with these files", p.Serial)
	case !m.accepted[p.Sum]:
		t.Fatalf("publication %d was never accepted", p.Serial)
	case !p.Same(m.last):
		t.Fatalf("in force is %d, recorded is %d", p.Serial, m.last.Serial)
	}
}
