package slackbot

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine/ledger"
)

// What waits for a yes goes on waiting over a restart: a signature, a value that
// was not surely understood, a value that is being changed.
func TestWhatWaitsForAYesSurvivesARestart(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(15)
	over := func(first, second string, parts ...string) {
		t.Helper()
		_, last = x.reply(thread, last, line{dana, first})
		x.still()
		x.restart()
		var text string
		text, last = x.reply(thread, last, line{dana, second})
		has(t, text, parts...)
	}
	over("26, 41 ft", "no", "nearest metal")
	over("change deepest", "14 ft", "14 ft (4.27 m)")
	for _, l := range crew()[15 : len(crew())-4] {
		if l.text == "12 in" {
			over("12", "in", "1 ft (0.3048 m). Holds.")
			continue
		}
		last = x.say(thread, last, l)
	}
	over("sign", "yes", "Signed: Dana Reyes")
	x.still()
	if n := x.kinds(ledger.KindSign); n != 1 {
		t.Errorf("%d signatures", n)
	}
}

// A crash between the record that opens a bore and its thread.
func TestACrashWhileABoreIsOpened(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	x.open()
	x.still()
	var l letter
	err := x.mail.Each(context.Background(), seenKey, func(k string, _ []byte) error {
		if strings.HasPrefix(k, seenKey+"c/") {
			l = letter{
				Kind: commanded, Key: strings.TrimPrefix(k, seenKey), Team: x.fake.Team(), Channel: crewCh, User: dana,
				Text: "new OR-4, Otter Run", TS: stamp(time.Now()),
			}
		}
		return nil
	})
	if err != nil || l.Key == "" {
		t.Fatal(err, l)
	}
	x.halt()
	x.fake.Forget()
	x.start0(func() {
		raw, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		err = x.mail.Apply(t.Context(), map[string][]byte{inKey + l.Key: raw}, []string{threadKey + "OR-4"})
		if err != nil {
			t.Fatal(err)
		}
	})
	thread := x.thread("OR-4")
	m, last := x.next("OR-4", "")
	has(t, m.Plain(), "From the one-call ticket")
	text, _ := x.reply(thread, last, line{dana, crew()[0].text})
	has(t, text, "Holds.")
	if n := x.kinds(ledger.KindOpen); n != 1 {
		t.Errorf("%d bores", n)
	}
}

// Nobody reads a question and types its answer in half a second.
func TestAnAnswerThatIsTooQuickIsNone(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), func(c *Config) { c.React = 300 * time.Millisecond })
	thread, last := x.open()
	text, last := x.reply(thread, last, line{dana, crew()[0].text})
	has(t, text, "was said before the question below")
	time.Sleep(320 * time.Millisecond)
	text, last = x.reply(thread, last, line{dana, crew()[0].text})
	has(t, text, "Holds.")
	// A verb is obeyed at once, and so is a button: it says which question it is of.
	text, last = x.reply(thread, last, line{dana, "hold gas"})
	has(t, text, "HELD")
	time.Sleep(320 * time.Millisecond)
	_, last = x.reply(thread, last, line{dana, "smell gone, gas company was here"})
	_ = last
	if n := x.kinds(ledger.KindHold); n != 1 {
		t.Errorf("%d holds", n)
	}
}

// A hold in the thread needs no words; whoever is there says why, and both are on
// record.
func TestAHoldInTheThreadNeedsNoReason(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.open()
	text, last := x.reply(thread, last, line{dana, "hold"})
	has(t, text, "HELD: OR-4. Stop drilling.", "Why?")
	text, _ = x.reply(thread, last, line{luis, "smell of gas at rod 9"})
	has(t, text, "En el registro, con el alto: smell of gas at rod 9") // Luis reads Spanish
	if n, why := x.kinds(ledger.KindHold), x.kinds(ledger.KindReason); n != 1 || why != 1 {
		t.Errorf("%d holds, %d reasons", n, why)
	}
}

// While the chat is slow to say who somebody is, everybody else is served.
func TestReadingNeverStops(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, _ := x.open()
	x.still()
	slow := make([]slackfake.Fault, 3)
	for i := range slow {
		slow[i] = slackfake.Slow{For: 2 * time.Second}
	}
	x.fake.Fail("users.info", slow...)
	x.fake.Say(luis, crewCh, thread, "status")
	start := time.Now()
	var acts []*slackfake.Act
	for range 200 {
		acts = append(acts, x.fake.Say(luis, crewCh, thread, "why"))
	}
	x.fake.Wait("200 acknowledgements", patience, func() bool { return acts[199].Acked() && acts[0].Acked() })
	if passed := time.Since(start); passed > 1500*time.Millisecond {
		t.Errorf("they took %v", passed)
	}
	x.halt()
}
