// Package bot is the dialogue: it turns what a person says into a call on the
// engine, and what the engine did into words. It knows nothing of any front
// end. A front end makes one [Message] of whatever arrived, hands it to
// [Bot.Turn], and shows the [Reply]; it starts a room with [Bot.Start].
//
// A room is one conversation: a terminal, a thread, a page. What a room knows
// beyond the ledger is only what the next message may be about; losing it
// costs one repeated question and nothing that anybody said.
package bot

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"firstrod/engine"
	"firstrod/engine/exif"
	"firstrod/engine/ledger"
)

// Config is what a bot is made of.
type Config struct {
	Engine       *engine.Engine
	Zone         string  // time zone of new bores
	Jurisdiction string  // whose codes hold for new bores; "" for the base alone
	Lang         string  // language until somebody asks for another
	Contact      Contact // whom to call when a crew is stuck

	// Record makes the record of a bore as its last record left it, for whoever
	// files it when the bore is released. nil: the release names the command
	// that does. What it cannot make stops no release.
	Record func(ctx context.Context, bore, lang string) (Paper, error)
	// Look reads what a picture on the shelf says of itself; an error for one that is
	// missing or was changed. nil: nothing is said of it.
	Look func(ctx context.Context, sum string) (exif.Info, error)
}

// Contact is a person to call. Both may be empty.
type Contact struct {
	Name  string
	Phone string
}

// Bot talks in any number of rooms at once.
type Bot struct {
	engine       *engine.Engine
	zone         string
	jurisdiction string
	lang         string
	contact      Contact
	look         func(ctx context.Context, sum string) (exif.Info, error)
	papers       func(ctx context.Context, bore, lang string) (Paper, error)
	words        *words
	verbs        []verb

	mu    sync.Mutex
	rooms map[string]*room
}

// Message is one thing that somebody said.
type Message struct {
	Room    string
	Text    string
	Key     string        // the delivery's idempotency key: unique for ever, the same when it is delivered again
	From    string        // "terminal", ...
	Speaker *Speaker      // who said it, where the front end knows; nil: the room asks
	Files   []ledger.File // pictures that came with it, on the shelf already
	Answers string        // the id of the question that was on the screen when it was said; "" where the front end cannot tell
}

// Speaker is somebody whom a front end knows: a user of a chat, a person with a
// session. The reference says who it is, the name is only shown.
type Speaker struct {
	Ref  string
	Name string
	Role string // one of engine.Roles
	Lang string // "" for that of the room
}

// room is one conversation.
type room struct {
	mu        sync.Mutex
	bore      string
	speaker   engine.Person
	known     bool // the front end knows who speaks
	lang      string
	fixedLang bool             // somebody asked for this language here
	board     *engine.Board    // the bore as it was shown last
	shown     *engine.Question // what the next message answers
	pending   pending          // what the next message may confirm instead; nil for nothing
	later     map[string]bool  // findings put off
	fails     map[string]int   // how often a finding failed on a new answer
	closing   bool
	pinned    bool   // the room is about its bore and no other
	about     string // id of the question that stands
	last      Reply  // what was said last, to be said again
	told      int64  // the record by which other rules took the release, once that was said
}

// pending is something that was said and must be settled first.
type pending interface {
	// settle takes the next message. done false means that the message was not
	// about this, and is to be taken as if nothing had been pending.
	settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (done bool, err error)
	// names says what a yes would be about, for the id of the question.
	names() []string
}

// maxText is how much one message may hold, in bytes.
const maxText = 4 << 10

// New makes a bot. It fails only if its own words cannot be read.
func New(c Config) (*Bot, error) {
	w, err := loadWords()
	if err != nil {
		return nil, err
	}
	if _, err := time.LoadLocation(c.Zone); err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "the time zone " + c.Zone + " is not known", Hint: "for example America/Chicago", Err: err}
	}
	if c.Jurisdiction != "" && !engine.ValidJurisdiction(c.Jurisdiction) {
		return nil, &engine.Error{Kind: engine.Usage, Say: c.Jurisdiction + " is no place that rules can hold in", Hint: "for example US-VA, or US-VA/alder"}
	}
	b := &Bot{engine: c.Engine, zone: c.Zone, jurisdiction: c.Jurisdiction, lang: c.Lang, contact: c.Contact, papers: c.Record, look: c.Look, words: w, rooms: map[string]*room{}}
	if b.lang == "" {
		b.lang = "en"
	}
	b.verbs = verbs()
	return b, nil
}

// Start opens a room, or comes back to it: the cautions, who is asked for, and
// the question that stands.
func (b *Bot) Start(ctx context.Context, name string) (Reply, error) {
	r := b.room(name)
	defer r.mu.Unlock()
	out := &Reply{}
	out.add(Caution, b.say(r, "caution.start", nil))
	err := b.goOn(ctx, r, out)
	r.close(out)
	return *out, err
}

// Turn takes one message and gives the reply. An error means that the message
// was not taken at all and that the conversation cannot go on: the store has
// stopped, or the program is at fault. Everything a person can mend is a Reply.
func (b *Bot) Turn(ctx context.Context, m Message) (Reply, error) {
	r := b.room(m.Room)
	defer r.mu.Unlock()
	out := &Reply{}
	if err := b.recognise(ctx, r, m); err != nil {
		return *out, err
	}
	seq, known, err := b.engine.Known(ctx, m.Key)
	if err != nil {
		return *out, err
	}
	if known {
		// It came before, and what it did is recorded; what stands is said again.
		err = errors.Join(b.releaseAgain(ctx, r, seq, out), b.goOn(ctx, r, out))
		r.close(out)
		return *out, err
	}
	m.Text = strings.TrimSpace(m.Text)
	id, ok := readable(m.Text)
	if !ok || m.Text == "" && len(m.Files) == 0 {
		// Whatever stood is asked again; nothing that was said is lost.
		if !ok {
			out.add(Say, b.say(r, id, nil))
		}
		out.Ask, out.Bore, out.Verdict = r.last.Ask, r.last.Bore, r.last.Verdict
		return *out, nil
	}
	if err := b.overtaken(ctx, r, out); err != nil {
		return *out, err
	}
	if err := b.take(ctx, r, m, out); err != nil {
		if err = b.excuse(r, err, out); err != nil {
			return *out, err
		}
	}
	if out.Done {
		out.Bore = r.bore
		return *out, nil
	}
	err = b.goOn(ctx, r, out)
	r.close(out)
	return *out, err
}

// take settles what is pending, obeys a verb, or reads an answer.
func (b *Bot) take(ctx context.Context, r *room, m Message, out *Reply) error {
	if len(m.Files) > 0 {
		if err := b.keep(ctx, r, m, out); err != nil || m.Text == "" {
			return err
		}
	}
	v, rest := b.verb(m.Text)
	if !b.isVerb(r, v, rest) {
		v = nil
	}
	if v == nil && m.Answers != "" && m.Answers != r.about {
		b.late(r, out)
		return nil
	}
	if p := r.pending; p != nil {
		r.pending = nil
		if done, err := p.settle(ctx, b, r, m, out); done || err != nil {
			return err
		}
	}
	switch {
	case v != nil && v.anybody:
		return v.do(ctx, b, r, m, rest, out)
	case r.speaker.ID == "":
		return b.meet(ctx, r, m, m.Text, out)
	case v != nil && r.bore == "" && !v.anywhere:
		out.add(Say, b.say(r, "bore.first", nil))
		return nil
	case v != nil:
		return v.do(ctx, b, r, m, rest, out)
	case r.bore == "":
		return b.choose(ctx, r, m.Text, out)
	}
	return b.answer(ctx, r, m, out)
}

// recognise makes the room's speaker the person that the front end knows.
func (b *Bot) recognise(ctx context.Context, r *room, m Message) error {
	if m.Speaker == nil {
		return nil
	}
	said := r.said(deliver(m, "speaker"))
	p, err := b.engine.IntroduceAs(ctx, said, m.Speaker.Ref, m.Speaker.Name, m.Speaker.Role)
	if err != nil {
		return err
	}
	r.speaker, r.known = p, true
	if !r.fixedLang && slices.Contains(Languages(), m.Speaker.Lang) {
		r.lang = m.Speaker.Lang
	}
	return nil
}

// keep records pictures that came with a message.
func (b *Bot) keep(ctx context.Context, r *room, m Message, out *Reply) error {
	if r.bore == "" {
		out.add(Say, b.say(r, "bore.first", nil))
		return nil
	}
	t, err := b.engine.Show(ctx, r.bore, r.said(deliver(m, "files")), m.Files...)
	if err != nil {
		return err
	}
	out.add(Say, b.sayN(r, "files.kept", len(m.Files), map[string]any{"Record": t.Receipt.Seq}))
	return nil
}

// Resume makes a room be about a bore again, and expect an answer to the
// question that stands, without saying anything: for a front end that comes
// back after a restart.
func (b *Bot) Resume(ctx context.Context, name, bore string) error {
	r := b.room(name)
	defer r.mu.Unlock()
	b.into(r, bore)
	board, err := b.engine.Board(ctx, bore)
	if err != nil {
		return err
	}
	r.board = &board
	if err := b.standing(ctx, r, &board); err != nil {
		return err
	}
	r.about = r.identify()
	return nil
}

// excuse turns an error that a person can mend into words. Others come back.
func (b *Bot) excuse(r *room, err error, out *Reply) error {
	switch engine.KindOf(err) {
	case engine.Usage, engine.NotFound, engine.Conflict, engine.Forbidden, engine.Blocked:
	default:
		return err
	}
	for _, e := range flatten(err) {
		switch e.Kind {
		case engine.Storage, engine.Damaged, engine.Internal:
			return err
		}
	}
	e := flatten(err)[0]
	out.add(Say, b.fault(r, e))
	return nil
}

func (b *Bot) room(name string) *room {
	b.mu.Lock()
	defer b.mu.Unlock()
	r, ok := b.rooms[name]
	if !ok {
		r = &room{lang: b.lang, later: map[string]bool{}, fails: map[string]int{}}
		b.rooms[name] = r
	}
	r.mu.Lock()
	return r
}

// readable says whether a message may be looked at at all, and if not, why.
func readable(text string) (id string, ok bool) {
	switch {
	case len(text) > maxText:
		return "message.too_long", false
	case !utf8.ValidString(text):
		return "message.not_text", false
	case strings.ContainsFunc(text, func(c rune) bool { return unicode.IsControl(c) && c != '\n' && c != '\t' && c != '\r' }):
		return "message.control", false
	}
	return "", true
}

// said is what every engine call has in common.
func (r *room) said(m Message) engine.Said {
	return engine.Said{
		By:   ledger.Actor{ID: r.speaker.ID, Role: r.speaker.Role()},
		From: m.From, Lang: r.lang, Typed: m.Text, Key: m.Key,
	}
}
