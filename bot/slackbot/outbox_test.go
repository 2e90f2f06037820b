package slackbot

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/slack-go/slack"

	"firstrod/bot"
	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine/boltstore"
	"firstrod/engine/exif"
	"firstrod/engine/ledger"
)

// wall is a clock that nobody waits for: sleeping moves it.
type wall struct {
	mu  sync.Mutex
	now time.Time
}

func (w *wall) clock() Clock {
	return Clock{
		Now: func() time.Time { w.mu.Lock(); defer w.mu.Unlock(); return w.now },
		Sleep: func(ctx context.Context, d time.Duration) error {
			w.mu.Lock()
			w.now = w.now.Add(max(d, 0))
			w.mu.Unlock()
			return ctx.Err()
		},
	}
}

// box is an outbox alone, on a workspace that is not real.
func box(t *testing.T, fake *slackfake.Server, tune func(*Config)) (*outbox, *boltstore.Mail) {
	t.Helper()
	mail, err := boltstore.OpenMail(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	b, err := bot.New(bot.Config{Zone: "America/Phoenix", Lang: "en"})
	if err != nil {
		t.Fatal(err)
	}
	w := &wall{now: time.Now()}
	cfg := Config{
		Bot: b, Table: mail, APIURL: fake.API(), Tokens: Tokens{Bot: fake.BotToken()}, Clock: w.clock(), Patience: 2 * time.Second,
	}
	if tune != nil {
		tune(&cfg)
	}
	cfg = cfg.withDefaults()
	o := newOutbox(cfg, slack.New(fake.BotToken(), slack.OptionAPIURL(fake.API())), newPlaces(mail), newHealth(cfg.Log, cfg.Clock.Now))
	o.self = self{User: fake.BotUser()}
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(func() {
		stop()
		o.wait()
		mail.Close()
	})
	if err := o.load(ctx); err != nil {
		t.Fatal(err)
	}
	return o, mail
}

func (o *outbox) post(t *testing.T, items ...*item) {
	t.Helper()
	for _, it := range items {
		if it.ID == "" {
			it.ID = o.id()
		}
	}
	if err := o.add(t.Context(), items, map[string][]byte{}, nil); err != nil {
		t.Fatal(err)
	}
}

func (o *outbox) idle(t *testing.T, fake *slackfake.Server) {
	t.Helper()
	fake.Wait("an empty outbox", patience, func() bool { return o.backlog() == 0 })
}

func texts(fake *slackfake.Server) []string {
	var all []string
	for _, m := range fake.Messages(crewCh, "") {
		all = append(all, m.Text)
	}
	return all
}

func TestAMessageASecondInAChannel(t *testing.T) {
	fake := newFake(t)
	fake.AddChannel(slackfake.Channel{ID: "C2"})
	o, _ := box(t, fake, nil)
	start := o.cfg.Clock.Now()
	for range 5 {
		o.post(t, &item{Op: opPost, Channel: crewCh, Text: "a"})
	}
	o.idle(t, fake)
	if passed := o.cfg.Clock.Now().Sub(start); passed < 4*time.Second || passed > 8*time.Second {
		t.Errorf("five messages in %v", passed)
	}
}

func TestRetryAfterIsHonoured(t *testing.T) {
	fake := newFake(t)
	o, _ := box(t, fake, nil)
	fake.Fail("chat.postMessage", slackfake.RateLimit{After: 30 * time.Second})
	start := o.cfg.Clock.Now()
	o.post(t, &item{Op: opPost, Channel: crewCh, Text: "a"})
	o.idle(t, fake)
	if passed := o.cfg.Clock.Now().Sub(start); passed < 30*time.Second || !slices.Equal(texts(fake), []string{"a"}) {
		t.Errorf("%v after %v", texts(fake), passed)
	}
}

// However a call ends, its message is there once.
func TestNothingIsPostedTwice(t *testing.T) {
	for name, faults := range map[string][]slackfake.Fault{
		"cut before":                            {slackfake.Cut{}},
		"cut after":                             {slackfake.Cut{After: true}},
		"cut after, twice":                      {slackfake.Cut{After: true}, slackfake.Cut{After: true}},
		"refused by a proxy, done all the same": {slackfake.Status{Code: 502, After: true}},
		"an inner fault":                        {slackfake.Refuse{Error: "internal_error"}, slackfake.Status{Code: 503}},
		"limited, then cut":                     {slackfake.RateLimit{After: time.Second}, slackfake.Cut{After: true}},
	} {
		t.Run(name, func(t *testing.T) {
			fake := newFake(t)
			o, _ := box(t, fake, nil)
			fake.Fail("chat.postMessage", faults...)
			fake.Fail("conversations.history", slackfake.Cut{}, slackfake.Status{Code: 503})
			o.post(t, &item{Op: opPost, Channel: crewCh, Text: "one", Keep: true}, &item{Op: opPost, Channel: crewCh, Text: "two"})
			o.idle(t, fake)
			if got := texts(fake); !slices.Equal(got, []string{"one", "two"}) {
				t.Errorf("%q", got)
			}
		})
	}
}

// Where the app may not read the channel, a message whose fate is not known
// takes the place of the one before it.
func TestWithoutTheRightToLook(t *testing.T) {
	fake := newFake(t)
	fake.Scopes("chat:write", "commands", "im:history")
	o, _ := box(t, fake, nil)
	first := &item{ID: o.id(), Op: opPost, Channel: crewCh, Text: "question one", Keep: true}
	o.post(t, first)
	o.idle(t, fake)
	fake.Fail("chat.postMessage", slackfake.Cut{})
	o.post(t, &item{Op: opPost, Channel: crewCh, Text: "question two", Before: first.ID})
	o.idle(t, fake)
	if got := texts(fake); !slices.Equal(got, []string{"question two"}) {
		t.Errorf("%q", got)
	}
	fake.Fail("chat.postMessage", slackfake.Cut{After: true})
	o.post(t, &item{Op: opPost, Channel: crewCh, Text: "alone"})
	o.idle(t, fake)
	if got := texts(fake); !slices.Equal(got, []string{"question two", "alone"}) || o.health.now(0).Dead != 1 {
		t.Errorf("%q %+v", got, o.health.now(0))
	}
}

func TestOnlyTheLastOfSeveralChangesIsSent(t *testing.T) {
	fake := newFake(t)
	o, _ := box(t, fake, nil)
	parent := &item{ID: o.id(), Op: opPost, Channel: crewCh, Text: "summary", Keep: true}
	fake.Fail("chat.postMessage", slackfake.Slow{For: 300 * time.Millisecond})
	o.post(t, parent)
	for _, text := range []string{"1", "2", "3", "4"} {
		o.post(t, &item{Op: opUpdate, Channel: crewCh, Of: parent.ID, Text: text, Once: "summary"})
	}
	o.idle(t, fake)
	if got := texts(fake); !slices.Equal(got, []string{"4"}) || len(fake.Calls("chat.update")) > 2 {
		t.Errorf("%q, %d changes", got, len(fake.Calls("chat.update")))
	}
}

func TestRefusedBlocksDoNotSilenceTheBot(t *testing.T) {
	fake := newFake(t)
	o, _ := box(t, fake, nil)
	long := encode([]slack.Block{slack.NewSectionBlock(plainText(strings.Repeat("x", 4000)), nil, nil)})
	o.post(t, &item{Op: opPost, Channel: crewCh, Text: "the words", Blocks: long})
	o.idle(t, fake)
	if got := texts(fake); !slices.Equal(got, []string{"the words"}) {
		t.Errorf("%q", got)
	}
}

// A channel that is archived, or that the bot was taken out of.
func TestAChannelThatIsGone(t *testing.T) {
	for why, change := range map[string]func(*slackfake.Channel){
		"archived": func(c *slackfake.Channel) { c.Archived = true },
		"not in":   func(c *slackfake.Channel) { c.NoBot = true },
	} {
		x := newSite(t, loadRules(t), newFake(t), nil)
		thread, last := x.walk(2)
		x.fake.Say(dana, crewCh, thread, "yes")
		_, _ = x.next("OR-4", last)
		x.still()
		say := x.fake.Say(dana, crewCh, thread, "no")
		x.fake.ChangeChannel(crewCh, change)
		x.fake.Wait("an acknowledgement", patience, say.Acked)
		dm := x.fake.DM(dana)
		x.fake.Wait("a word to the opener: "+why, patience, func() bool { return len(x.fake.Messages(dm, "")) > 0 })
		has(t, x.fake.Messages(dm, "")[0].Plain(), "resume", "Crew")
		x.fake.Say(dana, dm, "", "resume OR-4")
		x.fake.Wait("the question in direct messages", patience, func() bool {
			all := x.fake.Messages(dm, "")
			return strings.Contains(all[len(all)-1].Plain(), "talked this bore through")
		})
		x.still()
		if x.svc.Health().Dead == 0 {
			t.Error("no alarm")
		}
		// In a channel that the bot may not write to, nothing opens.
		x.fake.Slash(luis, crewCh, "new OR-5, Otter Run")
		x.fake.Wait("an answer to the command", patience, func() bool { return len(x.fake.Ephemerals(luis)) > 0 })
		x.halt()
	}
}

func drawn(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 4, 4))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPicturesComeAndGo(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	marks := drawn(t)
	x.fake.Upload(dana, crewCh, thread, "marks.png", marks)
	m, _ := x.next("OR-4", last)
	has(t, m.Plain(), "1 picture kept")
	x.fake.Upload(dana, crewCh, thread, "page.png", []byte("<html><script>x</script>"))
	x.fake.Wait("a word about it", patience, func() bool {
		q, _, _ := x.question("OR-4")
		return strings.Contains(q.Plain(), "page.png was not kept") || strings.Contains(x.transcript("OR-4"), "page.png was not kept")
	})
	x.still()
	if n := x.kinds(ledger.KindShown); n != 1 {
		t.Errorf("%d shown, want 1", n)
	}
	x.fake.Fail("files.completeUploadExternal", slackfake.Cut{After: true})
	x.fake.Fail("upload", slackfake.Cut{})
	x.fake.Say(luis, crewCh, thread, "fotos")
	x.still()
	var sent []slackfake.File
	for _, m := range x.fake.Messages(crewCh, thread) {
		if m.User == x.fake.BotUser() {
			sent = append(sent, m.Files...)
		}
	}
	if len(sent) != 1 || string(sent[0].Data) != string(marks) || !strings.Contains(sent[0].AltText, "marks.png") || !strings.Contains(sent[0].AltText, "OR-4") {
		t.Errorf("%+v", sent)
	}
}

// Where a picture was taken is for a safety manager, and not where the crew reads
// along; the picture itself comes back without it.
func TestThePlaceOfAPictureIsNotForEverybody(t *testing.T) {
	placed, err := os.ReadFile("../../engine/exif/testdata/outside/placed.jpg") // see the README there
	if err != nil {
		t.Fatal(err)
	}
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	x.fake.Upload(dana, crewCh, thread, "marks.jpg", placed)
	_, last = x.next("OR-4", last)
	x.still()
	for _, who := range []string{dana, marta} {
		var text string
		text, last = x.reply(thread, last, line{who, "photos"})
		has(t, text, "marks.jpg", "taken 2026-11-24 08:05", "place on file")
		x.still()
	}
	dm := func(user string) string {
		for _, text := range []string{"resume OR-4", "photos"} {
			x.fake.Say(user, x.fake.DM(user), "", text)
			x.fake.Wait(text, patience, func() bool { return len(x.fake.Messages(x.fake.DM(user), "")) > 1 })
			x.still()
		}
		var all []string
		for _, m := range x.fake.Messages(x.fake.DM(user), "") {
			all = append(all, m.Plain())
		}
		return strings.Join(all, "\n")
	}
	has(t, dm(marta), "at 33.44838, -112.07404")
	if text := dm(dana) + x.transcript("OR-4"); strings.Contains(text, "33.448") || !strings.Contains(text, "place on file") {
		t.Errorf("the crew was told where a picture was taken, or nothing at all:\n%s", text)
	}
	back := 0
	for _, m := range x.fake.FromBot() {
		for _, f := range m.Files {
			back++
			if i := exif.Read(f.Data); i.Place != nil || i.When() != "2026-11-24 08:05" {
				t.Errorf("%s came back with %+v", f.Name, i)
			}
		}
	}
	if back != 4 {
		t.Errorf("%d pictures came back, want 4", back)
	}
	// One that is gone is named.
	files, err := filepath.Glob(filepath.Join(x.dir, "evidence", "*"))
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	if err := os.Remove(files[0]); err != nil {
		t.Fatal(err)
	}
	text, _ := x.reply(thread, last, line{dana, "photos"})
	has(t, text, "MISSING OR CHANGED")
}

// look is of the bot's settings.
func (x *site) look(ctx context.Context, sum string) (exif.Info, error) {
	data, err := x.store.Kept(ctx, sum)
	return exif.Read(data), err
}
