package bot

import (
	"context"
	"slices"
	"time"

	"firstrod/engine"
)

// Line is how a bore stands, for a list of bores.
type Line struct {
	Bore, Place string
	Verdict     engine.Verdict
	Held        bool           // stopped, and not released since
	Head        string         // verdict and counts, in words
	Next        string         // the question that stands; "" when people sign, or when nothing is asked
	Who         []string       // roles that may answer it; empty: everybody
	Signed      []string       // references of the people whose signature stands
	Until       time.Time      // end of the release that stands; zero for none
	Zone        *time.Location // of the site
}

// Overview lists bores that are not closed, the one that moved last first.
func (b *Bot) Overview(ctx context.Context, lang string, limit int) ([]Line, error) {
	lines, err := b.engine.Bores(ctx, 0)
	if err != nil {
		return nil, err
	}
	r := &room{lang: b.spoken(lang)}
	var all []Line
	for _, l := range lines {
		if len(all) == limit {
			break
		}
		if l.State == string(engine.Closed) {
			continue
		}
		board, err := b.engine.Board(ctx, l.Bore)
		if err != nil {
			return nil, err
		}
		all = append(all, b.line(r, &board))
	}
	return all, nil
}

// spoken is a language that the bot speaks.
func (b *Bot) spoken(lang string) string {
	if slices.Contains(Languages(), lang) {
		return lang
	}
	return b.lang
}

func (b *Bot) line(r *room, board *engine.Board) Line {
	l := Line{
		Bore: board.Bore, Place: board.Place, Verdict: board.Verdict, Head: b.headline(r, board), Zone: board.Zone,
		Held: board.State == engine.Held,
	}
	if board.Verdict == engine.Ready {
		l.Until = board.Release.Until
	}
	for _, s := range board.Signs {
		if p, ok := b.engine.Person(s.By.ID); ok {
			l.Signed = append(l.Signed, p.Ref)
		}
	}
	q, ok := board.Next(engine.GateRelease, nil)
	if !ok || board.Verdict == engine.Ready || board.Verdict == engine.Signable {
		return l
	}
	l.Next = b.prompt(r, board, q)
	for _, a := range q.Asks {
		l.Who = append(l.Who, a.Who...)
	}
	return l
}

// Taken gives the bores whose last release other rules took away, and which are not
// released again, with the record that did it.
func (b *Bot) Taken(ctx context.Context) (map[string]int64, error) {
	lines, err := b.engine.Bores(ctx, 0)
	if err != nil {
		return nil, err
	}
	all := map[string]int64{}
	for _, l := range lines {
		if l.State != string(engine.Open) {
			continue
		}
		board, err := b.engine.Board(ctx, l.Bore)
		if err != nil {
			return nil, err
		}
		if board.Void == engine.VoidRules && board.VoidAt > 0 {
			all[l.Bore] = board.VoidAt
		}
	}
	return all, nil
}

// Status is how one bore stands: its line, and the whole board as text.
func (b *Bot) Status(ctx context.Context, bore, lang string) (Line, string, error) {
	board, err := b.engine.Board(ctx, bore)
	if err != nil {
		return Line{}, "", err
	}
	r := &room{lang: b.spoken(lang), closing: board.Verdict == engine.Finished}
	return b.line(r, &board), b.boardText(r, &board), nil
}

// Tried is one thing that somebody tried and may not do.
type Tried struct {
	Bore, Who, Role, Why string
	At                   time.Time
}

// Refused lists what was refused on the bores that are not closed, the latest
// first within a bore, at most limit in all.
func (b *Bot) Refused(ctx context.Context, limit int) ([]Tried, error) {
	lines, err := b.engine.Bores(ctx, 0)
	if err != nil {
		return nil, err
	}
	var all []Tried
	for _, l := range lines {
		if l.State == string(engine.Closed) {
			continue
		}
		refusals, err := b.engine.Refusals(ctx, l.Bore)
		if err != nil {
			return nil, err
		}
		for _, f := range refusals {
			if len(all) == limit {
				return all, nil
			}
			all = append(all, Tried{Bore: f.Bore, Who: b.name(&room{lang: b.lang}, f.By.ID), Role: f.By.Role, Why: f.Why, At: f.At})
		}
	}
	return all, nil
}
