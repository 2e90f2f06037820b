package slackfake_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"

	"firstrod/bot/slackbot/slackfake"
)

// listener acknowledges everything and remembers it, on the Go library.
type listener struct {
	mu     sync.Mutex
	events []socketmode.Event
	hush   bool // acknowledge nothing
}

func listen(t *testing.T, s *slackfake.Server) *listener {
	t.Helper()
	sm := socketmode.New(client(t, s, s.BotToken()), socketmode.OptionPingInterval(400*time.Millisecond))
	ctx, stop := context.WithCancel(context.Background())
	l := &listener{}
	var work sync.WaitGroup
	work.Go(func() { sm.RunContext(ctx) })
	work.Go(func() {
		for {
			select {
			case <-ctx.Done():
				return
			case e := <-sm.Events:
				l.take(ctx, sm, e)
			}
		}
	})
	t.Cleanup(func() { stop(); s.CutSockets(); work.Wait() })
	return l
}

func (l *listener) take(ctx context.Context, sm *socketmode.Client, e socketmode.Event) {
	l.mu.Lock()
	l.events = append(l.events, e)
	hush := l.hush
	l.mu.Unlock()
	if e.Request != nil && e.Request.EnvelopeID != "" && !hush {
		ackCtx, cancel := context.WithTimeout(ctx, time.Second)
		defer cancel()
		sm.AckCtx(ackCtx, e.Request.EnvelopeID, nil)
	}
}

func (l *listener) of(kind socketmode.EventType) []socketmode.Event {
	l.mu.Lock()
	defer l.mu.Unlock()
	var out []socketmode.Event
	for _, e := range l.events {
		if e.Type == kind {
			out = append(out, e)
		}
	}
	return out
}

func (l *listener) silence(on bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.hush = on
}

// texts lists the messages that arrived, with their retry numbers.
func (l *listener) texts() []string {
	var out []string
	for _, e := range l.of(socketmode.EventTypeEventsAPI) {
		api, _ := e.Data.(slackevents.EventsAPIEvent)
		if m, ok := api.InnerEvent.Data.(*slackevents.MessageEvent); ok {
			out = append(out, fmt.Sprintf("%s/%d", m.Text, e.Request.RetryAttempt))
		}
	}
	return out
}

func quick(c *slackfake.Config) {
	c.AckTimeout, c.PingEvery = 60*time.Millisecond, 50*time.Millisecond
}

const soon = 10 * time.Second

func connected(t *testing.T) (*slackfake.Server, *listener) {
	t.Helper()
	s := slackfake.New(t, quick)
	people(s)
	l := listen(t, s)
	s.Wait("a socket", soon, func() bool { return s.Sockets() == 1 })
	return s, l
}

func TestEventsComeAgainAndPressesDoNot(t *testing.T) {
	s, l := connected(t)
	s.LoseAcks(2, slackfake.Events)
	a := s.Say("U1", "C1", "", "lost twice")
	s.Wait("the third try", soon, a.Acked)
	if got := strings.Join(l.texts(), " "); got != "lost twice/0 lost twice/1 lost twice/2" {
		t.Errorf("arrived: %s", got)
	}
	s.Swallow(1, slackfake.Command, slackfake.Interactive)
	c := s.Slash("U1", "C1", "open")
	s.Wait("the command to be lost", soon, c.Deliveries[0].Lost)
	if n := len(l.of(socketmode.EventTypeSlashCommand)); n != 0 {
		t.Errorf("a swallowed command arrived %d times", n)
	}
	again := s.Slash("U1", "C1", "open")
	s.Wait("the command typed again", soon, again.Acked)
	s.Duplicate(1, slackfake.Command)
	twice := s.Slash("U1", "C1", "twice")
	s.Wait("both copies", soon, func() bool { return twice.Acked() && len(l.of(socketmode.EventTypeSlashCommand)) == 3 })
	got := l.of(socketmode.EventTypeSlashCommand)
	if got[1].Request.EnvelopeID != got[2].Request.EnvelopeID {
		t.Error("the duplicate came in another envelope")
	}
	l.silence(true)
	s.Duplicate(0)
	never := s.Say("U1", "C1", "", "never")
	s.Wait("the service to give up", soon, func() bool { return never.Deliveries[0].Lost() })
	if n := never.Deliveries[0].Sends(); n != 4 {
		t.Errorf("sent %d times, want once and three times again", n)
	}
}

func TestWhatWaitsForASocketComesInOrder(t *testing.T) {
	s, l := connected(t)
	s.Disconnect("refresh_requested")
	s.Wait("it to be back", soon, func() bool { return s.Opened() == 2 && s.Sockets() == 1 })
	s.CutAfter(1, slackfake.Events)
	for i := range 5 {
		s.Say("U1", "C1", "", fmt.Sprint("m", i))
	}
	s.Wait("all of them", soon, func() bool { return s.Unacked() == 0 && s.Opened() == 3 })
	last := -1
	first := map[string]bool{}
	for _, text := range l.texts() {
		name, _, _ := strings.Cut(text, "/")
		if first[name] {
			continue
		}
		first[name] = true
		var n int
		if fmt.Sscanf(name, "m%d", &n); n < last {
			t.Errorf("out of order: %v", l.texts())
		}
		last = n
	}
	if len(first) != 5 {
		t.Errorf("arrived: %v", l.texts())
	}
}

func TestGhostsTakeTheirShare(t *testing.T) {
	s, l := connected(t)
	hellos := func() []socketmode.Event { return l.of(socketmode.EventTypeHello) }
	s.Wait("its hello", soon, func() bool { return len(hellos()) == 1 })
	s.Ghosts(3)
	s.CutSockets()
	s.Wait("it to be back", soon, func() bool { return s.Sockets() == 1 && len(hellos()) == 2 })
	if n := hellos()[1].Request.NumConnections; n != 4 {
		t.Errorf("hello counts %d connections, want 4", n)
	}
	lost := 0
	var acts []*slackfake.Act
	for range 40 {
		acts = append(acts, s.Shortcut("U1", "new_bore"))
	}
	s.Wait("an end of all", soon, func() bool { return s.Unacked() == 0 })
	for _, a := range acts {
		if a.Deliveries[0].Lost() {
			lost++
		}
	}
	if lost < 20 || lost == 40 {
		t.Errorf("%d of 40 presses lost among three ghosts", lost)
	}
}

func TestSilenceEndsASocket(t *testing.T) {
	s, _ := connected(t)
	s.StopPings(true)
	s.Wait("the client to give up", soon, func() bool { return s.Opened() > 1 })
	s.StopPings(false)
	s.Wait("a lasting socket", soon, func() bool { return s.Sockets() == 1 })
}

func TestAClientSentAwayStormsBack(t *testing.T) {
	s := slackfake.New(t, quick)
	people(s)
	s.DisconnectNext(20, "too_many_websockets")
	listen(t, s)
	s.Wait("the storm to pass", soon, func() bool { return s.Sockets() == 1 })
	if n := len(s.Calls("apps.connections.open")); n < 21 {
		t.Errorf("%d openings", n)
	}
}

func TestAllKindsArriveWhole(t *testing.T) {
	s, l := connected(t)
	api := client(t, s, s.BotToken())
	yes := slack.NewButtonBlockElement("answer", "yes", words("Yes"))
	_, ts, err := api.PostMessageContext(t.Context(), "C1", slack.MsgOptionText("q", false), slack.MsgOptionBlocks(slack.NewActionBlock("q1", yes)))
	if err != nil {
		t.Fatal(err)
	}
	m, _ := s.Message("C1", ts)
	s.Press("U1", m, "Yes")
	s.MessageShortcut("U1", m, "use_photo")
	s.OpenHome("U1")
	s.Upload("U1", "C1", ts, "a.png", []byte("x"))
	dm := s.Say("U1", s.DM("U1"), "", "hello")
	edit := s.Edit(dm.Channel, dm.TS, "hello again")
	s.Delete(dm.Channel, dm.TS)
	s.Event(map[string]any{"type": "channel_archive", "channel": "C1", "user": "U1"})
	s.Say("U1", "C1", "", "<@"+s.BotUser()+"> status")
	unknown := s.Event(map[string]any{"type": "something_new"})
	s.Wait("all but the unknown", soon, func() bool { return edit.Acked() && s.Unacked() <= 1 })
	s.Wait("the unknown to fail", soon, func() bool { return unknown.Deliveries[0].Sends() > 1 })
	kinds := map[string]int{}
	for _, e := range l.of(socketmode.EventTypeEventsAPI) {
		event, _ := e.Data.(slackevents.EventsAPIEvent)
		kinds[event.InnerEvent.Type]++
		if event.TeamID != s.Team() {
			t.Errorf("team %q", event.TeamID)
		}
	}
	if kinds["message"] != 6 || kinds["app_mention"] != 1 || kinds["app_home_opened"] != 1 || kinds["channel_archive"] != 1 {
		t.Errorf("kinds %v", kinds)
	}
	press, _ := l.of(socketmode.EventTypeInteractive)[0].Data.(slack.InteractionCallback)
	if len(press.ActionCallback.BlockActions) != 1 || press.ActionCallback.BlockActions[0].Value != "yes" || press.Container.MessageTs != ts || press.User.ID != "U1" {
		t.Errorf("press %+v", press.ActionCallback)
	}
	if len(l.of(socketmode.EventTypeErrorBadMessage)) == 0 {
		t.Error("an unknown event was understood")
	}
}

func TestScopesDecideWhatTheAppHears(t *testing.T) {
	s := slackfake.New(t)
	people(s)
	s.AddChannel(slackfake.Channel{ID: "G1", Kind: "group"})
	s.AddChannel(slackfake.Channel{ID: "C2", NoBot: true})
	s.Scopes("im:history", "channels:history", "chat:write")
	hears := func(channel, text string) []string {
		var out []string
		for _, d := range s.Say("U1", channel, "", text).Deliveries {
			out = append(out, d.Type)
		}
		return out
	}
	mention := "<@" + s.BotUser() + "> hello"
	for _, row := range []struct{ channel, want string }{{"C1", "[message]"}, {"G1", "[]"}, {"C2", "[]"}, {s.DM("U1"), "[message]"}} {
		if got := fmt.Sprint(hears(row.channel, mention)); got != row.want {
			t.Errorf("in %s the app hears %s, want %s", row.channel, got, row.want)
		}
	}
	s.Scopes("app_mentions:read")
	if got := fmt.Sprint(hears("G1", mention)); got != "[app_mention]" {
		t.Errorf("with mentions alone: %s", got)
	}
}

// Many people at once: every event is acknowledged once, none twice, whatever
// goes wrong on the way. Run with -race.
func TestManyAtOnce(t *testing.T) {
	s, l := connected(t)
	dice := rand.New(rand.NewPCG(7, 7))
	s.Disturb(func(kind string, _ int) slackfake.Mishap {
		n := dice.IntN(40)
		if kind != slackfake.Events {
			n = 39
		}
		return slackfake.Mishap{LoseAck: n == 0, Twice: n == 1, Swallow: n == 2, CutAfter: n == 3, CutBefore: n == 4}
	})
	var crowd sync.WaitGroup
	for u := range 8 {
		crowd.Go(func() {
			user := fmt.Sprint("U", u)
			s.AddUser(slackfake.User{ID: user})
			for i := range 25 {
				s.Say(user, "C1", "", fmt.Sprint(user, "-", i))
			}
		})
	}
	crowd.Wait()
	s.Wait("an end", 30*time.Second, func() bool { return s.Unacked() == 0 })
	seen := map[string]bool{}
	for _, text := range l.texts() {
		name, _, _ := strings.Cut(text, "/")
		seen[name] = true
	}
	lost := 0
	for _, d := range s.Deliveries() {
		if d.Lost() {
			lost++
		}
	}
	if len(seen)+lost < 200 {
		t.Errorf("%d of 200 messages arrived, %d were given up", len(seen), lost)
	}
	for _, d := range s.Deliveries() {
		if d.Acked() && d.Latency() < 0 {
			t.Error("acknowledged before it was sent")
		}
	}
	s.Forget()
	if len(s.Deliveries())+len(s.Messages("C1", ""))+len(s.Calls("")) != 0 {
		t.Error("something was not forgotten")
	}
}

func TestPayloadsHaveTheirFields(t *testing.T) {
	s := slackfake.New(t, func(c *slackfake.Config) { c.EnterpriseID = "E1" })
	people(s)
	var command map[string]any
	if err := json.Unmarshal(s.Slash("U1", "C1", "open 41").Deliveries[0].Payload, &command); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{
		"enterprise_id": "E1", "team_id": s.Team(), "channel_id": "C1", "channel_name": "north-yard",
		"user_id": "U1", "command": "/firstrod", "text": "open 41", "is_enterprise_install": "false",
	} {
		if command[key] != want {
			t.Errorf("%s is %v, want %s", key, command[key], want)
		}
	}
}
