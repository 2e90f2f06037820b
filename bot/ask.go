package bot

import (
	"context"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// goOn ends a reply with what comes next: whoever is not known yet is asked who
// speaks, a room without a bore which bore, and a bore its next question.
func (b *Bot) goOn(ctx context.Context, r *room, out *Reply) error {
	settling := r.pending != nil && out.Ask != nil
	switch {
	case settling && r.bore == "":
		return nil
	case r.speaker.ID == "":
		out.Ask = &Ask{Text: b.say(r, "who.ask", nil)}
		return nil
	case r.bore == "":
		return b.askBore(ctx, r, out)
	}
	board := out.board
	if board == nil {
		fresh, err := b.engine.Board(ctx, r.bore)
		if err != nil {
			return err
		}
		board = &fresh
	}
	r.board, out.Bore, out.Verdict = board, board.Bore, board.Verdict
	if settling {
		return nil
	}
	r.shown, r.pending = nil, nil
	return b.askNext(ctx, r, board, out)
}

// askNext asks the next question of the job, or says that none is left.
func (b *Bot) askNext(ctx context.Context, r *room, board *engine.Board, out *Reply) error {
	if b.askReason(r, board, out) {
		return nil
	}
	gate := engine.GateRelease
	if r.closing {
		gate = engine.GateClose
	}
	switch board.Verdict {
	case engine.Finished:
		out.Ask = &Ask{Text: b.say(r, "closed.next", nil)}
		return nil
	case engine.Ready:
		if !r.closing {
			out.Ask = &Ask{Text: b.say(r, "ready.next", nil)}
			return nil
		}
	}
	q, ok := board.Next(gate, r.later)
	if !ok {
		return b.nothingLeft(ctx, r, board, out)
	}
	if q.Carry != "" && !q.Again {
		offered, err := b.offer(ctx, r, board, q, out)
		if err != nil || offered {
			return err
		}
	}
	b.put(r, board, q, out)
	return nil
}

// nothingLeft: what is missing now are signatures, or the word to close.
func (b *Bot) nothingLeft(_ context.Context, r *room, board *engine.Board, out *Reply) error {
	switch {
	case r.closing:
		out.Ask = &Ask{Text: b.say(r, "close.now", nil)}
	case len(board.Of(engine.GateRelease, engine.Broken)) > 0:
		out.add(Bad, b.say(r, "rule.broken", map[string]any{"Who": b.call(r)}))
		out.Ask = &Ask{Text: b.say(r, "stuck.next", nil)}
	case r.known && len(board.Signs) == 0:
		out.Ask = &Ask{Text: b.say(r, "sign.first.known", nil)}
	case r.known:
		out.Ask = &Ask{Text: b.say(r, "sign.second.known", nil)}
	case len(board.Signs) == 0:
		out.Ask = &Ask{Text: b.say(r, "sign.first", nil)}
	default:
		out.Ask = &Ask{Text: b.say(r, "sign.second", nil)}
	}
	return nil
}

// put shows one question and remembers it.
func (b *Bot) put(r *room, board *engine.Board, q *engine.Question, out *Reply) {
	r.shown = q
	out.Ask = &Ask{
		Where:   b.say(r, "where", map[string]any{"Area": b.area(r, q.Check.Area), "N": q.N, "Of": q.Of, "Bore": board.Bore}),
		Text:    b.prompt(r, board, q),
		Options: b.options(r, q),
	}
}

// prompt is the question for all asks of a group, or those that are left of it.
func (b *Bot) prompt(r *room, board *engine.Board, q *engine.Question) string {
	first := q.Asks[0]
	if len(q.Asks) > 1 && first.Lead.In(r.lang) != "" && len(q.Asks) == groupSize(board, first) {
		return b.fill(r, first.Lead, board, q.Check, q.Subject)
	}
	var lines []string
	for _, a := range q.Asks {
		lines = append(lines, b.fill(r, a.Prompt, board, q.Check, q.Subject))
	}
	if len(lines) > 1 {
		lines = append(lines, b.sayN(r, "ask.together", len(lines), nil))
	}
	return strings.Join(lines, "\n")
}

func groupSize(board *engine.Board, first *engine.Ask) int {
	n := 0
	for _, a := range board.Catalogue().Asks {
		if a.Together == first.Together && a.Scope == first.Scope {
			n++
		}
	}
	return n
}

func (b *Bot) options(r *room, q *engine.Question) []string {
	if len(q.Asks) != 1 {
		return nil
	}
	a := q.Asks[0]
	if a.Kind == quantity.YesNo {
		return []string{b.say(r, "yes", nil), b.say(r, "no", nil)}
	}
	var all []string
	for _, o := range a.Options {
		all = append(all, o.Label.In(r.lang))
	}
	return all
}

// area is the name of a part of the job; a local pack may bring its own.
func (b *Bot) area(r *room, area string) string {
	id := "area." + area
	if s := b.say(r, id, nil); s != id {
		return s
	}
	return strings.ReplaceAll(area, "_", " ")
}

// offered is a set of values from an earlier bore, waiting for a word.
type offered struct {
	question *engine.Question
	answers  []engine.Answer
}

// offer puts values from an earlier bore before the crew, once.
func (b *Bot) offer(ctx context.Context, r *room, board *engine.Board, q *engine.Question, out *Reply) (bool, error) {
	if r.later["offer:"+q.Carry] {
		return false, nil
	}
	answers, err := b.engine.Offer(ctx, r.bore, q.Carry)
	if err != nil || len(answers) == 0 {
		return false, err
	}
	var lines []string
	for _, a := range answers {
		ask, _ := board.Catalogue().Ask(a.Key)
		lines = append(lines, "  "+b.label(r, board, ask, "")+": "+b.print(r, board, a.Value))
	}
	r.pending = &offered{q, answers}
	out.Ask = &Ask{
		Where:   b.area(r, q.Check.Area),
		Text:    b.say(r, "offer."+q.Carry, map[string]any{"Bore": answers[0].From}) + "\n" + strings.Join(lines, "\n") + "\n" + b.say(r, "offer.ask", nil),
		Options: []string{b.say(r, "yes", nil), b.say(r, "no", nil)},
	}
	return true, nil
}

func (o *offered) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	yes, ok := yesNo(m.Text)
	if v, _ := b.verb(m.Text); v != nil {
		return false, nil
	}
	if !ok || !yes {
		// Something is different this time: each value is asked for.
		r.later["offer:"+o.question.Carry] = true
		return true, nil
	}
	for i := range o.answers {
		o.answers[i].Typed = m.Text
	}
	return true, b.record(ctx, r, m, o.answers, out)
}

// yesNo reads a yes or a no, in any language.
func yesNo(text string) (yes, ok bool) {
	got := quantity.Read(text, quantity.Want{Kind: quantity.YesNo})
	return got.Outcome == quantity.Exact && got.Value.Yes(), got.Outcome == quantity.Exact
}

// wants is what quantity needs to know to read the answer to a question.
func (b *Bot) wants(r *room, board *engine.Board, q *engine.Question) []quantity.Want {
	var all []quantity.Want
	for _, a := range q.Asks {
		w := quantity.Want{
			Kind: a.Kind, Unit: a.Unit, Min: a.Min, Max: a.Max, Soft: a.Soft, Zone: board.Zone, Now: b.engine.Now(), Lang: r.lang,
		}
		for _, o := range a.Options {
			words := slices.Clone(o.Words)
			for _, label := range o.Label {
				words = append(words, label)
			}
			slices.Sort(words)
			w.Options = append(w.Options, quantity.Option{ID: o.ID, Words: words})
		}
		all = append(all, w)
	}
	return all
}
