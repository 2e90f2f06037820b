package slackbot

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"

	"firstrod/bot"
	"firstrod/bot/slackbot/slackfake"
	"firstrod/bot/slackbot/slackfake/blockcheck"
	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/paper"
)

// papers makes real records.
func (x *site) papers(e *engine.Engine) func(ctx context.Context, bore, lang string) (bot.Paper, error) {
	if x.file != nil {
		return x.file
	}
	return func(ctx context.Context, bore, lang string) (bot.Paper, error) {
		d, err := paper.Of(ctx, e, x.store, bore, lang)
		if err != nil {
			return bot.Paper{}, err
		}
		pdf, err := paper.PDF(ctx, d)
		return bot.Paper{Name: bore, Checkpoint: d.Checkpoint.Note, Short: d.Checkpoint.Short, PDF: pdf}, err
	}
}

// filed lists the records that were sent into a thread, and the checkpoints.
func (x *site) filed(thread string) (pdfs []slackfake.File, notes []string) {
	x.t.Helper()
	for _, m := range x.fake.Messages(crewCh, thread) {
		for _, f := range m.Files {
			if m.User == x.fake.BotUser() && strings.HasSuffix(f.Name, ".pdf") {
				pdfs = append(pdfs, f)
			}
		}
		if text := preformatted(m); text != "" {
			notes = append(notes, text)
		}
	}
	return pdfs, notes
}

// preformatted is what somebody copies out of a message.
func preformatted(m slackfake.Message) string {
	var blocks []struct {
		Elements []struct {
			Type     string
			Elements []struct{ Text string }
		}
	}
	if json.Unmarshal(m.Blocks, &blocks) != nil {
		return ""
	}
	for _, b := range blocks {
		for _, e := range b.Elements {
			if e.Type == "rich_text_preformatted" {
				return e.Elements[0].Text
			}
		}
	}
	return ""
}

// signedBy opens a checkpoint with the key in the ledger's first record, as golang.org/x/mod
// reads signed notes.
func (x *site) signedBy(text string) ledger.Checkpoint {
	x.t.Helper()
	var key string
	stop := errors.New("enough")
	err := x.store.Records(context.Background(), 0, func(r ledger.Record) error { key = r.Log.Key; return stop })
	if !errors.Is(err, stop) {
		x.t.Fatal(err)
	}
	v, err := note.NewVerifier(key)
	if err != nil {
		x.t.Fatal(err)
	}
	n, err := note.Open([]byte(text), note.VerifierList(v))
	if err != nil {
		x.t.Fatalf("%v:\n%s", err, text)
	}
	c, err := ledger.ParseCheckpoint(n.Text)
	if err != nil {
		x.t.Fatal(err)
	}
	return c
}

// Whatever happens to the calls, and with a restart in between, the checkpoint and
// the record of a release stand once in the thread; a release given again has its
// own.
func TestAReleaseIsFiledOnce(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(len(crew()) - 1)
	x.fake.Fail("files.completeUploadExternal", slackfake.Cut{After: true}, slackfake.Status{Code: 502, After: true})
	x.fake.Fail("upload", slackfake.Cut{})
	x.fake.Fail("chat.postMessage", slackfake.Cut{After: true})
	last = x.say(thread, last, crew()[len(crew())-1])
	x.restart()
	x.still()
	pdfs, notes := x.filed(thread)
	if len(pdfs) != 1 || len(notes) != 1 {
		t.Fatalf("%d records and %d checkpoints:\n%s", len(pdfs), len(notes), x.transcript("OR-4"))
	}
	if !bytes.HasPrefix(pdfs[0].Data, []byte("%PDF-")) || !strings.Contains(pdfs[0].AltText, "OR-4") {
		t.Errorf("%.20q, %q", pdfs[0].Data, pdfs[0].AltText)
	}
	first := x.signedBy(notes[0])
	all := x.fake.Messages(crewCh, thread)
	at := slices.IndexFunc(all, func(m slackfake.Message) bool { return strings.Contains(m.Text, "LISTA PARA PERFORAR") })
	if at < 0 || !strings.Contains(all[at].Text, first.Short()) || preformatted(all[at+1]) == "" {
		t.Errorf("the checkpoint %s does not follow the release that names it", first.Short())
	}
	if all[at+1].Broadcast {
		t.Error("the checkpoint is in the channel as well")
	}
	blockcheck.Validate(t, blockcheck.Message, x.fake.Emitted("message"))

	// Held, and released again.
	_, last = x.reply(thread, last, line{dana, "hold smell of gas"})
	for range 12 {
		m, _, _ := x.question("OR-4")
		x.still()
		if board, _ := x.verdict(); board == engine.Signable {
			break
		}
		if !strings.Contains(strings.Join(m.Buttons(), " "), "yes") {
			last = x.say(thread, last, line{dana, "gas company was here, all clear"})
			continue
		}
		last = x.say(thread, last, line{dana, "yes"})
	}
	for _, l := range []line{{dana, "sign"}, {dana, "yes"}, {luis, "sign"}, {luis, "sí"}} {
		last = x.say(thread, last, l)
	}
	x.still()
	pdfs, notes = x.filed(thread)
	if len(pdfs) != 2 || len(notes) != 2 {
		t.Fatalf("%d records and %d checkpoints after the second release:\n%s", len(pdfs), len(notes), x.transcript("OR-4"))
	}
	if second := x.signedBy(notes[1]); second.Size <= first.Size || bytes.Equal(pdfs[0].Data, pdfs[1].Data) {
		t.Errorf("the second is of %d records, the first of %d", second.Size, first.Size)
	}
}

func (x *site) verdict() (engine.Verdict, bool) {
	t, ok := x.svc.places.thread("OR-4")
	return engine.Verdict(t.Verdict), ok
}

// A crash between the record of the release and its message.
func TestAReleaseThatNobodyHeardOfIsSaidAgain(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(len(crew()) - 1)
	x.still()
	x.fake.Say(luis, crewCh, thread, "sí")
	_, last = x.next("OR-4", last)
	x.still()
	var l letter
	for _, m := range x.fake.Messages(crewCh, thread) {
		if m.User == luis && m.Text == "sí" {
			l = letter{Kind: said, Team: x.fake.Team(), Channel: crewCh, Thread: thread, User: luis, Text: m.Text, TS: m.TS}
			l.Key = key("m", x.fake.Team(), crewCh, m.TS)
		}
	}
	x.halt()
	x.start0(func() {
		raw, err := json.Marshal(l)
		if err != nil || l.Key == "" {
			t.Fatal(err, l)
		}
		if err := x.mail.Apply(t.Context(), map[string][]byte{inKey + l.Key: raw}, nil); err != nil {
			t.Fatal(err)
		}
	})
	x.next("OR-4", last)
	x.still()
	pdfs, notes := x.filed(thread)
	if len(pdfs) != 2 || len(notes) != 2 || pdfs[0].Name != pdfs[1].Name {
		t.Errorf("%d records, %d checkpoints:\n%s", len(pdfs), len(notes), x.transcript("OR-4"))
	}
	releases := 0
	for _, m := range x.fake.Messages(crewCh, thread) {
		if strings.Contains(m.Text, "LISTA PARA PERFORAR") {
			releases++
		}
	}
	if n := x.kinds(ledger.KindSign); n != 2 || releases != 2 {
		t.Errorf("%d signatures, said %d times", n, releases)
	}
}

// Where the app may send no files it says so, once, and the checkpoint stands all
// the same.
func TestAReleaseWithoutFiles(t *testing.T) {
	fake := newFake(t)
	fake.Scopes(Replies.Needs()...)
	x := newSite(t, loadRules(t), fake, nil)
	thread, _ := x.walk(len(crew()))
	x.still()
	pdfs, notes := x.filed(thread)
	text := x.transcript("OR-4")
	if len(pdfs) != 0 || len(notes) != 1 {
		t.Errorf("%d records, %d checkpoints", len(pdfs), len(notes))
	}
	has(t, text, "cannot be sent as a file here", "firstrod record OR-4 --out OR-4.pdf")
	if n := strings.Count(text, "cannot be sent as a file"); n != 1 {
		t.Errorf("said %d times", n)
	}
	if n := x.svc.Health().Dead; n != 0 {
		t.Errorf("%d alarms for what the profile does not have", n)
	}
}

// What the record cannot do stops no release.
func TestAReleaseWithoutARecord(t *testing.T) {
	x := &site{t: t, fake: newFake(t), book: engine.Everywhere(loadRules(t)), dir: t.TempDir(), clock: noon}
	x.file = func(context.Context, string, string) (bot.Paper, error) { return bot.Paper{}, errors.New("no fonts") }
	t.Cleanup(x.halt)
	x.start()
	thread, _ := x.walk(len(crew()))
	x.still()
	text := x.transcript("OR-4")
	has(t, text, "LISTA PARA PERFORAR", "La liberación vale; su registro no se pudo hacer ahora.")
	if strings.Contains(text, "no fonts") {
		t.Error("the cause is for the log")
	}
	if pdfs, _ := x.filed(thread); len(pdfs) != 0 {
		t.Errorf("%d records", len(pdfs))
	}
}

// Signed in direct messages, the release is filed in the thread.
func TestAReleaseFromDirectMessagesIsFiledInTheThread(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, _ := x.walk(len(crew()) - 2)
	dm := x.fake.DM(luis)
	for _, text := range []string{"resume OR-4", "firmar", "sí"} {
		before := len(x.fake.Messages(dm, ""))
		x.fake.Say(luis, dm, "", text)
		x.fake.Wait("an answer to "+text, patience, func() bool { return len(x.fake.Messages(dm, "")) > before+1 })
		x.still()
	}
	if pdfs, notes := x.filed(thread); len(pdfs) != 1 || len(notes) != 1 {
		t.Errorf("%d records, %d checkpoints:\n%s", len(pdfs), len(notes), x.transcript("OR-4"))
	}
	for _, m := range x.fake.Messages(dm, "") {
		for _, f := range m.Files {
			if strings.HasSuffix(f.Name, ".pdf") {
				t.Error("the record is in the direct messages as well")
			}
		}
	}
}
