package slackbot

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"slices"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/bot"
	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
	"firstrod/policies"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The people of the workspace.
const (
	dana   = "U0DANA001" // locating hand, English
	luis   = "U0LUIS001" // drill operator, Spanish
	marta  = "U0MARTA01" // safety manager
	pat    = "U0PAT0001" // on no list
	gus    = "U0GUEST01" // a guest
	parrot = "U0BOT0002" // a program
	crewCh = "C0CREW001"
)

// site is a service on a workspace that is not real, with real rules, a real
// ledger and a real dialogue.
type site struct {
	t     testing.TB
	fake  *slackfake.Server
	book  engine.Rulebook
	dir   string
	tune  func(*Config)
	file  func(ctx context.Context, bore, lang string) (bot.Paper, error) // instead of the real record
	clock func() time.Time

	svc   *Service
	store *boltstore.Store
	mail  *boltstore.Mail
	stop  context.CancelFunc
	ended chan error
}

func loadRules(t testing.TB) *rules.Set {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Load(context.Background(), base, rules.Options{Layer: "base"})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func newFake(t testing.TB, tune ...func(*slackfake.Config)) *slackfake.Server {
	t.Helper()
	quick := func(c *slackfake.Config) {
		c.AckTimeout, c.Retries, c.PingEvery = 200*time.Millisecond, 30, time.Second
	}
	f := slackfake.New(t, append([]func(*slackfake.Config){quick}, tune...)...)
	for _, u := range []slackfake.User{
		{ID: dana, Name: "dana", RealName: "Dana Reyes", Locale: "en-US"},
		{ID: luis, Name: "luis", RealName: "Luis Ortega", Locale: "es-MX"},
		{ID: marta, Name: "marta", RealName: "Marta Quill", Locale: "en-US"},
		{ID: pat, Name: "pat", RealName: "Pat Dorn", Locale: "en-US"},
		{ID: gus, Name: "gus", RealName: "Gus Fell", Locale: "en-US", IsRestricted: true},
		{ID: parrot, Name: "parrot", IsBot: true},
	} {
		f.AddUser(u)
	}
	f.AddChannel(slackfake.Channel{ID: crewCh, Name: "crew"})
	return f
}

func newSite(t testing.TB, set *rules.Set, fake *slackfake.Server, tune func(*Config)) *site {
	t.Helper()
	return newSiteOf(t, engine.Everywhere(set), fake, tune)
}

// newSiteOf is a site with the rules of more than one place.
func newSiteOf(t testing.TB, book engine.Rulebook, fake *slackfake.Server, tune func(*Config)) *site {
	t.Helper()
	x := &site{
		t: t, fake: fake, book: book, dir: t.TempDir(), tune: tune,
		clock: noon,
	}
	t.Cleanup(x.halt)
	x.start()
	return x
}

func noon() time.Time { return time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC) }

// start runs the service on the data folder as it is.
func (x *site) start() { x.t.Helper(); x.start0(func() {}) }

// start0 does something to the mail before the service looks at it.
func (x *site) start0(before func()) {
	x.t.Helper()
	var err error
	if x.store, err = boltstore.Open(x.dir, boltstore.Options{Clock: x.clock}); err != nil {
		x.t.Fatal(err)
	}
	if x.mail, err = boltstore.OpenMail(x.dir); err != nil {
		x.t.Fatal(err)
	}
	e, err := engine.New(context.Background(), engine.Config{Rules: x.book, Store: x.store, Registry: x.store, Clock: x.clock})
	if err != nil {
		x.t.Fatal(err)
	}
	b, err := bot.New(bot.Config{Record: x.papers(e), Look: x.look, Engine: e, Zone: "America/Phoenix", Lang: "en", Contact: bot.Contact{Name: "Marta Quill", Phone: "555-0142"}})
	if err != nil {
		x.t.Fatal(err)
	}
	cfg := Config{
		Bot: b, Table: x.mail, Shelf: x.store, APIURL: x.fake.API(), Call: "Marta Quill 555-0142",
		Tokens: Tokens{Bot: x.fake.BotToken(), App: x.fake.AppToken(), Signing: x.fake.SigningSecret()},
		Roles:  map[string]string{dana: engine.RoleLocatingHand, luis: engine.RoleDrillOperator, marta: engine.RoleSafetyManager},
		Pace:   time.Millisecond, Settle: 10 * time.Millisecond, Reopen: 2 * time.Millisecond, React: -1, Patience: 3 * time.Second,
		Log: slog.New(slog.NewTextHandler(testLog{x.t}, &slog.HandlerOptions{Level: slog.LevelWarn})),
	}
	if x.tune != nil {
		x.tune(&cfg)
	}
	before()
	if x.svc, err = New(cfg); err != nil {
		x.t.Fatal(err)
	}
	x.svc.bound = make(chan net.Addr, 1)
	var ctx context.Context
	ctx, x.stop = context.WithCancel(context.Background())
	x.ended = make(chan error, 1)
	svc := x.svc
	go func() { x.ended <- svc.Run(ctx) }()
}

// testLog keeps the service's log quiet but for a run with -v.
type testLog struct{ t testing.TB }

func (l testLog) Write(p []byte) (int, error) {
	if testing.Verbose() {
		fmt.Print(string(p))
	}
	return len(p), nil
}

// halt stops the service as a stop of the unit does.
func (x *site) halt() {
	if x.stop == nil {
		return
	}
	x.stop()
	if err := <-x.ended; err != nil {
		x.t.Errorf("the service ended with %v", err)
	}
	x.stop = nil
	x.store.Close()
	x.mail.Close()
}

// restart stops and starts again.
func (x *site) restart() {
	x.t.Helper()
	x.halt()
	x.start()
}

const patience = 20 * time.Second

// thread waits for the thread of a bore and gives its timestamp.
func (x *site) thread(bore string) string {
	x.t.Helper()
	ts := ""
	x.fake.Wait("the thread of "+bore, patience, func() bool {
		t, ok := x.svc.places.thread(bore)
		if ok {
			var at posted
			if at, ok = x.svc.places.where(t.Parent); ok {
				ts = at.TS
			}
		}
		return ok
	})
	return ts
}

// question is the newest question of a bore as a person sees it; ok is false
// while it is still on its way.
func (x *site) question(bore string) (m slackfake.Message, id string, ok bool) {
	t, there := x.svc.places.thread(bore)
	if !there || len(t.Asked) == 0 {
		return m, "", false
	}
	last := t.Asked[len(t.Asked)-1]
	at, there := x.svc.places.where(last.Post)
	if !there {
		return m, "", false
	}
	m, ok = x.fake.Message(at.Channel, at.TS)
	return m, last.Post, ok
}

// next waits for a question that is another message than the last one.
func (x *site) next(bore, last string) (slackfake.Message, string) {
	x.t.Helper()
	var m slackfake.Message
	id := ""
	deadline := time.Now().Add(patience)
	for {
		var ok bool
		if m, id, ok = x.question(bore); ok && id != last {
			return m, id
		}
		if time.Now().After(deadline) {
			x.t.Fatalf("no new question on %s; the thread:\n%s\nhealth %+v\n%s", bore, x.transcript(bore), x.svc.Health(), x.trace())
		}
		time.Sleep(time.Millisecond)
	}
}

// trace says what became of the last message of a person.
func (x *site) trace() string {
	var last *slackfake.Delivery
	var p eventPayload
	for _, d := range x.fake.Deliveries() {
		var q eventPayload
		if json.Unmarshal(d.Payload, &q) == nil && q.E.Type == "message" && q.E.Subtype == "" && q.E.BotID == "" {
			last, p = d, q
		}
	}
	if last == nil {
		return "nobody said anything"
	}
	k := key("m", p.Team, p.E.Channel, p.E.TS)
	_, seen, _ := x.mail.Get(context.Background(), seenKey+k)
	_, in, _ := x.mail.Get(context.Background(), inKey+k)
	return fmt.Sprintf("%q: acknowledged %v, lost %v, sent %d times, seen %v, waits %v; %d refusals, hints %v",
		p.E.Text, last.Acked(), last.Lost(), last.Sends(), seen, in, x.kinds(ledger.KindRefused), x.fake.Ephemerals(p.E.User))
}

func (x *site) transcript(bore string) string {
	t, ok := x.svc.places.thread(bore)
	if !ok {
		return "(none)"
	}
	at, _ := x.svc.places.where(t.Parent)
	var s strings.Builder
	for _, m := range x.fake.Messages(crewCh, at.TS) {
		fmt.Fprintf(&s, "[%s %s] %s %v\n", m.TS, m.User, m.Text, m.Buttons())
	}
	return s.String()
}

// still waits until nothing is on its way any more.
func (x *site) still() {
	x.t.Helper()
	// In the order in which a message goes through: what moves on while this looks is
	// then seen at a later place.
	x.fake.Wait("rest", patience, func() bool {
		if x.fake.Unacked() > 0 {
			return false
		}
		left := 0
		_ = x.mail.Each(context.Background(), inKey, func(string, []byte) error { left++; return nil })
		return left == 0 && x.svc.out.backlog() == 0
	})
}

// line is one thing that one of the crew says in the thread.
type line struct{ user, text string }

// crew is what a careful crew says after the bore is opened, up to its release.
func crew() []line {
	var all []line
	for _, text := range []string{
		"OTR-2291, 2026-11-23, 2026-12-03", "7, 7", "yes", "no",
		"yes", "all yes", "no", "911; 555-0100; 12 Otter Run Road",
		"R-114, T-27, H-9, yes", "9.5 and 22 kHz", "20 h, 24 h", "10 h, 85 %, 90 %", "yes, yes, h-9",
		"14 ft, 240 ft, no", "0.2 %, -0.2 %", "34 ft, 41 ft", "all no", "-12 dB", "-9 dB",
		"10 ft, 10 ft, centres", "all yes", "yes", "normal, normal, 60", "normal, normal, 58",
		"5 ft, 15 ft", "calibration", `5' 0", 5' 0 1/2", 5' 0"; 15' 0 1/2", 15' 0 1/2", 15' 1"`, `5' 0 1/2", 5' 0 1/2", 5' 1"; 15' 1", 15' 0 1/2", 15' 1"`,
		"gas main", "none", "12 in", "yes", "41 ft, 6 ft, 4 in, 12 ft, 5 ft", "19:30",
		"sign", "yes",
	} {
		all = append(all, line{dana, text})
	}
	return append(all, line{luis, "sign"}, line{luis, "sí"})
}

// open opens OR-4 with the slash command and waits for the first question.
func (x *site) open() (thread, last string) {
	x.t.Helper()
	x.fake.Wait("a socket", patience, func() bool { return x.svc.Health().Connections > 0 })
	x.fake.Slash(dana, crewCh, "new OR-4, Otter Run")
	thread = x.thread("OR-4")
	_, last = x.next("OR-4", "")
	return thread, last
}

// say says a line, by its button where there is one, and waits for the next
// question.
func (x *site) say(thread, last string, l line) string {
	x.t.Helper()
	m, _, ok := x.question("OR-4")
	if ok && slices.Contains(m.Buttons(), l.text) {
		x.fake.Press(l.user, m, l.text)
	} else {
		x.fake.Say(l.user, crewCh, thread, l.text)
	}
	_, id := x.next("OR-4", last)
	return id
}

// fact is one record as far as it must be the same whatever happened on the way:
// without times, numbers and keys of deliveries.
func (x *site) facts() []string {
	x.t.Helper()
	names := map[string]string{}
	var all []string
	err := x.store.Records(context.Background(), 0, func(r ledger.Record) error {
		if r.Person != nil {
			names[r.Person.ID] = fmt.Sprintf("person %d", len(names))
			return nil
		}
		if r.Bore == "" {
			return nil
		}
		by := ""
		if r.By != nil {
			by = names[r.By.ID] + "/" + r.By.Role
		}
		raw, err := json.Marshal([]any{r.Kind, r.Ver, by, r.Typed, r.Facts, r.Drops, r.Findings, r.State, r.Void, r.Sign, r.Release != nil, r.Why})
		all = append(all, string(raw))
		return err
	})
	if err != nil {
		x.t.Fatal(err)
	}
	return all
}
