package bot

import (
	"context"
	"fmt"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// doPhotos shows what was given as evidence.
func doPhotos(ctx context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	lines := []string{b.sayN(r, "files.list", len(board.Shown), nil)}
	for _, f := range board.Shown {
		about, whole := b.ofItself(ctx, r, f)
		lines = append(lines, fmt.Sprintf("  %.12s  %s, %s, %d kB%s", f.Sum, f.Name, f.Type, (f.Size+999)/1000, about))
		if whole {
			out.Files = append(out.Files, f)
		}
	}
	out.add(Sheet, strings.Join(lines, "\n"))
	return nil
}

// ofItself is what a picture says of itself: when to everybody, where only to a
// safety manager who is not in the thread of a crew, which others read as well.
// whole is false for one that cannot be shown any more.
func (b *Bot) ofItself(ctx context.Context, r *room, f ledger.File) (text string, whole bool) {
	if b.look == nil {
		return "", true
	}
	info, err := b.look(ctx, f.Sum)
	if err != nil {
		return b.say(r, "files.gone", nil), false
	}
	if when := info.When(); when != "" {
		text = b.say(r, "files.taken", map[string]any{"When": when})
	}
	switch {
	case info.Place == nil:
	case r.speaker.Role() == engine.RoleSafetyManager && !r.pinned:
		text += b.say(r, "files.at", map[string]any{"Place": info.Place.String()})
	default:
		text += b.say(r, "files.place", nil)
	}
	return text, true
}
