package bot

import (
	"context"
	"fmt"
	"math"
	"strings"

	"firstrod/engine"
	"firstrod/engine/depth"
	"firstrod/engine/picture"
	"firstrod/engine/quantity"
)

// explain is how far, in decibels, a pair may be from what it gave before without
// anybody being asked why: 1 dB is 3.9 % of depth (common practice, no source).
const explain = 1.0

// tellConstants says how the signal at the baseline compares with what the same
// transmitter in the same housing gave on earlier bores. It decides nothing: what
// it finds is for the crew to explain.
func (b *Bot) tellConstants(ctx context.Context, r *room, board *engine.Board, answers []engine.Answer, out *Reply) error {
	for _, a := range answers {
		id, hz := engine.SplitKey(a.Key)
		if id != "signal" || a.Value.Kind() != quantity.Decibel {
			continue
		}
		before, err := b.engine.Constants(ctx, board, hz)
		if err != nil {
			return err
		}
		if len(before) == 0 {
			continue
		}
		now := float64(a.Value.Base()) / 1000
		off := now - mean(before)
		data := map[string]any{
			"Frequency": b.item(r, board, engine.PerFrequency, hz), "Off": fmt.Sprintf("%+.1f dB", off),
			"Bores": len(before), "Depth": fmt.Sprintf("%.0f %%", 100*math.Abs(math.Pow(10, off/60)-1)),
		}
		if math.Abs(off) <= explain {
			out.add(Say, b.say(r, "constant.same", data))
			continue
		}
		says := b.say(r, "constant.off", data)
		out.add(Bad, says)
		if p, err := b.historyPicture(r, board, hz, before, now, says); err == nil {
			out.Pictures = append(out.Pictures, p)
		}
	}
	return nil
}

// tellSuspects says what the constant of a pair makes of readings that hold: some
// faults no reading on the line can show. It decides nothing.
func (b *Bot) tellSuspects(ctx context.Context, r *room, board *engine.Board, answers []engine.Answer, out *Reply) {
	for _, a := range answers {
		id, hz := engine.SplitKey(a.Key)
		if id != "far_reading" {
			continue
		}
		advice, ok := b.engine.Suspect(ctx, board, hz, r.lang)
		if !ok {
			continue
		}
		lines := []string{b.say(r, "constant.suspect", map[string]any{"Frequency": b.item(r, board, engine.PerFrequency, hz)}), advice.Cause, advice.Do}
		if advice.Also != "" {
			lines = append(lines, b.say(r, "advice.also", map[string]any{"Extra": advice.Also}))
		}
		out.add(Bad, strings.Join(lines, "\n"))
	}
}

func mean(all []engine.Constant) float64 {
	sum := 0.0
	for _, c := range all {
		sum += c.DB
	}
	return sum / float64(len(all))
}

// historyPicture draws the constants of a pair, the one of this bore last; says is what
// it shows in words.
func (b *Bot) historyPicture(r *room, board *engine.Board, hz string, before []engine.Constant, now float64, says string) (Picture, error) {
	name := b.item(r, board, engine.PerFrequency, hz)
	p := picture.History{
		Title:  b.say(r, "picture.history", map[string]any{"Bore": board.Bore, "Frequency": name}),
		Centre: mean(before), Limit: explain,
		When:     picture.Axis{Label: b.say(r, "picture.bores", nil)},
		Constant: picture.Axis{Label: b.say(r, "picture.constant", nil)},
		Words: picture.HistoryWords{
			Band: b.say(r, "picture.usual", nil), Holds: b.say(r, "picture.holds", nil), Fails: b.say(r, "picture.explain", nil),
		},
	}
	for _, c := range append(before, engine.Constant{Bore: board.Bore, At: board.At, DB: now}) {
		verdict := depth.Holds
		if math.Abs(c.DB-p.Centre) > explain {
			verdict = depth.Fails
		}
		p.Points = append(p.Points, picture.Calibration{When: c.Bore, DB: c.DB, Verdict: verdict})
	}
	p.Alt = p.Title + ". " + says
	return finish(board.Bore+"-constant-"+hz, p.Alt, p.Render, nil)
}
