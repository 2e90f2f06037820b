package bot

import (
	"context"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// signing is a signature that waits for a yes, after its values were shown.
type signing struct {
	person engine.Person
	ver    int64  // version of the bore that was shown
	rules  string // revision that it was judged by
}

// doSign shows the values that are signed and what signing means, and asks for
// a yes. "sign Luis Ortega, drill operator" lets a second person sign where the
// first one sits.
func doSign(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	signer := r.speaker
	if rest != "" && !r.known {
		p, ok, err := b.introduce(ctx, r, deliver(m, "introduce"), rest, out)
		if err != nil || !ok {
			r.pending = nil
			return err
		}
		signer = p
	}
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	if board.Verdict != engine.Signable {
		out.add(Bad, b.headline(r, &board))
		out.add(Say, strings.Join(append([]string{b.say(r, "sign.not_yet", nil)}, b.stops(r, &board)...), "\n"))
		return nil
	}
	for _, s := range board.Signs {
		if s.By.ID == signer.ID || s.By.Role == signer.Role() {
			// Recorded as refused; the sheet would be shown for nothing.
			said := r.said(m)
			said.By = ledger.Actor{ID: signer.ID, Role: signer.Role()}
			_, err := b.engine.Sign(ctx, r.bore, said)
			return err
		}
	}
	r.pending = &signing{signer, board.Ver, board.Catalogue().Revision}
	out.add(Sheet, b.valuesByArea(r, &board))
	out.Ask = &Ask{
		Text: b.say(r, "sign.confirm", map[string]any{
			"Name": signer.Name, "Role": b.role(r, signer.Role()), "Meaning": b.say(r, "sign.meaning", nil),
		}),
		Options: []string{b.say(r, "yes", nil), b.say(r, "no", nil)},
	}
	return nil
}

// stops says, in a line each, which rules in front of the release say no.
func (b *Bot) stops(r *room, board *engine.Board) []string {
	var lines []string
	for _, f := range board.Of(engine.GateRelease, engine.Fail) {
		if ch, ok := board.Catalogue().Check(f.Check); ok && !ch.AboutSignatures() {
			lines = append(lines, "  "+b.turned(r, board, ch, f))
		}
	}
	return lines
}

// tellUnsigned says which rule about signatures still wants one.
func (b *Bot) tellUnsigned(r *room, board *engine.Board, out *Reply) {
	for _, f := range board.Of(engine.GateRelease, engine.Fail) {
		if ch, ok := board.Catalogue().Check(f.Check); ok && ch.AboutSignatures() {
			out.add(Say, b.fill(r, ch.Stop, board, ch, f.Subject))
		}
	}
}

// deliver gives a second record of one message a key of its own.
func deliver(m Message, what string) Message {
	m.Key += "/" + what
	return m
}

func (s *signing) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	yes, ok := yesNo(m.Text)
	if r.known && r.speaker.ID != s.person.ID {
		// A yes of somebody else is no signature; the board stays open for it.
		r.pending = s
		out.add(Say, b.say(r, "sign.not_you", map[string]any{"Name": s.person.Name}))
		out.Ask = r.last.Ask
		return true, nil
	}
	if !ok || !yes {
		if ok {
			out.add(Say, b.say(r, "sign.no", nil))
		}
		return ok, nil
	}
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return true, err
	}
	if board.Ver != s.ver || board.Catalogue().Revision != s.rules || r.known && r.speaker.Role() != s.person.Role() {
		out.add(Say, b.say(r, "sign.moved", nil))
		return true, nil
	}
	said := r.said(m)
	said.By = ledger.Actor{ID: s.person.ID, Role: s.person.Role()}
	t, err := b.engine.Sign(ctx, r.bore, said)
	if err != nil {
		return true, err
	}
	b.tellNewRules(r, &t, out)
	if t.Record.Release != nil {
		b.tellRelease(ctx, r, &t, out)
		return true, nil
	}
	out.add(Good, b.say(r, "sign.done", map[string]any{"Name": s.person.Name, "Role": b.role(r, s.person.Role())}))
	b.tellUnsigned(r, &t.Board, out)
	return true, nil
}

// clock shows a moment as the clocks on site do.
func (b *Bot) clock(board *engine.Board, t time.Time) string {
	at := t.In(board.Zone)
	if engine.Day(t, board.Zone) == engine.Day(board.At, board.Zone) {
		return at.Format("15:04")
	}
	return at.Format("2006-01-02 15:04")
}

// voidReason words why a release holds no longer.
func (b *Bot) voidReason(r *room, code string) string {
	if code == "" {
		return ""
	}
	return b.say(r, "void."+code, nil)
}

// tellStuck names whom to call, and what to read out.
func (b *Bot) tellStuck(r *room, board *engine.Board, ch *engine.Check, f engine.Finding, out *Reply) {
	lines := []string{b.say(r, "stuck.call", map[string]any{"Who": b.call(r)}), "  " + board.Bore + ", " + ch.ID}
	for _, g := range b.behind(r, board, ch, f) {
		lines = append(lines, "  "+g)
	}
	out.add(Say, strings.Join(lines, "\n"))
}

// readOut is how many values a stuck crew reads out on the phone.
const readOut = 5

// behind lists the values a finding stands on.
func (b *Bot) behind(r *room, board *engine.Board, ch *engine.Check, f engine.Finding) []string {
	var lines []string
	for _, g := range given(board) {
		id, subject := engine.SplitKey(g.Key)
		a, _ := board.Catalogue().Ask(id)
		if subject != "" && subject != f.Subject || !readsLeaf(board.Catalogue(), ch, engine.LeafOf(a)) || len(lines) == readOut {
			continue
		}
		lines = append(lines, b.label(r, board, a, subject)+": "+b.print(r, board, g.Value))
	}
	return lines
}

func readsLeaf(c *engine.Catalogue, ch *engine.Check, leaf string) bool {
	for _, reader := range c.ReadBy(leaf) {
		if reader == ch {
			return true
		}
	}
	return false
}
