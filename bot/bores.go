package bot

import (
	"context"
	"strconv"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// listed is how many bores are shown at once.
const listed = 9

func doBores(ctx context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	lines, err := b.engine.Bores(ctx, listed)
	if err != nil {
		return err
	}
	out.add(Sheet, b.boreList(r, lines))
	return nil
}

func (b *Bot) boreList(r *room, lines []ledger.BoreLine) string {
	if len(lines) == 0 {
		return b.say(r, "bores.none", nil)
	}
	var all []string
	for i, l := range lines {
		all = append(all, b.say(r, "bores.line", map[string]any{
			"N": i + 1, "Bore": l.Bore, "State": b.say(r, "state."+l.State, nil),
		}))
	}
	return strings.Join(all, "\n")
}

// askBore asks which bore the room is about.
func (b *Bot) askBore(ctx context.Context, r *room, out *Reply) error {
	lines, err := b.engine.Bores(ctx, listed)
	if err != nil {
		return err
	}
	open := 0
	for _, l := range lines {
		if l.State != string(engine.Closed) {
			open++
		}
	}
	if open == 0 {
		out.Ask = &Ask{Text: b.say(r, "bore.ask_new", nil)}
		return nil
	}
	out.Ask = &Ask{Text: b.boreList(r, lines) + "\n" + b.say(r, "bore.ask", nil)}
	return nil
}

// choose goes to the bore that a text names, by name or by its number in the
// list. A name that is not known opens nothing: a slip must not start a bore.
func (b *Bot) choose(ctx context.Context, r *room, text string, out *Reply) error {
	if r.pinned {
		out.add(Say, b.say(r, "bore.pinned", map[string]any{"Bore": r.bore}))
		return nil
	}
	lines, err := b.engine.Bores(ctx, listed)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(strings.TrimSpace(text)); err == nil && n >= 1 && n <= len(lines) {
		return b.enter(ctx, r, lines[n-1].Bore, out)
	}
	id, err := engine.BoreID(text)
	if err != nil {
		return err
	}
	return b.enter(ctx, r, id, out)
}

func (b *Bot) enter(ctx context.Context, r *room, id string, out *Reply) error {
	board, err := b.engine.Board(ctx, id)
	if err != nil {
		return err
	}
	b.into(r, id)
	out.add(Say, b.headline(r, &board))
	return nil
}

// into makes a room be about a bore, and forget what it knew of another.
func (b *Bot) into(r *room, id string) {
	r.bore, r.board, r.shown, r.pending, r.closing = id, nil, nil, nil, false
	r.later, r.fails = map[string]bool{}, map[string]int{}
}

func doResume(ctx context.Context, b *Bot, r *room, _ Message, rest string, out *Reply) error {
	if rest == "" && !r.pinned {
		r.bore = ""
		return nil
	}
	return b.choose(ctx, r, rest, out)
}

// doNew opens a bore: "new OR-4, Otter Run", or with its time zone behind that
// and jurisdiction when they are not the usual ones: "new OR-4, Otter Run,
// America/Denver", "new AV-2, Alder Mill, US-VA/alder".
func doNew(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	if r.pinned {
		out.add(Say, b.say(r, "bore.pinned", map[string]any{"Bore": r.bore}))
		return nil
	}
	w, odd := b.opening(rest)
	switch {
	case len(strings.Fields(w.bore)) != 1:
		// A slip of the tongue must not open a bore.
		out.add(Say, b.say(r, "bore.ask_new", nil))
		return nil
	case odd != "":
		out.add(Say, b.say(r, "fault.jurisdiction_form", map[string]any{"code": odd}))
		return nil
	case !w.sure && b.doubt(r, m, w, out):
		return nil
	}
	return b.openBore(ctx, r, m, w, out)
}

func (b *Bot) openBore(ctx context.Context, r *room, m Message, w wanted, out *Reply) error {
	t, err := b.engine.Open(ctx, r.said(m), engine.Opening{Name: w.bore, Place: w.place, Zone: w.zone, Jurisdiction: w.code})
	if err != nil {
		return err
	}
	b.into(r, t.Board.Bore)
	out.add(Say, b.say(r, "bore.opened", map[string]any{"Bore": t.Board.Bore, "Place": t.Board.Place, "Zone": t.Board.Zone.String()}))
	if lines := b.localLines(r, &t.Board); len(lines) > 0 {
		out.add(Say, strings.Join(lines, "\n"))
	}
	return nil
}
