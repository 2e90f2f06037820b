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
	switch {
	case board.State == engine.Held:
		line += "\n" + b.say(r, "headline.held", map[string]any{"Why": b.voidReason(r, board.Void) + reasonTail(board.Why)})
	case board.Void == engine.VoidRules: // nobody of the crew did that
		line += "\n" + b.say(r, "headline.void", map[string]any{"Why": b.voidReason(r, board.Void) + reasonTail(board.Why)})
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
	var quiet []string
	for _, area := range areas(board, gate) {
		if some, asked := b.areaLines(r, board, area); asked {
			lines = append(lines, some...)
		} else {
			quiet = append(quiet, some...)
		}
	}
	lines = append(lines, quiet...)
	if rel := board.Release; rel != nil && board.Verdict == engine.Ready {
		lines = append(lines, b.say(r, "board.until", map[string]any{"Until": b.clock(board, rel.Until)}))
	}
	for key, w := range board.Waivers {
		lines = append(lines, b.say(r, "board.waived", map[string]any{"Rule": key, "Who": b.name(r, w.By.ID), "Why": w.Why}))
	}
	lines = append(lines, b.localLines(r, board)...)
	return strings.Join(lines, "\n")
}

// areas lists the parts of the job in order; gate "" means all.
func areas(board *engine.Board, gate engine.Gate) []string {
	var all []string
	seen := map[string]bool{}
	for _, ch := range board.Catalogue().Checks {
		if !seen[ch.Area] && (gate == "" || ch.Gate == gate) {
			seen[ch.Area] = true
			all = append(all, ch.Area)
		}
	}
	return all
}

// areaLines is how a part of the job stands; asked is false where nothing of it was
// to be checked so far.
func (b *Bot) areaLines(r *room, board *engine.Board, area string) (lines []string, asked bool) {
	total, holding, open := 0, 0, 0
	var bad []string
	for _, f := range board.Findings {
		ch, ok := board.Catalogue().Check(f.Check)
		if !ok || ch.Area != area {
			continue
		}
		total++
		asked = asked || f.Status != engine.Exempt
		switch {
		case f.Status.Holds():
			holding++
		case f.Status == engine.Needs:
			open++
		case f.Status == engine.Fail:
			bad = append(bad, "    "+b.say(r, "board.fails", map[string]any{"What": b.fill(r, ch.Stop, board, ch, f.Subject)}))
		case f.Status == engine.Broken:
			bad = append(bad, "    "+b.say(r, "board.broken", map[string]any{"Rule": f.Key()}))
		}
	}
	if total == 0 {
		return nil, false
	}
	name := b.area(r, area)
	count := b.say(r, "board.area", map[string]any{"N": holding, "Of": total})
	if open > 0 && board.State == engine.Closed {
		count = b.say(r, "board.ended", nil) // signatures and checks while drilling were for a release that is over
	}
	if !asked {
		// What does not apply was not looked at: to count it as held would say that
		// somebody did.
		count = b.say(r, "board.none", nil)
	}
	line := fmt.Sprintf("  %-20s %s", name, count)
	return append([]string{line}, bad...), asked
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
		ch, _ := board.Catalogue().Check(f.Check)
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
