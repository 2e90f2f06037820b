package bot

import (
	"context"
	"strings"
	"time"

	"firstrod/engine"
)

// localLines says whose rules a board is judged by, what they make less strict,
// and what they want a crew to know. The base alone says nothing.
func (b *Bot) localLines(r *room, board *engine.Board) []string {
	c := board.Catalogue()
	var lines []string
	var titles []string
	for _, layer := range c.Layers {
		if layer.Holds != "" {
			titles = append(titles, layer.Title.In(r.lang))
		}
	}
	switch {
	case len(titles) > 0:
		lines = append(lines, b.say(r, "local.rules", map[string]any{"Code": board.Jurisdiction, "Rules": strings.Join(titles, "; ")}))
	case board.Jurisdiction != "":
		lines = append(lines, b.say(r, "local.none", map[string]any{"Code": board.Jurisdiction}))
	}
	for _, l := range c.Loose {
		lines = append(lines, b.looseLine(r, board, l))
	}
	for _, n := range c.Notices {
		lines = append(lines, n.In(r.lang))
	}
	if board.Kept {
		lines = append(lines, b.say(r, "local.kept", nil))
	}
	return lines
}

// looseLine is one limit or rule that a local pack makes less strict.
func (b *Bot) looseLine(r *room, board *engine.Board, l engine.Loosened) string {
	of := map[string]any{
		"Name": l.Name, "Pack": l.Pack, "Why": l.Why.In(r.lang), "By": l.By,
		"Until": time.Unix(l.Until*86400, 0).UTC().Format(time.DateOnly),
	}
	if l.How != "" {
		return b.say(r, "local.loose_"+l.How, of)
	}
	of["Is"], of["Was"] = b.print(r, board, l.Is, l.Was), b.print(r, board, l.Was, l.Is)
	return b.say(r, "local.loose", of)
}

// doJurisdiction says in whose jurisdiction a bore is, or sets it right:
// "jurisdiction US-VA/alder", "jurisdiction none".
func doJurisdiction(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	if rest == "" {
		lines := b.localLines(r, &board)
		if len(lines) == 0 {
			lines = []string{b.say(r, "local.base", nil)}
		}
		out.add(Sheet, strings.Join(append(lines, b.say(r, "local.how", map[string]any{"Places": strings.Join(known(b.engine.Places()), ", ")})), "\n"))
		return nil
	}
	w := wanted{move: true, place: rest}
	var ok bool
	if w.code, ok = jurisdiction(rest); isNone(rest) {
		w.code, ok = "", true
	}
	if !ok {
		if w.code = board.Jurisdiction; !b.doubtText(r, m, w, b.named(rest), out) {
			out.add(Say, b.say(r, "fault.jurisdiction_form", map[string]any{"code": rest}))
		}
		return nil
	}
	w.place = ""
	if w.code != board.Jurisdiction && b.doubt(r, m, w, out) {
		return nil
	}
	return b.move(ctx, r, m, w.code, out)
}

// move sets the jurisdiction of the room's bore right.
func (b *Bot) move(ctx context.Context, r *room, m Message, code string, out *Reply) error {
	t, err := b.engine.Move(ctx, r.bore, r.said(m), code)
	if err != nil {
		return err
	}
	b.tellVoid(r, &t, out)
	lines := b.localLines(r, &t.Board)
	if len(lines) == 0 {
		lines = []string{b.say(r, "local.base", nil)}
	}
	out.add(Say, strings.Join(lines, "\n"))
	return nil
}

// isNone says that no jurisdiction is meant.
func isNone(text string) bool { none := fold(text); return none == "none" || none == "ninguna" }

// jurisdiction reads a code however it is typed: "us-va/Alder" is US-VA/alder.
func jurisdiction(text string) (string, bool) {
	head, tail, below := strings.Cut(strings.TrimSpace(text), "/")
	code := strings.ToUpper(strings.TrimSpace(head))
	if below {
		code += "/" + strings.Join(strings.Fields(strings.ToLower(tail)), "-")
	}
	return code, engine.ValidJurisdiction(code)
}

// known are the places with rules of their own; the base needs no name.
func known(places []string) []string {
	var all []string
	for _, p := range places {
		if p != "" {
			all = append(all, p)
		}
	}
	return all
}
