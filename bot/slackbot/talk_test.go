package slackbot

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine"
	"firstrod/engine/ledger"
)

// bore walks a new site through the first lines of the crew.
func (x *site) walk(n int) (thread, last string) {
	x.t.Helper()
	thread, last = x.open()
	for _, l := range crew()[:n] {
		last = x.say(thread, last, l)
	}
	return thread, last
}

// reply says something and gives the text of the messages that come of it, up to
// the next question.
func (x *site) reply(thread, last string, l line) (text, id string) {
	x.t.Helper()
	before := len(x.fake.Messages(crewCh, thread))
	x.fake.Say(l.user, crewCh, thread, l.text)
	_, id = x.next("OR-4", last)
	var all []string
	for _, m := range x.fake.Messages(crewCh, thread)[before:] {
		if m.User == x.fake.BotUser() {
			all = append(all, m.Plain())
		}
	}
	return strings.Join(all, "\n"), id
}

func has(t *testing.T, text string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("lacks %q:\n%s", p, text)
		}
	}
}

// kinds counts the records of a kind.
func (x *site) kinds(kind ledger.Kind) int {
	x.t.Helper()
	n := 0
	err := x.store.Records(context.Background(), 0, func(r ledger.Record) error {
		if r.Kind == kind {
			n++
		}
		return nil
	})
	if err != nil {
		x.t.Fatal(err)
	}
	return n
}

func TestTheThread(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.open()
	parent, ok := x.fake.Message(crewCh, thread)
	if !ok || parent.ThreadTS != "" || !strings.Contains(parent.Plain(), "NOT READY") {
		t.Fatalf("no summary: %+v", parent)
	}
	x.fake.Wait("a pin", patience, func() bool { m, _ := x.fake.Message(crewCh, thread); return m.Pinned })
	first := x.fake.Messages(crewCh, thread)[1]
	has(t, first.Plain(), "one-call law", "OR-4 is open at Otter Run", "From the one-call ticket")

	text, last := x.reply(thread, last, line{dana, "OTR-1, 2026-11-20, 2026-11-23"})
	has(t, text, "BLOCKED", "not good today")
	x.fake.Wait("the summary", patience, func() bool {
		m, _ := x.fake.Message(crewCh, thread)
		return strings.HasPrefix(m.Text, "BLOCKED")
	})
	for _, l := range crew()[:2] {
		last = x.say(thread, last, l)
	}
	q, _, _ := x.question("OR-4")
	if !slices.Equal(q.Buttons(), []string{"yes", "no"}) {
		t.Fatalf("buttons %v", q.Buttons())
	}
	has(t, q.Plain(), "Press one, or type: yes / no")
	last = x.say(thread, last, line{dana, "yes"})
	x.fake.Wait("the buttons to go", patience, func() bool {
		m, _ := x.fake.Message(crewCh, q.TS)
		return len(m.Buttons()) == 0 && strings.Contains(m.Plain(), "Dana Reyes: yes") && strings.Contains(string(m.Blocks), "date^")
	})
	text, last = x.reply(thread, last, line{dana, "why"})
	has(t, text, "Source:", "To do:")
	text, last = x.reply(thread, last, line{dana, "status"})
	has(t, text, "Right to dig", "3 of 4 hold")
	text, last = x.reply(thread, last, line{dana, "new OR-9, Elsewhere"})
	has(t, text, "OR-4 and no other")
	text, last = x.reply(thread, last, line{dana, "español"})
	has(t, text, "De aquí en adelante")
	x.still()
	x.restart()
	text, _ = x.reply(thread, last, line{dana, "no"})
	has(t, text, "Se cumple")
}

// The second of two who answer the same question at once has not answered the
// next one.
func TestAnAnswerToAnotherQuestionIsNone(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	q, _, _ := x.question("OR-4")
	x.fake.Fail("chat.postMessage", slackfake.Slow{For: 200 * time.Millisecond})
	x.fake.Press(dana, q, "yes")
	x.fake.Say(luis, crewCh, thread, "yes")
	_, _ = x.next("OR-4", last)
	x.still()
	m, _, _ := x.question("OR-4")
	has(t, m.Plain(), "se dijo antes de que la pregunta", "línea sin marca")
	x.still()
	if n := x.kinds(ledger.KindAnswer); n != 3 {
		t.Errorf("%d answers, want 3", n)
	}
	// The button of a question that was answered is the same: too late.
	x.fake.Interact("block_actions", luis, map[string]any{
		"container": map[string]any{"type": "message", "message_ts": q.TS, "thread_ts": thread, "channel_id": crewCh},
		"channel":   map[string]any{"id": crewCh},
		"actions":   []any{map[string]any{"action_id": "answer/b", "action_ts": "1.2", "type": "button", "value": "0123456789abcdef\nno"}},
	})
	x.still()
	if n := x.kinds(ledger.KindAnswer); n != 3 {
		t.Errorf("%d answers, want 3", n)
	}
}

func TestAPressThatIsLostCanBeTyped(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	q, _, _ := x.question("OR-4")
	x.fake.Swallow(1, slackfake.Interactive)
	x.fake.Press(dana, q, "yes")
	text, _ := x.reply(thread, last, line{dana, "yes"})
	has(t, text, "yes. Holds.")
	x.still()
	if n := x.kinds(ledger.KindAnswer); n != 3 {
		t.Errorf("%d answers, want 3", n)
	}
}

func TestHoldIsLoud(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(len(crew()))
	x.still()
	root := x.fake.Messages(crewCh, "")
	release := root[len(root)-1]
	if !release.Broadcast || release.ThreadTS != thread {
		t.Errorf("the release is not in thread and channel: %+v", release)
	}
	has(t, release.Plain(), "LISTA PARA PERFORAR", "Registro", "punto de control", "nada aflojado")
	x.fake.Wait("the summary", patience, func() bool {
		m, _ := x.fake.Message(crewCh, thread)
		return strings.HasPrefix(m.Text, "READY TO DRILL") && strings.Contains(string(m.Blocks), "date^")
	})
	// Anybody may stop a bore: somebody with no role, and a guest.
	_, last = x.reply(thread, last, line{pat, "hold smell of gas at rod 9"})
	x.still()
	root = x.fake.Messages(crewCh, "")
	loud := root[len(root)-1]
	if loud.ThreadTS != "" {
		t.Error("a hold is no message of its own")
	}
	has(t, loud.Plain(), "HELD: OR-4", "smell of gas", "Who must act:", "<@"+dana+"> <@"+luis+">")
	x.fake.Say(gus, crewCh, thread, "hold my coffee is on fire")
	_, _ = x.next("OR-4", last)
	if n := x.kinds(ledger.KindHold); n != 2 {
		t.Errorf("%d holds, want 2", n)
	}
}

func TestWhoMayNotSpeak(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	for user, wants := range map[string]string{pat: "You have no role here", gus: "Guests give no answers"} {
		x.fake.Say(user, crewCh, thread, "yes")
		x.fake.Wait("a refusal", patience, func() bool { return len(x.fake.Ephemerals(user)) > 0 })
		has(t, x.fake.Ephemerals(user)[0].Plain(), wants, "Marta Quill", "hold")
	}
	q, _, _ := x.question("OR-4")
	x.fake.Press(gus, q, "yes")
	for range 5 {
		x.fake.Say(parrot, crewCh, thread, "yes")
	}
	x.still()
	if n := x.kinds(ledger.KindRefused); n != 4 {
		t.Errorf("%d refusals recorded, want 4: of each person each, of a program one", n)
	}
	if n := x.kinds(ledger.KindAnswer); n != 2 {
		t.Errorf("%d answers, want 2", n)
	}
	if _, id, _ := x.question("OR-4"); id != last {
		t.Error("a refusal asked again")
	}
	x.halt()
	verify(t, x.dir)
}

func TestTextInTheChannelIsNeverGuessed(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, _ := x.walk(2)
	for _, text := range []string{"yes", "34 ft", "hold smell of gas"} {
		x.fake.Say(luis, crewCh, "", text)
	}
	x.fake.Say(luis, crewCh, "", "lunch at noon?")
	x.still()
	hints := x.fake.Ephemerals(luis)
	if len(hints) != 3 {
		t.Fatalf("%d hints, want 3", len(hints))
	}
	has(t, hints[0].Plain(), "OR-4", "hilo")
	a := x.fake.Messages(crewCh, thread)
	x.fake.Edit(crewCh, a[len(a)-2].TS, "8, 8")
	x.fake.Wait("a word about the edit", patience, func() bool { return len(x.fake.Ephemerals(dana)) > 0 })
	has(t, x.fake.Ephemerals(dana)[0].Plain(), "changes no answer")
	if n := x.kinds(ledger.KindAnswer); n != 2 {
		t.Errorf("%d answers, want 2", n)
	}
}

// A role is read again when somebody signs, not believed for five minutes.
func TestRolesFromGroupsAreReadAgainAtSignOff(t *testing.T) {
	fake := newFake(t)
	fake.AddGroup("S1", dana)
	fake.AddGroup("S2", luis)
	x := newSite(t, loadRules(t), fake, func(c *Config) {
		c.Roles = nil
		c.Groups = map[string]string{"S1": engine.RoleLocatingHand, "S2": engine.RoleDrillOperator}
	})
	thread, last := x.walk(len(crew()) - 4)
	fake.AddGroup("S1", luis)
	fake.Say(dana, crewCh, thread, "sign")
	fake.Wait("a refusal", patience, func() bool { return len(fake.Ephemerals(dana)) == 1 })
	has(t, fake.Ephemerals(dana)[0].Plain(), "no role")
	fake.Say(luis, crewCh, thread, "firmar")
	fake.Wait("a refusal", patience, func() bool { return len(fake.Ephemerals(luis)) == 1 })
	has(t, fake.Ephemerals(luis)[0].Plain(), "funciones distintas")
	fake.AddGroup("S1", dana)
	fake.Fail("usergroups.users.list", slackfake.Status{Code: 503}, slackfake.Status{Code: 503}, slackfake.Status{Code: 503})
	fake.Say(dana, crewCh, thread, "sign")
	fake.Wait("a refusal", patience, func() bool { return len(fake.Ephemerals(dana)) == 2 })
	has(t, fake.Ephemerals(dana)[1].Plain(), "cannot be read right now")
	text, last := x.reply(thread, last, line{dana, "sign"})
	has(t, text, "Dana Reyes, locating hand: look at the values above")
	// Renamed between the two: the reference says who it is.
	fake.AddUser(slackfake.User{ID: dana, Name: "d", RealName: "Dana R. Ortiz", Locale: "en-US"})
	text, last = x.reply(thread, last, line{dana, "yes"})
	has(t, text, "Signed: Dana Reyes")
	fake.AddUser(slackfake.User{ID: luis, Name: "luis", RealName: "Luis Ortega", Locale: "es-MX", Deleted: true})
	fake.Say(luis, crewCh, thread, "firmar")
	fake.Wait("a refusal", patience, func() bool { return len(fake.Ephemerals(luis)) == 2 })
	if _, id, _ := x.question("OR-4"); id != last {
		t.Error("a closed account was listened to")
	}
}

func TestDirectMessages(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, _ := x.walk(3)
	dm := x.fake.DM(dana)
	saw := func(want string) {
		t.Helper()
		x.fake.Wait(want, patience, func() bool {
			all := x.fake.Messages(dm, "")
			return len(all) > 0 && strings.Contains(all[len(all)-1].Plain(), want)
		})
		x.still()
	}
	x.fake.Say(dana, dm, "", "hello")
	saw("OR-4")
	x.fake.Say(dana, dm, "", "resume OR-4")
	saw("no mark")
	x.fake.Say(dana, dm, "", "no")
	saw("talked this bore through")
	x.restart()
	x.fake.Wait("a socket", patience, func() bool { return x.svc.Health().Connections > 0 })
	x.fake.Say(dana, dm, "", "yes")
	saw("strike alarm")
	x.fake.Say(dana, dm, "", "hold smell of gas")
	saw("HELD")
	root := x.fake.Messages(crewCh, "")
	has(t, root[len(root)-1].Plain(), "HELD: OR-4")
	m, _ := x.fake.Message(crewCh, thread)
	has(t, m.Text, "HELD")
	if n := x.kinds(ledger.KindAnswer); n != 5 {
		t.Errorf("%d answers, want 5", n)
	}
}
