package paper

import (
	"context"
	"fmt"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Source is what a document is made of.
type Source struct {
	Board      *engine.Board
	Catalogue  *engine.Catalogue
	Records    []ledger.Record // all of the bore, in order, as stored
	Checkpoint []byte          // signed note that covers the last of them
	// Name gives what a person is called, "" where nobody knows, and when the name
	// was erased, the zero time for not.
	Name func(id string) (name string, erased time.Time)
	// Earlier gives what the same pair gave at the baseline on other bores; nil for
	// no history.
	Earlier func(hz string) ([]engine.Constant, error)
	Lang    string // "en" or "es"; anything else is English
	Paper   Page
}

// Ledger is what [Of] reads of a store.
type Ledger interface {
	// Bore streams the records of a bore in order, from version from on.
	Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error
	// Checkpoint gives the latest checkpoint, and the same as a signed note.
	Checkpoint() (ledger.Checkpoint, []byte)
}

// Of builds the document of a bore from an engine and the store under it. The board
// is that of the engine's clock: with a clock that stands at the time of the bore's
// last record, the same ledger gives the same document for ever.
func Of(ctx context.Context, e *engine.Engine, l Ledger, bore, lang string) (Document, error) {
	board, err := e.Board(ctx, bore)
	if err != nil {
		return Document{}, err
	}
	s := Source{
		Board: &board, Catalogue: board.Catalogue(), Lang: lang,
		Name:    func(id string) (string, time.Time) { p, _ := e.Person(id); return p.Name, time.Time{} },
		Earlier: func(hz string) ([]engine.Constant, error) { return e.Constants(ctx, &board, hz) },
	}
	err = l.Bore(ctx, bore, 1, func(r ledger.Record) error {
		if r.Ver <= board.Ver { // what came since the board was made is not on it
			s.Records = append(s.Records, r)
		}
		return nil
	})
	if err != nil {
		return Document{}, err
	}
	_, s.Checkpoint = l.Checkpoint()
	return Build(s)
}

// Build makes the document. It refuses records that are not those of the board, and
// a checkpoint that does not cover them.
func Build(s Source) (Document, error) {
	last, err := s.check()
	if err != nil {
		return Document{}, err
	}
	b := &builder{Source: s, words: wordsIn(s.Lang)}
	board, c := s.Board, s.Catalogue
	d := Document{
		Schema: Schema, Lang: b.words.lang, Bore: board.Bore, Title: board.Title, Place: board.Place, Zone: board.Zone.String(),
		State: string(board.State), Verdict: string(board.Verdict), Void: board.Void, Why: board.Why,
		Opened: s.Records[0].At.UTC(), AsOf: last.At.UTC(), Judged: board.At.UTC(), Version: last.Ver, Last: last.Seq, Paper: s.Paper,
		Rules: Rules{Revision: board.Rules, Shown: c.Revision, Engine: c.Engine, Place: c.Place, Jurisdiction: board.Jurisdiction},
	}
	for _, l := range c.Layers {
		d.Rules.Packs = append(d.Rules.Packs, Pack{l.Code, l.Title.In(b.words.lang)})
	}
	for _, n := range c.Notices {
		d.Rules.Notices = append(d.Rules.Notices, n.In(b.words.lang))
	}
	if d.Checkpoint, err = readCheckpoint(s.Checkpoint, last.Seq); err != nil {
		return Document{}, err
	}
	if d.Stored, err = stored(s.Records); err != nil {
		return Document{}, err
	}
	b.people(&d)
	b.limits(&d)
	b.standing(&d)
	b.timeline(&d)
	return d, b.measured(&d)
}

func (s Source) check() (last ledger.Record, err error) {
	n := len(s.Records)
	if s.Board == nil || s.Catalogue == nil || s.Name == nil || n == 0 {
		return last, fail("a record cannot be made of nothing", nil)
	}
	last = s.Records[n-1]
	if last.Bore != s.Board.Bore || last.Ver != s.Board.Ver || int64(n) != last.Ver || s.Records[0].Open == nil {
		return last, fail(fmt.Sprintf("the records of bore %s are not those on its board", s.Board.Bore), nil)
	}
	return last, nil
}

func fail(say string, err error) error {
	return &engine.Error{Kind: engine.Internal, Say: say, Err: err}
}

func readCheckpoint(note []byte, last int64) (Checkpoint, error) {
	text, _, found := strings.Cut(string(note), "\n\n")
	c, err := ledger.ParseCheckpoint(text + "\n")
	if err != nil || !found || c.Size <= last {
		return Checkpoint{}, fail("the checkpoint does not cover the record", err)
	}
	return Checkpoint{Note: string(note), Origin: c.Origin, Size: c.Size, Root: c.Root.String(), Short: c.Short()}, nil
}

func stored(records []ledger.Record) ([]string, error) {
	all := make([]string, 0, len(records))
	for _, r := range records {
		raw, err := ledger.Encode(r)
		if err != nil {
			return nil, fail("a record cannot be written down again", err)
		}
		all = append(all, string(raw))
	}
	return all, nil
}

// builder fills a document, one part of it after the other.
type builder struct {
	Source
	words words
}

func (b *builder) person(a ledger.Actor) Person {
	p := Person{ID: a.ID, Role: a.Role}
	name, erased := b.Name(a.ID)
	if erased.IsZero() {
		p.Name = name
		return p
	}
	erased = erased.UTC()
	p.Erased = &erased
	return p
}

// lastRelease is the last record that released the bore.
func (b *builder) lastRelease() (ledger.Record, bool) {
	for i := len(b.Records) - 1; i >= 0; i-- {
		if b.Records[i].Release != nil {
			return b.Records[i], true
		}
	}
	return ledger.Record{}, false
}

// people are the last release, the signatures under it, and what was waived in it.
// Signatures that were given since, for a release to come, go before.
func (b *builder) people(d *Document) {
	d.Signatures, d.Waived = []Signature{}, []Waiver{}
	r, released := b.lastRelease()
	input := ""
	if released {
		d.Release = &Release{
			At: r.At.UTC(), Until: r.Release.Until.UTC(), Checks: r.Release.Checks, Input: r.Release.Input,
			Rules: r.Rules, Record: r.Seq, Stands: d.Verdict == string(engine.Ready),
		}
		input = r.Release.Input
	}
	if n := len(b.Board.Signs); n > 0 {
		input = b.Board.Signs[n-1].Input
	}
	for _, rec := range b.Records {
		if rec.Sign != nil && rec.Sign.Input == input && rec.By != nil {
			d.Signatures = append(d.Signatures, Signature{
				By: b.person(*rec.By), At: rec.At.UTC(), Meaning: rec.Sign.Meaning, Input: rec.Sign.Input, Record: rec.Seq,
			})
		}
	}
	wanted := map[string]bool{}
	for key := range b.Board.Waivers {
		wanted[key] = true
	}
	if released {
		for _, key := range r.Release.Waived {
			wanted[key] = true
		}
	}
	b.waivers(d, wanted)
}

// waivers lists the last waiver of each finding, in the order they were given.
func (b *builder) waivers(d *Document, wanted map[string]bool) {
	last := map[string]int64{}
	for _, r := range b.Records {
		if r.Kind == ledger.KindWaive {
			last[r.Check] = r.Seq
		}
	}
	for _, r := range b.Records {
		if r.Kind == ledger.KindWaive && wanted[r.Check] && last[r.Check] == r.Seq && r.By != nil {
			d.Waived = append(d.Waived, Waiver{
				Finding: r.Check, Title: b.rule(r.Check), Why: r.Why, By: b.person(*r.By), At: r.At.UTC(), Record: r.Seq,
			})
		}
	}
}
