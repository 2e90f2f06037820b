package bot

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"firstrod/engine"
)

// doValues lists what was given, numbered so that it can be changed.
func doValues(ctx context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	out.add(Sheet, b.valueList(r, &board))
	return nil
}

// given lists the facts of a board in the order of the job.
func given(board *engine.Board) []engine.Given {
	var all []engine.Given
	for _, a := range board.Catalogue().Asks {
		subjects := []string{""}
		if a.Scope != engine.PerBore {
			subjects = board.Items(a.Scope)
		}
		for _, subject := range subjects {
			if g, ok := board.Fact(engine.Key(a.ID, subject)); ok {
				all = append(all, g)
			}
		}
	}
	return all
}

func (b *Bot) valueList(r *room, board *engine.Board) string {
	var lines []string
	for i, g := range given(board) {
		id, subject := engine.SplitKey(g.Key)
		a, _ := board.Catalogue().Ask(id)
		lines = append(lines, fmt.Sprintf("%3d  %s: %s", i+1, b.label(r, board, a, subject),
			b.print(r, board, g.Value, limitsFor(board, g.Key)...)))
	}
	if len(lines) == 0 {
		return b.say(r, "values.none", nil)
	}
	return strings.Join(lines, "\n")
}

// label is an ask in a few words, with its frequency or crossing in front.
func (b *Bot) label(r *room, board *engine.Board, a *engine.Ask, subject string) string {
	name := b.fill(r, engine.Text{r.lang: a.Name(r.lang)}, board, nil, subject)
	if subject == "" {
		return name
	}
	return b.item(r, board, a.Scope, subject) + ", " + name
}

// valuesByArea is every value in the order of the job, a paragraph for each
// part of it: what people look at before they sign.
func (b *Bot) valuesByArea(r *room, board *engine.Board) string {
	var order []string
	by := map[string][]string{}
	for _, g := range given(board) {
		id, subject := engine.SplitKey(g.Key)
		a, _ := board.Catalogue().Ask(id)
		ch, _ := board.Catalogue().Check(a.Check)
		if by[ch.Area] == nil {
			order = append(order, ch.Area)
		}
		by[ch.Area] = append(by[ch.Area], b.label(r, board, a, subject)+" "+b.print(r, board, g.Value, limitsFor(board, g.Key)...))
	}
	var lines []string
	for _, area := range order {
		lines = append(lines, b.area(r, area)+": "+strings.Join(by[area], "; ")+".")
	}
	return strings.Join(lines, "\n")
}

// doChange asks for a value again that was given before: by its number in the
// list of values, or by words of its question.
func doChange(ctx context.Context, b *Bot, r *room, _ Message, rest string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	g, ok := b.meant(r, &board, rest)
	if !ok {
		out.add(Sheet, b.valueList(r, &board)+"\n"+b.say(r, "change.which", nil))
		return nil
	}
	id, subject := engine.SplitKey(g.Key)
	a, _ := board.Catalogue().Ask(id)
	ch, _ := board.Catalogue().Check(a.Check)
	q := &engine.Question{Check: ch, Subject: subject, Finding: engine.Key(ch.ID, subject), Asks: []*engine.Ask{a}, Again: true}
	r.pending = &changing{q}
	out.add(Say, b.say(r, "change.was", map[string]any{"Value": b.print(r, &board, g.Value)}))
	out.Ask = &Ask{Where: b.area(r, ch.Area), Text: b.prompt(r, &board, q), Options: b.options(r, q)}
	return nil
}

func (b *Bot) meant(r *room, board *engine.Board, text string) (engine.Given, bool) {
	all := given(board)
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(all) {
		return all[n-1], true
	}
	folded := fold(text)
	if folded == "" {
		return engine.Given{}, false
	}
	for _, g := range all {
		id, subject := engine.SplitKey(g.Key)
		a, _ := board.Catalogue().Ask(id)
		name := fold(strings.ReplaceAll(g.Key, "_", " "))
		if strings.Contains(name, folded) || strings.Contains(fold(b.label(r, board, a, subject)), folded) {
			return g, true
		}
	}
	return engine.Given{}, false
}

// changing is a value that is being given again.
type changing struct{ question *engine.Question }

func (c *changing) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	if v, _ := b.verb(m.Text); v != nil {
		return false, nil
	}
	r.shown = c.question
	return true, b.answer(ctx, r, m, out)
}
