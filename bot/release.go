package bot

import (
	"context"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// Paper is the record of a bore, and the signed checkpoint that covers it: what is
// kept where whoever keeps the ledger cannot quietly change it.
type Paper struct {
	Name       string // of the file, without an ending: "OR-4-43"
	Alt        string // what it is, for those who cannot see it
	Instead    string // what to say where no file can be sent
	Checkpoint string // a signed note, to the letter
	Short      string // its first digits, as a release names them
	PDF        []byte
}

// tellRelease says that a bore is released, and gives what is to be filed.
func (b *Bot) tellRelease(ctx context.Context, r *room, t *engine.Turn, out *Reply) {
	out.add(Release, b.releaseText(r, &t.Board, t.Record.Release, t.Receipt.Seq, t.Receipt.Short()))
	b.draw(r, t, out)
	out.add(Caution, b.say(r, "caution.release", nil))
	paper, err := b.file(ctx, r, t.Board.Bore)
	b.hand(r, t.Board.Bore, paper, err, out)
}

// releaseAgain is for a delivery that released a bore and that nobody was told of,
// as after a crash right behind the record: the release is said in full, unless
// something came after it.
func (b *Bot) releaseAgain(ctx context.Context, r *room, seq int64, out *Reply) error {
	if r.bore == "" {
		return nil
	}
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil || board.Verdict != engine.Ready || board.Seq != seq {
		return err
	}
	paper, err := b.file(ctx, r, board.Bore)
	short := paper.Short
	if short == "" {
		short = unknown
	}
	out.add(Release, b.releaseText(r, &board, board.Release, seq, short))
	out.add(Caution, b.say(r, "caution.release", nil))
	b.hand(r, board.Bore, paper, err, out)
	return nil
}

// file makes the record of a bore; none where nothing makes one here.
func (b *Bot) file(ctx context.Context, r *room, bore string) (Paper, error) {
	if b.papers == nil {
		return Paper{}, nil
	}
	return b.papers(ctx, bore, r.lang)
}

// hand gives the checkpoint and the record, or says in one line how to get them.
func (b *Bot) hand(r *room, bore string, p Paper, err error, out *Reply) {
	about := map[string]any{"Bore": bore}
	switch {
	case err != nil:
		out.add(Bad, b.say(r, "release.paper.failed", about))
	case len(p.PDF) == 0:
		out.add(Say, b.say(r, "release.paper.command", about))
	default:
		out.add(Exact, b.say(r, "release.paper.keep", about)+"\n"+p.Checkpoint)
		p.Alt = b.say(r, "release.paper.file", map[string]any{"Bore": bore, "Checkpoint": p.Short})
		p.Instead = b.say(r, "release.paper.instead", about)
		out.Paper = &p
	}
}

// releaseText is plain: until when, who signed, what the numbers are, what was
// waived, what ends it, and where it is recorded.
func (b *Bot) releaseText(r *room, board *engine.Board, rel *ledger.Release, seq int64, short string) string {
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
		b.say(r, "release.record", map[string]any{"Record": seq, "Checkpoint": short}))
	return strings.Join(lines, "\n")
}

// limitLine names the main limits that the release stands on.
func (b *Bot) limitLine(r *room, board *engine.Board) string {
	id := "release.limits"
	if len(board.Catalogue().Loose) > 0 {
		id = "release.limits.loose"
	}
	return b.say(r, id, map[string]any{
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
