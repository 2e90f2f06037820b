package slackfake_test

import (
	"bufio"
	"encoding/json"
	"io"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/bot/slackbot/slackfake/blockcheck"
)

// saw is one line of the app in testdata/bolt.cjs.
type saw struct {
	Got, Text, Thread, Value, View, ID string
	Bot                                bool
}

// outsider is an app on the service's own JavaScript library (npm @slack/bolt),
// which knows nothing of this fake.
type outsider struct {
	t    *testing.T
	mu   sync.Mutex
	seen []saw
}

func startOutsider(t *testing.T, s *slackfake.Server, http bool) *outsider {
	t.Helper()
	cfg, err := json.Marshal(map[string]any{
		"modules": blockcheck.Packages(t), "api": s.API(), "botToken": s.BotToken(), "appToken": s.AppToken(),
		"signingSecret": s.SigningSecret(), "http": http,
	})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "testdata/bolt.cjs", string(cfg))
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	complaint := new(strings.Builder)
	cmd.Stderr = complaint
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	o := &outsider{t: t}
	read := make(chan struct{})
	go o.read(out, read)
	t.Cleanup(func() {
		in.Close()
		<-read
		if err := cmd.Wait(); err != nil {
			t.Errorf("node: %v\n%s", err, complaint)
		}
		if t.Failed() {
			t.Logf("the outside app said:\n%s", complaint)
		}
	})
	return o
}

func (o *outsider) read(out io.Reader, done chan<- struct{}) {
	defer close(done)
	for lines := bufio.NewScanner(out); lines.Scan(); {
		var line saw
		if json.Unmarshal(lines.Bytes(), &line) == nil {
			o.mu.Lock()
			o.seen = append(o.seen, line)
			o.mu.Unlock()
		}
	}
}

func (o *outsider) all(got string) []saw {
	o.mu.Lock()
	defer o.mu.Unlock()
	var out []saw
	for _, line := range o.seen {
		if line.Got == got {
			out = append(out, line)
		}
	}
	return out
}

func people(s *slackfake.Server) {
	s.AddUser(slackfake.User{ID: "U1", Name: "ana", RealName: "Ana", TZ: "America/Denver", Locale: "es-MX"})
	s.AddChannel(slackfake.Channel{ID: "C1", Name: "north-yard"})
}

func TestAnOutsideClientTakesTheFakeForTheService(t *testing.T) {
	s := slackfake.New(t, func(c *slackfake.Config) {
		c.AckTimeout, c.PingEvery, c.TriggerLife = 2*time.Second, 100*time.Millisecond, 10*time.Second
	})
	people(s)
	o := startOutsider(t, s, false)
	const soon = 20 * time.Second
	s.Wait("a socket", soon, func() bool { return s.Sockets() == 1 && len(o.all("connected")) == 1 })

	root := s.Say("U1", "C1", "", "ask me")
	s.Wait("the question", soon, func() bool { return len(s.Messages("C1", root.TS)) == 2 })
	s.Wait("the acknowledgement", soon, root.Acked)
	question := s.Messages("C1", root.TS)[1]
	if question.ThreadTS != root.TS || question.Text != "Depth?" || len(question.Buttons()) != 1 {
		t.Errorf("question %+v", question)
	}
	press := s.Press("U1", question, "Yes")
	s.Wait("the press", soon, func() bool { return press.Acked() && len(o.all("action")) == 1 })
	if got := o.all("action")[0]; got.Value != "yes" || got.Thread != root.TS {
		t.Errorf("press arrived as %+v", got)
	}
	if now, _ := s.Message("C1", question.TS); now.Text != "Depth: yes" || len(now.Blocks) != 0 || now.Edits != 1 {
		t.Errorf("after the update %+v", now)
	}
	mention := s.Say("U1", "C1", "", "<@"+s.BotUser()+"> hello")
	s.Wait("the mention", soon, func() bool { return mention.Acked() && len(o.all("app_mention")) == 1 })
	if short := s.Shortcut("U1", "new_bore"); true {
		s.Wait("the shortcut", soon, func() bool { return short.Acked() && len(o.all("shortcut")) == 1 })
	}
	modalWithOutsider(t, s, o)
	survives(t, s, o)
	if s.StrayAcks() != 0 {
		t.Errorf("%d acknowledgements of nothing", s.StrayAcks())
	}
	blockcheck.Validate(t, blockcheck.Message, s.Emitted("message"))
	blockcheck.Validate(t, blockcheck.Modal, s.Emitted("modal"))
}

func modalWithOutsider(t *testing.T, s *slackfake.Server, o *outsider) {
	t.Helper()
	const soon = 20 * time.Second
	command := s.Slash("U1", "C1", "open 41")
	s.Wait("the modal", soon, func() bool { _, up := s.Modal("U1"); return up && command.Acked() })
	if reply := string(command.Reply()); !strings.Contains(reply, "opening") {
		t.Errorf("command acknowledged with %s", reply)
	}
	modal, _ := s.Modal("U1")
	bad := s.Submit("U1", modal, map[string]string{"depth": "bad"})
	s.Wait("the refusal", soon, func() bool { m, _ := s.Modal("U1"); return bad.Acked() && m.Errors["depth"] != "" })
	good := s.Submit("U1", modal, map[string]string{"depth": "10 ft"})
	s.Wait("the closing", soon, func() bool { _, up := s.Modal("U1"); return good.Acked() && !up && len(o.all("view")) == 2 })
	if got := o.all("view"); got[1].Value != "10 ft" {
		t.Errorf("submissions arrived as %+v", got)
	}
}

// survives sends the client away, cuts it, loses an acknowledgement, and says
// something while nobody listens.
func survives(t *testing.T, s *slackfake.Server, o *outsider) {
	t.Helper()
	const soon = 20 * time.Second
	for _, away := range []struct {
		how string
		do  func()
	}{
		{"refresh_requested", func() { s.Disconnect("refresh_requested") }},
		{"warning", func() { s.Disconnect("warning") }},
		{"cut", s.CutSockets},
	} {
		opened := s.Opened()
		away.do()
		s.Wait("nobody there after "+away.how, soon, func() bool { return s.Sockets() == 0 })
		a := s.Say("U1", "C1", "", "while away: "+away.how)
		s.Wait("another socket after "+away.how, soon, func() bool { return s.Opened() > opened && s.Sockets() == 1 })
		s.Wait("what waited after "+away.how, soon, a.Acked)
	}
	s.LoseAcks(1, slackfake.Events)
	a := s.Say("U1", "C1", "", "lost acknowledgement")
	s.Wait("the second try", soon, a.Acked)
	if s.LostAcks() != 1 || a.Deliveries[0].Sends() != 2 {
		t.Errorf("%d lost, sent %d times", s.LostAcks(), a.Deliveries[0].Sends())
	}
	ids := map[string]int{}
	for _, m := range o.all("message") {
		ids[m.ID]++
		if strings.HasPrefix(m.Text, "lost") && ids[m.ID] > 2 || strings.HasPrefix(m.Text, "while") && ids[m.ID] > 1 {
			t.Errorf("event %s (%s) arrived %d times", m.ID, m.Text, ids[m.ID])
		}
	}
}

func TestAnOutsideReceiverJudgesOurSignatures(t *testing.T) {
	s := slackfake.New(t)
	people(s)
	o := startOutsider(t, s, true)
	s.Wait("its port", 20*time.Second, func() bool { return len(o.all("listening")) == 1 })
	address := "http://127.0.0.1:" + o.all("listening")[0].Text + "/slack/events"
	body := []byte(`{"type":"event_callback","event_id":"Ev1","team_id":"T1","event":{"type":"message","channel":"C1","user":"U1","text":"tubería 3 m","ts":"1.2"}}`)
	for _, row := range []struct {
		name   string
		o      slackfake.PostOptions
		status int
	}{
		{"right", slackfake.PostOptions{}, 200},
		{"4 minutes old", slackfake.PostOptions{Skew: -4 * time.Minute}, 200},
		{"6 minutes old", slackfake.PostOptions{Skew: -6 * time.Minute}, 401},
		{"wrong key", slackfake.PostOptions{Secret: "not the key"}, 401},
		{"no signature", slackfake.PostOptions{Signature: "none"}, 401},
		{"garbled signature", slackfake.PostOptions{Signature: "v0=00"}, 401},
	} {
		answer, err := s.PostSigned(address, body, row.o)
		if err != nil || answer.Status != row.status {
			t.Errorf("%s: %d %v, want %d", row.name, answer.Status, err, row.status)
		}
	}
	s.Wait("both good ones", 5*time.Second, func() bool { return len(o.all("message")) == 2 })
	if got := o.all("message")[0].Text; got != "tubería 3 m" {
		t.Errorf("text arrived as %q", got)
	}
	s.DeliverTo(slackfake.Endpoints{Events: address, Commands: address, Interactive: address})
	said, command := s.Say("U1", "C1", "", "over HTTP"), s.Slash("U1", "C1", "status 41")
	s.Wait("HTTP deliveries", 5*time.Second, func() bool { return said.Acked() && command.Acked() })
	s.Wait("the command", 5*time.Second, func() bool { return len(o.all("command")) == 1 })
	if got := o.all("command")[0].Text; got != "status 41" {
		t.Errorf("command arrived as %q", got)
	}
}
