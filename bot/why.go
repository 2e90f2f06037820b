package bot

import (
	"context"
	"strings"

	"firstrod/engine"
)

// doWhy teaches: the reason, the source, what to do. Without a word it is about
// the question that stands.
func doWhy(ctx context.Context, b *Bot, r *room, _ Message, rest string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	ch, subject := b.rule(r, &board, rest)
	if ch == nil {
		out.add(Say, b.say(r, "why.nothing", nil))
		return nil
	}
	lines := []string{b.title(r, &board, ch, subject) + ".", b.fill(r, ch.Why, &board, ch, subject)}
	for _, s := range ch.Sources {
		lines = append(lines, b.say(r, "why.source", map[string]any{"Source": sourceText(s)}))
	}
	lines = append(lines, b.whyHere(r, &board, ch)...)
	lines = append(lines, b.say(r, "why.do", map[string]any{"Do": b.fill(r, ch.Remedy, &board, ch, subject)}))
	out.add(Sheet, strings.Join(lines, "\n"))
	return nil
}

// whyHere says of each limit of a rule that a local pack has set who wants it, and why.
func (b *Bot) whyHere(r *room, board *engine.Board, ch *engine.Check) []string {
	var lines []string
	for _, p := range board.Catalogue().ParamsOf(ch) {
		for _, l := range board.Catalogue().Layers {
			if l.Code == p.Pack && l.Holds != "" && !l.Row {
				lines = append(lines, b.say(r, "why.local", map[string]any{
					"Value": b.limit(r, board, p.Name), "Pack": titleOf(l, r.lang), "Why": b.fill(r, p.Reason, board, ch, ""),
				}))
			}
		}
	}
	return lines
}

func sourceText(s engine.Source) string {
	text := s.Name
	if s.Ref != "" && s.Ref != s.Name {
		text += ", " + s.Ref
	}
	if s.Status != "" && !strings.Contains(text, s.Status) {
		text += " (" + s.Status + ")"
	}
	return text
}

// rule finds the rule that a text means: by its id, or by words of its title.
func (b *Bot) rule(r *room, board *engine.Board, text string) (*engine.Check, string) {
	if text == "" {
		switch {
		case r.shown != nil:
			return r.shown.Check, r.shown.Subject
		default:
			return b.firstOpen(board)
		}
	}
	folded := fold(text)
	for _, f := range board.Findings {
		ch, ok := board.Catalogue().Check(f.Check)
		if ok && (fold(ch.ID) == folded || strings.Contains(fold(b.title(r, board, ch, f.Subject)), folded)) {
			return ch, f.Subject
		}
	}
	for _, f := range board.Findings {
		ch, ok := board.Catalogue().Check(f.Check)
		if ok && strings.Contains(ch.ID, strings.ReplaceAll(folded, " ", "_")) {
			return ch, f.Subject
		}
	}
	return nil, ""
}

func (b *Bot) firstOpen(board *engine.Board) (*engine.Check, string) {
	for _, f := range board.Findings {
		if !f.Status.Holds() {
			ch, _ := board.Catalogue().Check(f.Check)
			return ch, f.Subject
		}
	}
	return nil, ""
}
