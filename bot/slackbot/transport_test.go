package slackbot

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine"
	"firstrod/engine/ledger"
)

func (x *site) connected() {
	x.t.Helper()
	x.fake.Wait("a socket", patience, func() bool { return x.svc.Health().Connections > 0 })
}

func TestWhatIsNotKnownIsAcknowledged(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(1)
	for name, act := range map[string]*slackfake.Act{
		"an event that nobody knows": x.fake.Event(map[string]any{"type": "never_heard_of", "deep": []int{1}}),
		"an event without a type":    x.fake.Event(map[string]any{"channel": crewCh}),
		"blocks that nobody can read": x.fake.Event(map[string]any{
			"type": "message", "channel": "C0OTHER01", "user": dana, "text": "x", "ts": "1.000001", "blocks": []any{map[string]any{"type": 7}},
		}),
		"a press of another app":   x.fake.Interact("block_actions", dana, map[string]any{"actions": []any{map[string]any{"action_id": "x"}}}),
		"no action at all":         x.fake.Interact("block_actions", dana, map[string]any{}),
		"a kind that nobody knows": x.fake.Interact("workflow_step_edit", dana, nil),
	} {
		x.fake.Wait(name, patience, act.Acked)
	}
	for _, frame := range []string{"", "{", "null", "[]", `{"type":"hello"`, `{"type":"new_kind","envelope_id":"e-1","payload":{}}`} {
		x.fake.Raw([]byte(frame))
	}
	// A message whose blocks are malformed is a message all the same.
	x.fake.Event(map[string]any{
		"type": "message", "channel": crewCh, "channel_type": "channel", "user": dana, "text": "7, 7",
		"ts": stamp(time.Now().Add(time.Second)), "thread_ts": thread, "blocks": []any{map[string]any{"type": "section", "text": 7}},
	})
	m, _ := x.next("OR-4", last)
	has(t, m.Plain(), "7; 7. Holds.")
}

// Sent away again and again, it comes back at a walk.
func TestNoStormOfConnections(t *testing.T) {
	fake := newFake(t)
	fake.DisconnectNext(500, "too_many_websockets")
	x := newSite(t, loadRules(t), fake, func(c *Config) { c.Reopen = 20 * time.Millisecond })
	time.Sleep(1500 * time.Millisecond)
	// 20, 40, ... 400 ms apart: eight at the most.
	if n := len(fake.Calls("apps.connections.open")); n < 2 || n > 9 {
		t.Errorf("%d openings in 1.5 s", n)
	}
	x.halt()
}

func TestConnectionsAreLookedAfter(t *testing.T) {
	fake := newFake(t, func(c *slackfake.Config) { c.PingEvery = 20 * time.Millisecond })
	fake.Ghosts(2)
	x := newSite(t, loadRules(t), fake, nil)
	fake.Wait("the ghosts", patience, func() bool { return x.svc.Health().Connections == 3 })
	fake.Ghosts(0)
	fake.CutSockets()
	fake.Wait("one connection", patience, func() bool { return x.svc.Health().Connections == 1 })
	seen := x.svc.Health().Alive
	fake.Wait("a sign of life by pings alone", patience, func() bool { return x.svc.Health().Alive.After(seen) })
	fake.Fail("apps.connections.open", slackfake.Refuse{Error: "internal_error"}, slackfake.Refuse{Error: "internal_error"})
	fake.Disconnect("warning")
	fake.Wait("another socket", patience, func() bool { return len(fake.Calls("apps.connections.open")) >= 4 })
}

func TestARefusedTokenIsAnAlarm(t *testing.T) {
	fake := newFake(t)
	var log strings.Builder
	x := newSite(t, loadRules(t), fake, func(c *Config) { c.Tokens.App = "xapp-wrong"; c.Log = logTo(&log) })
	fake.Wait("the alarm", patience, func() bool { return strings.Contains(x.svc.Health().Fatal, "invalid_auth") })
	x.halt()
	if !strings.Contains(log.String(), "ALARM") || strings.Contains(log.String(), "xapp-wrong") {
		t.Errorf("log: %s", log.String())
	}
	y := &site{t: t, fake: fake, book: x.book, dir: t.TempDir(), clock: x.clock, tune: func(c *Config) { c.Tokens.Bot = "xoxb-wrong" }}
	y.start()
	err := <-y.ended
	if engine.KindOf(err) != engine.Usage || !strings.Contains(err.Error(), "FIRSTROD_SLACK_BOT_TOKEN") && !strings.Contains(err.Error(), "bot token") {
		t.Errorf("%v", err)
	}
	y.stop()
	y.store.Close()
	y.mail.Close()
}

// Messages of other threads are dropped before anything of them is stored.
func TestAFloodOfOtherThreadsIsDropped(t *testing.T) {
	const flood = 10_000
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(1)
	x.still()
	keys := func() (n int) {
		_ = x.mail.Each(context.Background(), "", func(string, []byte) error { n++; return nil })
		return n
	}
	before := keys()
	raws := make([]Raw, 0, 100)
	acks := 0
	for i := range flood {
		payload := fmt.Sprintf(`{"team_id":%q,"event_id":"Ev%d","event":{"type":"message","channel":"C0OTHER%02d","user":"U%d","text":"secret %d","ts":"17.%06d","thread_ts":"16.%06d"}}`,
			x.fake.Team(), i, i%50, i, i, i, i%977)
		raws = append(raws, Raw{Kind: kindEvents, Payload: json.RawMessage(payload), Ack: func(context.Context, any) error { acks++; return nil }})
		if len(raws) == 100 {
			x.svc.take(context.Background(), raws)
			raws = raws[:0]
		}
	}
	if acks != flood || keys() != before {
		t.Errorf("%d acknowledged, %d keys became %d", acks, before, keys())
	}
	m := x.say(thread, last, crew()[1])
	if m == "" {
		t.Error("the bore stands still")
	}
}

func logTo(w io.Writer) *slog.Logger { return slog.New(slog.NewTextHandler(w, nil)) }

func TestSignedHTTP(t *testing.T) {
	fake := newFake(t)
	x := newSite(t, loadRules(t), fake, func(c *Config) { c.Listen = "127.0.0.1:0" })
	base := "http://" + (<-x.svc.bound).String() + "/slack/"
	ends := slackfake.Endpoints{Events: base + "events", Commands: base + "commands", Interactive: base + "interactive"}
	fake.DeliverTo(ends)
	fake.Slash(dana, crewCh, "new OR-4, Otter Run")
	thread := x.thread("OR-4")
	_, last := x.next("OR-4", "")
	for _, l := range crew()[:4] {
		last = x.say(thread, last, l)
	}
	x.still()
	forged(t, x, ends, thread)
	if n := x.kinds(ledger.KindAnswer); n != 4 {
		t.Errorf("%d answers, want 4", n)
	}
}

// forged sends what must not be taken.
func forged(t *testing.T, x *site, ends slackfake.Endpoints, thread string) {
	t.Helper()
	event := []byte(fmt.Sprintf(`{"team_id":%q,"event_id":"EvX","event":{"type":"message","channel":%q,"user":%q,"text":"yes","ts":%q,"thread_ts":%q}}`,
		x.fake.Team(), crewCh, dana, stamp(time.Now().Add(time.Minute)), thread))
	press := url.Values{"payload": {`{"type":"block_actions"}`}}.Encode()
	cases := map[string]struct {
		to   string
		body []byte
		o    slackfake.PostOptions
		want int
	}{
		"a forged signature":     {ends.Events, event, slackfake.PostOptions{Secret: "wrong"}, 401},
		"no signature":           {ends.Events, event, slackfake.PostOptions{Signature: "none"}, 401},
		"a signature of a form":  {ends.Events, event, slackfake.PostOptions{Signature: "v0=zz"}, 401},
		"an old one":             {ends.Events, event, slackfake.PostOptions{Skew: -6 * time.Minute}, 401},
		"one of tomorrow":        {ends.Events, event, slackfake.PostOptions{Skew: 6 * time.Minute}, 401},
		"too large a body":       {ends.Events, []byte(strings.Repeat("x", maxBody+1)), slackfake.PostOptions{}, 413},
		"no JSON":                {ends.Events, []byte("{"), slackfake.PostOptions{}, 400},
		"a payload in the query": {ends.Interactive + "?" + press, []byte("x=1"), slackfake.PostOptions{}, 400},
		"no command":             {ends.Commands, []byte("text=new+OR-9"), slackfake.PostOptions{}, 400},
		"an empty payload":       {ends.Interactive, []byte("payload="), slackfake.PostOptions{}, 400},
		"an unknown press":       {ends.Interactive, []byte(press), slackfake.PostOptions{}, 200},
	}
	for name, c := range cases {
		got, err := x.fake.PostSigned(c.to, c.body, c.o)
		if c.want == 413 && err != nil {
			continue // hung up on, which will do
		}
		if err != nil || got.Status != c.want {
			t.Errorf("%s: %d %v, want %d", name, got.Status, err, c.want)
		}
	}
	got, err := x.fake.PostSigned(ends.Events, []byte(`{"type":"url_verification","challenge":"abc"}`), slackfake.PostOptions{})
	if err != nil || string(got.Body) != "abc" {
		t.Errorf("challenge: %q %v", got.Body, err)
	}
	// A request that was recorded and is sent again: acknowledged, and known.
	all := x.fake.Deliveries()
	for _, d := range all {
		to, body := d.HTTPBody(ends)
		if got, err := x.fake.PostSigned(to, body, slackfake.PostOptions{}); err != nil || got.Status != http.StatusOK {
			t.Errorf("replayed %s: %d %v", d.Type, got.Status, err)
		}
	}
	x.still()
}

func TestKeysAreThoseOfTheDelivery(t *testing.T) {
	event := func(inner string) Raw {
		return Raw{Kind: kindEvents, Payload: json.RawMessage(`{"team_id":"T1","event_id":"Ev1","event":` + inner + `}`)}
	}
	cases := map[string]Raw{
		"m/T1/C1/1.2": event(`{"type":"message","channel":"C1","user":"U1","ts":"1.2"}`),
		"e/T1/Ev1":    event(`{"type":"app_home_opened","user":"U1","tab":"home","event_ts":"3.4"}`),
		"c/T1/9.9":    {Kind: kindCommand, Payload: json.RawMessage(`{"team_id":"T1","trigger_id":"9.9"}`)},
		"a/T1/U1/C1/1.2/answer/a/5.6": {Kind: kindInteractive, Payload: json.RawMessage(
			`{"type":"block_actions","team":{"id":"T1"},"user":{"id":"U1"},"channel":{"id":"C1"},"container":{"message_ts":"1.2"},` +
				`"actions":[{"action_id":"other"},{"action_id":"answer/a","action_ts":"5.6","value":"abc\nyes"}]}`)},
		"v/V1/h1": {Kind: kindInteractive, Payload: json.RawMessage(
			`{"type":"view_submission","view":{"id":"V1","hash":"h1","callback_id":"open_bore"}}`)},
	}
	for want, raw := range cases {
		if l, ok := read(raw); !ok || l.Key != want {
			t.Errorf("%q %v, want %q", l.Key, ok, want)
		}
	}
	// A message that names the bot comes twice, and counts once.
	a, _ := read(event(`{"type":"message","channel":"C1","user":"U1","ts":"1.2","text":"<@UB> yes"}`))
	b, _ := read(event(`{"type":"app_mention","channel":"C1","user":"U1","ts":"1.2","text":"<@UB> yes"}`))
	if a.Key != b.Key {
		t.Errorf("%q and %q", a.Key, b.Key)
	}
	long, _ := read(event(`{"type":"message","channel":"` + strings.Repeat("C", 300) + `","user":"U1","ts":"1.2"}`))
	if len(long.Key) > 160 {
		t.Errorf("a key of %d bytes", len(long.Key))
	}
}

func TestTextIsAsTyped(t *testing.T) {
	for in, want := range map[string]string{
		"911; <tel:5550100|555-0100>; 12 Otter Run Road": "911; 555-0100; 12 Otter Run Road",
		"<mailto:a@b.example|a@b.example>":               "a@b.example",
		"<http://otter.example>":                         "http://otter.example",
		"sign <@U1>, drill operator":                     "sign @U1, drill operator",
		"&lt;3 ft &amp; more":                            "<3 ft & more",
		"&amp;lt;":                                       "&lt;",
		"<!here> stop":                                   "@here stop",
		"10’ 2”":                                         "10’ 2”",
	} {
		if got := plain(in); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
}

// Neighbours in a thread are worked off in the order of the chat, however they
// came.
func TestOrderInAThread(t *testing.T) {
	var got []string
	start := make(chan struct{})
	q := newQueues(func(_ context.Context, l letter) {
		<-start
		got = append(got, l.TS)
	})
	var want []string
	for i := range 200 {
		want = append(want, fmt.Sprintf("17.%06d", i))
	}
	for _, i := range slices.Collect(maps.Keys(asSet(want))) {
		q.add(t.Context(), "thread/OR-4", letter{TS: i})
	}
	close(start)
	q.wait()
	if len(got) != 200 || !slices.IsSorted(got[1:]) {
		t.Errorf("%d, in order %v", len(got), slices.IsSorted(got[1:]))
	}
}

func asSet(list []string) map[string]bool {
	set := map[string]bool{}
	for _, s := range list {
		set[s] = true
	}
	return set
}
