package bot_test

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"time"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// talk is a conversation with the real bot on real rules and a real store.
type talk struct {
	engine *engine.Engine
	t      *testing.T
	bot    *bot.Bot
	room   string
	n      int
	last   bot.Reply
	now    time.Time
}

func newTalk(t *testing.T, lang string) *talk {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Load(t.Context(), base, rules.Options{Layer: "base"})
	if err != nil {
		t.Fatal(err)
	}
	return newTalkOf(t, lang, "", engine.Everywhere(set))
}

// newTalkOf is a conversation under the rules of more than one place.
func newTalkOf(t *testing.T, lang, jurisdiction string, book engine.Rulebook) *talk {
	t.Helper()
	k := &talk{t: t, room: "r", now: time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC)}
	clock := func() time.Time { return k.now }
	store, err := boltstore.Open(t.TempDir(), boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: store, Registry: store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	k.engine = e
	k.bot, err = bot.New(bot.Config{
		Engine: e, Zone: "America/Phoenix", Jurisdiction: jurisdiction, Lang: lang, Contact: bot.Contact{Name: "Marta Quill", Phone: "555-0142"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if k.last, err = k.bot.Start(t.Context(), k.room); err != nil {
		t.Fatal(err)
	}
	return k
}

// say types one message and gives the whole reply as text.
func (k *talk) say(text string) string {
	k.t.Helper()
	k.n++
	r, err := k.bot.Turn(k.t.Context(), bot.Message{Room: k.room, Text: text, Key: fmt.Sprint("m", k.n), From: "test"})
	if err != nil {
		k.t.Fatalf("%q: %v", text, err)
	}
	k.last = r
	return r.String()
}

// all types several messages.
func (k *talk) all(lines ...string) {
	k.t.Helper()
	for _, l := range lines {
		k.say(l)
	}
}

// expect types one message and wants each of some words in the reply.
func (k *talk) expect(text string, wants ...string) {
	k.t.Helper()
	got := k.say(text)
	for _, want := range wants {
		if !strings.Contains(got, want) {
			k.t.Errorf("to %q the reply lacks %q:\n%s", text, want, got)
		}
	}
}

// lacks wants words not to be in the last reply.
func (k *talk) lacks(words string) {
	k.t.Helper()
	if got := k.last.String(); strings.Contains(got, words) {
		k.t.Errorf("the reply has %q:\n%s", words, got)
	}
}

// whole is what the careful crew of a first bore types, from the first message
// to the last signature.
func whole() []string {
	return []string{
		"Dana Reyes, locating hand", "new OR-4, Otter Run",
		"OTR-2291, 2026-11-23, 2026-12-03", "7, 7", "yes", "no",
		"yes", "all yes", "no", "911; 555-0100; 12 Otter Run Road",
		"R-114, T-27, H-9, yes", "9.5 and 22 kHz", "20 h, 24 h", "10 h, 85 %, 90 %", "yes, yes, h-9",
		"14 ft, 240 ft, no", "0.2 %, -0.2 %", "34 ft, 41 ft", "all no", "-12 dB", "-9 dB",
		"10 ft, 10 ft, centres", "all yes", "yes", "normal, normal, 60", "normal, normal, 58",
		"5 ft, 15 ft", "calibration", `5' 0", 5' 0 1/2", 5' 0"; 15' 0 1/2", 15' 0 1/2", 15' 1"`, `5' 0 1/2", 5' 0 1/2", 5' 1"; 15' 1", 15' 0 1/2", 15' 1"`,
		"gas main", "none", "12 in", "yes", "41 ft, 6 ft, 4 in, 12 ft, 5 ft", "19:30",
		"sign", "yes", "sign Luis Ortega, drill operator", "yes",
	}
}

// users are people that a front end knows by themselves.
func (k *talk) as(ref, name, role, text string) string {
	k.t.Helper()
	k.n++
	r, err := k.bot.Turn(k.t.Context(), bot.Message{
		Room: k.room, Text: text, Key: fmt.Sprint("m", k.n), From: "chat",
		Speaker: &bot.Speaker{Ref: ref, Name: name, Role: role},
	})
	if err != nil {
		k.t.Fatalf("%q: %v", text, err)
	}
	k.last = r
	return r.String()
}
