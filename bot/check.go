package bot

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"firstrod/engine"
)

// doCheck makes one of the checks that belong to drilling: "check 1". Without a
// number it lists them.
func doCheck(ctx context.Context, b *Bot, r *room, _ Message, rest string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	checks := whileDrilling(&board)
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || n > len(checks) {
		lines := []string{b.say(r, "check.which", nil)}
		for i, ch := range checks {
			lines = append(lines, fmt.Sprintf("%3d  %s", i+1, b.title(r, &board, ch, "")))
		}
		out.add(Sheet, strings.Join(lines, "\n"))
		return nil
	}
	q := board.Ask(checks[n-1].ID)
	if q == nil {
		return nil
	}
	q.Asks = nil
	for i := range q.Check.Asks {
		q.Asks = append(q.Asks, &q.Check.Asks[i])
	}
	r.pending = &changing{q}
	out.Ask = &Ask{Where: b.area(r, q.Check.Area), Text: b.prompt(r, &board, q), Options: b.options(r, q)}
	return nil
}

// whileDrilling lists the checks that are made while drilling.
func whileDrilling(board *engine.Board) []*engine.Check {
	var all []*engine.Check
	for _, ch := range board.Catalogue().Checks {
		if ch.Gate == engine.GateDrilling {
			all = append(all, ch)
		}
	}
	return all
}
