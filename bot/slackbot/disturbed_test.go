package slackbot

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine/rules"
)

// runs is how many disturbed runs are made: FIRSTROD_RUNS, or a few.
func runs(t testing.TB) int {
	t.Helper()
	n, err := strconv.Atoi(os.Getenv("FIRSTROD_RUNS"))
	if err != nil {
		return 6
	}
	return n
}

// mischief draws what goes wrong around one line of the crew.
type mischief struct {
	*rand.Rand
	x *site
}

// methods are the calls that a turn makes.
func methods() []string {
	return []string{"chat.postMessage", "chat.update", "pins.add", "users.info", "conversations.replies", "files.completeUploadExternal", "upload"}
}

// plan makes trouble for the next line, and perhaps stops the service.
func (m mischief) plan() {
	m.x.fake.Heal()
	for range m.IntN(3) {
		faults := []slackfake.Fault{
			slackfake.Cut{}, slackfake.Cut{After: true}, slackfake.Status{Code: 503}, slackfake.Status{Code: 502, After: true},
			slackfake.Slow{For: 600 * time.Millisecond}, slackfake.Slow{For: 600 * time.Millisecond, After: true},
			slackfake.Refuse{Error: "internal_error"},
		}
		m.x.fake.Fail(methods()[m.IntN(len(methods()))], faults[m.IntN(len(faults))])
	}
	switch m.IntN(12) {
	case 0:
		m.x.fake.CutSockets()
	case 1:
		m.x.fake.Disconnect("refresh_requested")
	case 2:
		m.x.restart()
	}
}

// delivery is what goes wrong with one payload.
func delivery(r *rand.Rand) func(string, int) slackfake.Mishap {
	return func(string, int) slackfake.Mishap {
		switch r.IntN(12) {
		case 0:
			return slackfake.Mishap{LoseAck: true}
		case 1:
			return slackfake.Mishap{Twice: true}
		case 2:
			return slackfake.Mishap{CutAfter: true}
		case 3:
			return slackfake.Mishap{CutBefore: true}
		case 4:
			return slackfake.Mishap{LoseAck: true, CutAfter: true}
		}
		return slackfake.Mishap{}
	}
}

// undisturbed gives the records of a run in which nothing goes wrong.
func undisturbed(t *testing.T, set *rules.Set) (facts, questions []string) {
	t.Helper()
	x := newSite(t, set, newFake(t), nil)
	thread, last := x.open()
	for _, l := range crew() {
		last = x.say(thread, last, l)
	}
	x.still()
	return x.facts(), questionsOf(x)
}

// questionsOf lists the questions in the thread as they stood when asked, and
// fails on a message that is there twice.
func questionsOf(x *site) []string {
	x.t.Helper()
	seen := map[string]string{}
	var all []string
	for _, m := range x.fake.FromBot() {
		var meta struct {
			Payload struct{ ID string } `json:"event_payload"`
		}
		if json.Unmarshal(m.Metadata, &meta) == nil && meta.Payload.ID != "" {
			if other, twice := seen[meta.Payload.ID]; twice {
				x.t.Errorf("posted twice:\n%s\n%s", other, m.Text)
			}
			seen[meta.Payload.ID] = m.Text
		}
		if _, after, found := strings.Cut(m.Text, "OR-4  "); found && m.ThreadTS != "" && !strings.Contains(m.Text, "READY") {
			all = append(all, firstLine(after))
		}
	}
	return all
}

// Whatever happens on the way, the ledger says what it says when nothing does,
// and nobody is asked twice.
func TestDisturbedRunsEndInTheSameLedger(t *testing.T) {
	set := loadRules(t)
	want, asked := undisturbed(t, set)
	for seed := range runs(t) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			disturbedRun(t, set, uint64(seed), want, asked)
		})
	}
}

func disturbedRun(t *testing.T, set *rules.Set, seed uint64, want, asked []string) {
	fake := newFake(t)
	x := newSite(t, set, fake, func(c *Config) { c.Patience, c.Settle = 400*time.Millisecond, 60*time.Millisecond })
	r := rand.New(rand.NewPCG(seed, 7))
	m := mischief{r, x}
	thread, last := x.open()
	fake.Disturb(delivery(rand.New(rand.NewPCG(seed, 8))))
	again := 0
	for _, l := range crew() {
		m.plan()
		var n int
		last, n = x.insist(thread, last, l)
		again += n
	}
	fake.Heal()
	fake.Disturb(nil)
	x.still()
	compare(t, "ledger", x.facts(), want)
	if got := questionsOf(x); again == 0 {
		compare(t, "questions", got, asked)
	}
}

// compare says where two lists part.
func compare(t *testing.T, what string, got, want []string) {
	t.Helper()
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Errorf("the %s part at %d (of %d and %d):\n%q\nwant\n%q", what, i, len(got), len(want), at(got, i), at(want, i))
			return
		}
	}
}

func at(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return "(nothing)"
}

// insist says a line as somebody does who sees no answer: a press is typed, and
// what the chat itself has given up is typed again.
func (x *site) insist(thread, last string, l line) (id string, again int) {
	x.t.Helper()
	m, _, ok := x.question("OR-4")
	var act *slackfake.Act
	if ok && slices.Contains(m.Buttons(), l.text) {
		act = x.fake.Press(l.user, m, l.text)
	} else {
		act = x.fake.Say(l.user, crewCh, thread, l.text)
	}
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(2 * time.Millisecond) {
		if _, id, ok := x.question("OR-4"); ok && id != last {
			return id, again
		}
		if !act.Deliveries[0].Lost() {
			continue
		}
		// It may have got through all the same, with its acknowledgement lost: then
		// there is something new to read.
		time.Sleep(50 * time.Millisecond)
		if all := x.fake.Messages(crewCh, thread); all[len(all)-1].User == x.fake.BotUser() && all[len(all)-1].TS > m.TS {
			_, id = x.next("OR-4", last)
			return id, again
		}
		again++
		act = x.fake.Say(l.user, crewCh, thread, l.text)
	}
	_, id = x.next("OR-4", last)
	return id, again
}
