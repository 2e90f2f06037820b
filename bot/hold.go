package bot

import (
	"context"

	"firstrod/engine"
)

// doHold stops the bore at once. Why may come with it or afterwards: nobody who
// sees something wrong has to find words first.
func doHold(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	t, err := b.engine.Hold(ctx, r.bore, r.said(m), rest)
	if err != nil {
		return err
	}
	delete(r.later, reasonLater)
	out.board = &t.Board
	out.add(Loud, b.say(r, "held", map[string]any{"Bore": t.Board.Bore, "Why": rest}))
	b.tellRedo(r, &t, out)
	return nil
}

// reasonLater is what stands among the questions put off for the reason of a hold.
const reasonLater = "hold:reason"

// reasonOf is a hold that waits for its reason. The bore is held all the same.
type reasonOf struct{ bore string }

// askReason asks why the bore is held, if nobody has said it yet.
func (b *Bot) askReason(r *room, board *engine.Board, out *Reply) bool {
	if !board.Unsaid || board.State != engine.Held || r.later[reasonLater] {
		return false
	}
	r.shown, r.pending = nil, &reasonOf{board.Bore}
	out.Ask = &Ask{Where: b.area(r, "drilling"), Text: b.say(r, "hold.reason", nil)}
	return true
}

func (h *reasonOf) names() []string { return []string{"reason", h.bore} }

func (h *reasonOf) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	v, rest := b.verb(m.Text)
	switch {
	case v != nil && v.id == "later" && rest == "":
		r.later[reasonLater] = true
		out.add(Say, b.say(r, "later.done", nil))
		return true, nil
	case b.plainVerb(v, rest):
		return false, nil
	}
	if _, ok := yesNo(m.Text); ok {
		return true, nil // it is asked again
	}
	t, err := b.engine.Reason(ctx, r.bore, r.said(m), m.Text)
	if err != nil {
		return true, err
	}
	out.board = &t.Board
	out.add(Say, b.say(r, "hold.reason.kept", map[string]any{"Why": t.Record.Why}))
	return true, nil
}
