package bot

import (
	"context"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
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
		out.add(Say, b.say(r, "sign.not_yet", nil))
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
		out.add(Release, b.releaseText(r, &t))
		b.draw(r, &t, out)
		out.add(Caution, b.say(r, "caution.release", nil))
		return true, nil
	}
	out.add(Good, b.say(r, "sign.done", map[string]any{"Name": s.person.Name, "Role": b.role(r, s.person.Role())}))
	b.tellUnsigned(r, &t.Board, out)
	return true, nil
}

// releaseText is plain: until when, who signed, what the numbers are, what was
// waived, what ends it, and where it is recorded.
func (b *Bot) releaseText(r *room, t *engine.Turn) string {
	board, rel := &t.Board, t.Record.Release
	var signers []string
	for _, a := range rel.Signers {
		signers = append(signers, b.name(r, a.ID)+", "+b.role(r, a.Role))
	}
	lines := []string{
		b.say(r, "release.head", map[string]any{"Bore": board.Bore, "Place": board.Place, "Until": b.clock(board, rel.Until)}),
		b.say(r, "release.signed", map[string]any{"Who": strings.Join(signers, "; ")}),
		b.sayN(r, "release.checks", rel.Checks, map[string]any{"Waived": len(rel.Waived)}),
	}
	for _, key := range rel.Waived {
		lines = append(lines, b.say(r, "release.waived", map[string]any{"Rule": key}))
	}
	lines = append(lines, b.localLines(r, board)...)
	lines = append(lines, b.depthLines(r, board)...)
	lines = append(lines, b.limitLine(r, board), b.say(r, "release.void", nil),
		b.say(r, "release.record", map[string]any{"Record": t.Receipt.Seq, "Checkpoint": t.Receipt.Short()}))
	return strings.Join(lines, "\n")
}

// limitLine names the main limits that the release stands on.
func (b *Bot) limitLine(r *room, board *engine.Board) string {
	return b.say(r, "release.limits", map[string]any{
		"Standoff": b.limit(r, board, "ground.standoff"), "Tolerance": b.limit(r, board, "verification.tolerance"),
		"Clearance": b.limit(r, board, "crossings.clearance"), "Rules": shortSum(board.Rules),
	})
}

func shortSum(sum string) string {
	if len(sum) < 8 {
		return sum
	}
	return sum[:4] + " " + sum[4:8]
}

// depthLines say how good the depth is, and what each crossing has and needs.
func (b *Bot) depthLines(r *room, board *engine.Board) []string {
	var lines []string
	if plan, ok := board.Fact("planned_depth"); ok {
		for _, hz := range board.Items(engine.PerFrequency) {
			lines = append(lines, b.say(r, "release.depth", map[string]any{
				"Frequency": b.item(r, board, engine.PerFrequency, hz), "Depth": b.print(r, board, plan.Value),
				"Doubt": b.known(r, board, "frequency.derived.depth_doubt", hz, nil), "Deepest": b.deepest(r, board, hz),
			}))
		}
	}
	for _, line := range board.Items(engine.PerCrossing) {
		lines = append(lines, b.say(r, "release.crossing", map[string]any{
			"Line":    line,
			"Planned": b.known(r, board, "crossing.derived.separation", line, nil),
			"Needed":  b.known(r, board, "crossing.derived.needed", line, nil),
			"Contact": b.touching(r, board, line),
		}))
	}
	return lines
}

// deepest is down to where a reading stays within the tolerance.
func (b *Bot) deepest(r *room, board *engine.Board, hz string) string {
	n, ok := board.Derived(engine.PerFrequency, hz, "frequency.derived.deepest_um")
	if !ok {
		return unknown
	}
	const whole = 304_800 // nobody plans by the inch here
	return b.print(r, board, quantity.Of(quantity.Length, n/whole*whole))
}

// touching is the chance that reamer and line touch, never shown as none.
func (b *Bot) touching(r *room, board *engine.Board, line string) string {
	n, ok := board.Derived(engine.PerCrossing, line, "crossing.derived.contact_ppm")
	if !ok {
		return unknown
	}
	const least = 100 // 0.01 %
	id := "contact.about"
	if n < least {
		id, n = "contact.under", least
	}
	return b.say(r, id, map[string]any{"Chance": b.print(r, board, quantity.Of(quantity.Percent, n))})
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
