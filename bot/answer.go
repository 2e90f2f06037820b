package bot

import (
	"context"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// answer reads a message as the answer to the question that was shown. Nothing
// is recorded unless every value in it is certain.
func (b *Bot) answer(ctx context.Context, r *room, m Message, out *Reply) error {
	q, board := r.shown, r.board
	if q == nil || board == nil {
		out.add(Say, b.say(r, "answer.no_question", nil))
		return nil
	}
	readings := b.read(r, board, q, m.Text)
	var unsure []quantity.Reading
	for _, got := range readings {
		switch got.Outcome {
		case quantity.Refuse:
			out.add(Say, b.reason(r, got.Reason)+b.wanted(r, board, q, got.Reason.Code))
			return nil
		case quantity.Ask:
			unsure = append(unsure, got)
		}
	}
	if len(unsure) > 0 {
		b.confirm(r, board, q, readings, unsure, m, out)
		return nil
	}
	return b.record(ctx, r, m, answersOf(q, readings, m.Text), out)
}

// wanted lists what is asked for when a message had too few or too many parts.
func (b *Bot) wanted(r *room, board *engine.Board, q *engine.Question, code quantity.Code) string {
	if code != quantity.PartCount {
		return ""
	}
	var names []string
	for _, a := range q.Asks {
		names = append(names, b.fill(r, engine.Text{r.lang: a.Name(r.lang)}, board, q.Check, q.Subject))
	}
	return "\n" + b.say(r, "answer.wanted", map[string]any{"Names": strings.Join(names, "; ")})
}

func (b *Bot) read(r *room, board *engine.Board, q *engine.Question, text string) []quantity.Reading {
	wants := b.wants(r, board, q)
	if len(wants) == 1 {
		return []quantity.Reading{quantity.Read(text, wants[0])}
	}
	return quantity.ReadAll(text, wants)
}

func answersOf(q *engine.Question, readings []quantity.Reading, typed string) []engine.Answer {
	var all []engine.Answer
	for i, key := range q.Keys() {
		all = append(all, engine.Answer{Key: key, Value: readings[i].Value, Typed: typed})
	}
	return all
}

// unsureOf is an answer that was understood, but not surely.
type unsureOf struct {
	question *engine.Question
	readings []quantity.Reading
	typed    string
}

// confirm asks what was meant. Where only a unit was missing, the unit alone
// will do for an answer.
func (b *Bot) confirm(r *room, board *engine.Board, q *engine.Question, all, unsure []quantity.Reading, m Message, out *Reply) {
	r.pending = &unsureOf{q, all, m.Text}
	var values []string
	for _, got := range all {
		values = append(values, b.print(r, board, got.Value))
	}
	text := b.reason(r, unsure[0].Reason)
	if unsure[0].Reason.Code != quantity.UnitMissing || len(all) > 1 {
		text += "\n" + b.say(r, "confirm.take", map[string]any{"Values": strings.Join(values, "; ")})
	}
	out.Ask = &Ask{
		Where: b.area(r, q.Check.Area), Text: text,
		Options: []string{b.say(r, "yes", nil), b.say(r, "no", nil)},
	}
}

func (u *unsureOf) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	r.shown = u.question
	if yes, ok := yesNo(m.Text); ok {
		if !yes {
			return true, nil
		}
		return true, b.record(ctx, r, m, answersOf(u.question, u.readings, u.typed+" / "+m.Text), out)
	}
	// "26" and then "ft": the two belong together.
	joined, ok := u.withUnit(m.Text)
	if !ok {
		return false, nil
	}
	readings := b.read(r, r.board, u.question, joined)
	if slices.ContainsFunc(readings, func(got quantity.Reading) bool { return got.Outcome != quantity.Exact }) {
		return false, nil
	}
	return true, b.record(ctx, r, m, answersOf(u.question, readings, u.typed+" / "+m.Text), out)
}

// withUnit is what was typed first, with the unit put where it was missing.
func (u *unsureOf) withUnit(unit string) (string, bool) {
	if strings.ContainsAny(unit, "0123456789") || len(strings.Fields(unit)) != 1 {
		return "", false
	}
	var parts []string
	for _, got := range u.readings {
		if got.Reason.Code != quantity.UnitMissing {
			return "", false
		}
		parts = append(parts, got.Reason.Args["number"]+" "+unit)
	}
	return strings.Join(parts, "; "), true // a list has commas of its own
}

// record hands answers to the engine and says what they changed.
func (b *Bot) record(ctx context.Context, r *room, m Message, answers []engine.Answer, out *Reply) error {
	turn, err := b.engine.Answer(ctx, r.bore, r.said(m), answers...)
	if err != nil {
		return err
	}
	out.board = &turn.Board
	b.readBack(r, &turn, answers, out)
	b.tellVoid(r, &turn, out)
	b.tellFindings(ctx, r, &turn, answers, out)
	b.tellSuspects(ctx, r, &turn.Board, answers, out)
	b.draw(r, &turn, out)
	return b.tellConstants(ctx, r, &turn.Board, answers, out)
}

// readBack says what was understood, in both units, and whether it holds.
func (b *Bot) readBack(r *room, t *engine.Turn, answers []engine.Answer, out *Reply) {
	var values []string
	for _, a := range answers {
		values = append(values, b.print(r, &t.Board, a.Value, limitsFor(&t.Board, a.Key)...))
	}
	line := strings.Join(values, "; ") + "."
	passes, fails := false, false
	for _, f := range concerned(&t.Board, answers) {
		passes = passes || f.Status.Holds()
		fails = fails || f.Status == engine.Fail || f.Status == engine.Broken
	}
	if passes && !fails {
		line += " " + b.say(r, "holds", nil)
	}
	out.add(Say, line)
}

// limitsFor are the limits of the rules that read an answer.
func limitsFor(board *engine.Board, key string) []quantity.Value {
	id, _ := engine.SplitKey(key)
	a, ok := board.Catalogue().Ask(id)
	if !ok {
		return nil
	}
	var all []quantity.Value
	for _, ch := range board.Catalogue().ReadBy(engine.LeafOf(a)) {
		all = append(all, limits(board, ch)...)
	}
	return all
}

// concerned lists the findings that can read one of the answers.
func concerned(board *engine.Board, answers []engine.Answer) []engine.Finding {
	reads := map[string]map[string]bool{} // check -> subjects of the answers; "" for any
	for _, a := range answers {
		id, subject := engine.SplitKey(a.Key)
		ask, ok := board.Catalogue().Ask(id)
		if !ok {
			continue
		}
		for _, ch := range board.Catalogue().ReadBy(engine.LeafOf(ask)) {
			if reads[ch.ID] == nil {
				reads[ch.ID] = map[string]bool{}
			}
			if ch.Each != ask.Scope {
				subject = ""
			}
			reads[ch.ID][subject] = true
		}
	}
	var all []engine.Finding
	for _, f := range board.Findings {
		if s := reads[f.Check]; s[""] || s[f.Subject] {
			all = append(all, f)
		}
	}
	return all
}

// tellFindings says, for each rule that the answers decide, what holds with
// its numbers, and what does not, why, and what to do.
func (b *Bot) tellFindings(ctx context.Context, r *room, t *engine.Turn, answers []engine.Answer, out *Reply) {
	for _, f := range concerned(&t.Board, answers) {
		ch, ok := t.Board.Catalogue().Check(f.Check)
		if !ok {
			continue
		}
		switch f.Status {
		case engine.Fail:
			b.tellFail(ctx, r, &t.Board, ch, f, out)
		case engine.Broken:
			out.add(Bad, b.say(r, "finding.broken", map[string]any{"Rule": b.title(r, &t.Board, ch, f.Subject), "Who": b.call(r)}))
		case engine.Pass:
			delete(r.fails, f.Key())
			if ch.Good.In(r.lang) != "" {
				out.add(Good, b.fill(r, ch.Good, &t.Board, ch, f.Subject))
			}
		}
	}
}

// stuckAfter is how often the same rule fails before a person is named.
const stuckAfter = 2

// tellFail is three lines: what does not hold, why that matters, what to do.
func (b *Bot) tellFail(ctx context.Context, r *room, board *engine.Board, ch *engine.Check, f engine.Finding, out *Reply) {
	r.fails[f.Key()]++
	lines := []string{
		b.say(r, "blocked.line", map[string]any{"What": b.fill(r, ch.Stop, board, ch, f.Subject)}),
		firstSentence(b.fill(r, ch.Why, board, ch, f.Subject)),
		b.fill(r, ch.Remedy, board, ch, f.Subject),
	}
	if advice, ok := b.engine.Advise(ctx, board, ch, f.Subject, r.lang); ok {
		lines = []string{lines[0], advice.Cause, advice.Do}
		if advice.Also != "" {
			lines = append(lines, b.say(r, "advice.also", map[string]any{"Extra": advice.Also}))
		}
	}
	// Near and far mark fail together, and one piece of advice is for both.
	lines = append(lines[:1], slices.DeleteFunc(lines[1:], out.says)...)
	out.add(Bad, strings.Join(lines, "\n"))
	if r.fails[f.Key()] >= stuckAfter {
		b.tellStuck(r, board, ch, f, out)
	}
}

func firstSentence(s string) string {
	if i := strings.Index(s, ". "); i > 0 {
		return s[:i+1]
	}
	return s
}

func (b *Bot) title(r *room, board *engine.Board, ch *engine.Check, subject string) string {
	t := b.fill(r, ch.Title, board, ch, subject)
	if ch.Each == engine.PerBore || subject == "" {
		return t
	}
	return b.item(r, board, ch.Each, subject) + ": " + t
}

// tellNewRules is for the first turn under other rules: what does not hold by them
// is said at once.
func (b *Bot) tellNewRules(r *room, t *engine.Turn, out *Reply) {
	if !t.NewRules {
		return
	}
	lines := append([]string{b.say(r, "local.new", nil)}, b.localLines(r, &t.Board)...)
	for _, c := range t.Changed {
		ch, ok := t.Board.Catalogue().Check(c.Check)
		if ok && c.Was != "" && c.Was.Holds() && !c.Status.Holds() {
			lines = append(lines, "  "+b.turned(r, &t.Board, ch, c.Finding))
		}
	}
	out.add(Loud, strings.Join(lines, "\n"))
}

// turned is one rule that held by the rules of before.
func (b *Bot) turned(r *room, board *engine.Board, ch *engine.Check, f engine.Finding) string {
	if f.Status == engine.Fail {
		return b.say(r, "blocked.line", map[string]any{"What": b.fill(r, ch.Stop, board, ch, f.Subject)})
	}
	return b.say(r, "local.turned", map[string]any{"Rule": b.title(r, board, ch, f.Subject)})
}

// tellVoid is loud: a release that stood holds no longer.
func (b *Bot) tellVoid(r *room, t *engine.Turn, out *Reply) {
	b.tellNewRules(r, t, out)
	if t.Void == "" {
		return
	}
	if t.Void == engine.VoidReport {
		what := b.say(r, "event."+t.Record.Event, nil)
		out.add(Loud, b.say(r, "reported.held", map[string]any{"What": what, "Bore": t.Board.Bore}))
		b.tellRedo(r, t, out)
		return
	}
	out.add(Loud, b.say(r, "void", map[string]any{"Why": b.voidReason(r, t.Void), "Bore": t.Board.Bore}))
}
