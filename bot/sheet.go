package bot

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"firstrod/engine"
)

func doStatus(ctx context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	out.add(Sheet, b.boardText(r, &board))
	return nil
}

// headline is one line: the verdict in words first, then the bore.
func (b *Bot) headline(r *room, board *engine.Board) string {
	fails := len(board.Of(engine.GateRelease, engine.Fail, engine.Broken))
	needs := len(board.Of(engine.GateRelease, engine.Needs))
	line := b.say(r, "verdict."+string(board.Verdict), nil)
	if board.Verdict == engine.Finished {
		fails, needs = 0, 0
	}
	if fails > 0 {
		line += " " + b.sayN(r, "count.fail", fails, nil)
	}
	if needs > 0 && board.Verdict != engine.Signable {
		line += " " + b.sayN(r, "count.open", needs, nil)
	}
	line += "  " + board.Bore
	if board.Place != "" {
		line += ", " + board.Place
	}
	if board.State == engine.Held {
		line += "\n" + b.say(r, "headline.held", map[string]any{"Why": b.voidReason(r, board.Void) + reasonTail(board.Why)})
	}
	return line
}

func reasonTail(why string) string {
	if why == "" {
		return ""
	}
	return ": " + why
}

// boardText is the whole board: a line for each area of the job, and under it
// what does not hold.
func (b *Bot) boardText(r *room, board *engine.Board) string {
	lines := []string{b.headline(r, board)}
	gate := engine.GateRelease
	if board.State == engine.Closed || r.closing {
		gate = ""
	}
	for _, area := range b.areas(gate) {
		lines = append(lines, b.areaLines(r, board, area)...)
	}
	if rel := board.Release; rel != nil && board.Verdict == engine.Ready {
		lines = append(lines, b.say(r, "board.until", map[string]any{"Until": b.clock(board, rel.Until)}))
	}
	for key, w := range board.Waivers {
		lines = append(lines, b.say(r, "board.waived", map[string]any{"Rule": key, "Who": b.name(w.By.ID), "Why": w.Why}))
	}
	return strings.Join(lines, "\n")
}

// areas lists the parts of the job in order; gate "" means all.
func (b *Bot) areas(gate engine.Gate) []string {
	var all []string
	seen := map[string]bool{}
	for _, ch := range b.engine.Catalogue().Checks {
		if !seen[ch.Area] && (gate == "" || ch.Gate == gate) {
			seen[ch.Area] = true
			all = append(all, ch.Area)
		}
	}
	return all
}

func (b *Bot) areaLines(r *room, board *engine.Board, area string) []string {
	total, holding := 0, 0
	var bad []string
	for _, f := range board.Findings {
		ch, ok := b.engine.Catalogue().Check(f.Check)
		if !ok || ch.Area != area {
			continue
		}
		total++
		switch {
		case f.Status.Holds():
			holding++
		case f.Status == engine.Fail:
			bad = append(bad, "    "+b.say(r, "board.fails", map[string]any{"What": b.fill(r, ch.Stop, board, ch, f.Subject)}))
		case f.Status == engine.Broken:
			bad = append(bad, "    "+b.say(r, "board.broken", map[string]any{"Rule": f.Key()}))
		}
	}
	if total == 0 {
		return nil
	}
	name := b.area(r, area)
	line := fmt.Sprintf("  %-16s %s", name, b.say(r, "board.area", map[string]any{"N": holding, "Of": total}))
	return append([]string{line}, bad...)
}

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
	lines = append(lines, b.say(r, "why.do", map[string]any{"Do": b.fill(r, ch.Remedy, &board, ch, subject)}))
	out.add(Sheet, strings.Join(lines, "\n"))
	return nil
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
		ch, ok := b.engine.Catalogue().Check(f.Check)
		if ok && (fold(ch.ID) == folded || strings.Contains(fold(b.title(r, board, ch, f.Subject)), folded)) {
			return ch, f.Subject
		}
	}
	for _, f := range board.Findings {
		ch, ok := b.engine.Catalogue().Check(f.Check)
		if ok && strings.Contains(ch.ID, strings.ReplaceAll(folded, " ", "_")) {
			return ch, f.Subject
		}
	}
	return nil, ""
}

func (b *Bot) firstOpen(board *engine.Board) (*engine.Check, string) {
	for _, f := range board.Findings {
		if !f.Status.Holds() {
			ch, _ := b.engine.Catalogue().Check(f.Check)
			return ch, f.Subject
		}
	}
	return nil, ""
}

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
func (b *Bot) given(board *engine.Board) []engine.Given {
	var all []engine.Given
	for _, a := range b.engine.Catalogue().Asks {
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
	for i, g := range b.given(board) {
		id, subject := engine.SplitKey(g.Key)
		a, _ := b.engine.Catalogue().Ask(id)
		lines = append(lines, fmt.Sprintf("%3d  %s: %s", i+1, b.label(r, board, a, subject),
			b.print(r, board, g.Value, b.limitsFor(g.Key)...)))
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
	for _, g := range b.given(board) {
		id, subject := engine.SplitKey(g.Key)
		a, _ := b.engine.Catalogue().Ask(id)
		ch, _ := b.engine.Catalogue().Check(a.Check)
		if by[ch.Area] == nil {
			order = append(order, ch.Area)
		}
		by[ch.Area] = append(by[ch.Area], b.label(r, board, a, subject)+" "+b.print(r, board, g.Value, b.limitsFor(g.Key)...))
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
	a, _ := b.engine.Catalogue().Ask(id)
	ch, _ := b.engine.Catalogue().Check(a.Check)
	q := &engine.Question{Check: ch, Subject: subject, Finding: engine.Key(ch.ID, subject), Asks: []*engine.Ask{a}, Again: true}
	r.pending = &changing{q}
	out.add(Say, b.say(r, "change.was", map[string]any{"Value": b.print(r, &board, g.Value)}))
	out.Ask = &Ask{Where: b.area(r, ch.Area), Text: b.prompt(r, &board, q), Options: b.options(r, q)}
	return nil
}

func (b *Bot) meant(r *room, board *engine.Board, text string) (engine.Given, bool) {
	all := b.given(board)
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(all) {
		return all[n-1], true
	}
	folded := fold(text)
	if folded == "" {
		return engine.Given{}, false
	}
	for _, g := range all {
		id, subject := engine.SplitKey(g.Key)
		a, _ := b.engine.Catalogue().Ask(id)
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

// failing finds a rule that does not hold by its number in the list of those.
func (b *Bot) failing(board *engine.Board, number string) (engine.Finding, bool) {
	all := board.Of(engine.GateRelease, engine.Fail)
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > len(all) {
		return engine.Finding{}, false
	}
	return all[n-1], true
}

func (b *Bot) failingSheet(r *room, board *engine.Board) string {
	lines := []string{}
	for i, f := range board.Of(engine.GateRelease, engine.Fail) {
		ch, _ := b.engine.Catalogue().Check(f.Check)
		id := "waive.can"
		if !ch.Waivable {
			id = "waive.cannot"
		}
		lines = append(lines, fmt.Sprintf("%3d  %s", i+1, b.say(r, id, map[string]any{"Rule": b.title(r, board, ch, f.Subject)})))
	}
	if len(lines) == 0 {
		return b.say(r, "waive.none", nil)
	}
	return strings.Join(append(lines, b.say(r, "waive.how", nil)), "\n")
}

// Board shows a bore to somebody who is in no room: the text of the board in the
// bot's language, and the verdict.
func (b *Bot) Board(ctx context.Context, bore string) (string, engine.Verdict, error) {
	board, err := b.engine.Board(ctx, bore)
	if err != nil {
		return "", "", err
	}
	r := &room{lang: b.lang, closing: true}
	return b.boardText(r, &board), board.Verdict, nil
}
