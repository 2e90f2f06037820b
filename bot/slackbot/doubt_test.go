package slackbot

import (
	"context"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
	"firstrod/policies"
)

func loadBook(t *testing.T) *rules.Book {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	local, err := fs.Sub(policies.Local, "local")
	if err != nil {
		t.Fatal(err)
	}
	book, err := rules.LoadBook(context.Background(), rules.Layers{Base: base, Local: local}, rules.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// whispers waits for one more message for the eyes of a user alone.
func (x *site) whispers(user string, before int) slackfake.Message {
	x.t.Helper()
	x.fake.Wait("a word in private", patience, func() bool { return len(x.fake.Ephemerals(user)) > before })
	return x.fake.Ephemerals(user)[before]
}

// A county that nobody knows opens no thread; each answer is a whole message, by its
// button or typed, and a yes alone is none.
func TestAPlaceThatNobodyKnowsOpensNoThread(t *testing.T) {
	x := newSiteOf(t, loadBook(t), newFake(t), nil)
	x.fake.Wait("a socket", patience, func() bool { return x.svc.Health().Connections > 0 })
	const right, wrong = "new OR-4, Alder Mill, US-VA/alder", "new OR-4, Alder Mill, US-VA/aldr, yes"

	x.fake.Slash(dana, crewCh, "new OR-4, Alder Mill, US-VA/aldr")
	m := x.whispers(dana, 0)
	has(t, m.Plain(), "No pack of rules holds in US-VA/aldr", "/firstrod "+right, "/firstrod "+wrong)
	if !slices.Equal(m.Buttons(), []string{right, wrong}) {
		t.Fatalf("buttons %q", m.Buttons())
	}
	x.fake.Slash(dana, crewCh, "yes")
	x.whispers(dana, 1)
	x.still()
	if n := x.kinds(ledger.KindOpen); n != 0 {
		t.Fatalf("%d bores", n)
	}
	x.fake.Press(dana, m, right)
	x.thread("OR-4")
	first, last := x.next("OR-4", "")
	has(t, first.Plain(), "Alder County, over the base", "From the one-call ticket")

	// In the thread the question waits, over a restart too, for whoever was asked.
	thread := x.thread("OR-4")
	text, last := x.reply(thread, last, line{dana, "jurisdiction US-VA/brandy"})
	has(t, text, "Is US-VA/brandy right all the same?")
	x.still()
	x.restart()
	text, last = x.reply(thread, last, line{luis, "sí"})
	has(t, text, "Dana Reyes")
	text, _ = x.reply(thread, last, line{dana, "yes"})
	has(t, text, "Rules for US-VA/brandy")
}

// The same, typed by somebody whose language is Spanish.
func TestTheTypedWayOpensTheThread(t *testing.T) {
	x := newSiteOf(t, loadBook(t), newFake(t), nil)
	x.fake.Wait("a socket", patience, func() bool { return x.svc.Health().Connections > 0 })
	x.fake.Slash(luis, crewCh, "nueva OR-4, Molino, US-VA/brandy")
	m := x.whispers(luis, 0)
	has(t, m.Plain(), "Ningún paquete de reglas vale en US-VA/brandy", "/firstrod nueva OR-4, Molino, US-VA/brandy, sí")
	_, way, _ := strings.Cut(m.Plain(), "/firstrod ")
	way, _, _ = strings.Cut(way, "\n")
	x.fake.Slash(luis, crewCh, way)
	x.thread("OR-4")
	first, _ := x.next("OR-4", "")
	has(t, first.Plain(), "US-VA/brandy: ")
}
