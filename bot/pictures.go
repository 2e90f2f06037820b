package bot

import (
	"math"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/depth"
	"firstrod/engine/picture"
)

// Picture is a drawing that goes with a reply. A front end that cannot show it
// shows Text, and Alt is for those who cannot see it.
type Picture struct {
	Name string // file name without an ending: "OR-4-readings"
	Alt  string
	PNG  []byte
	Text string // a small drawing in ASCII; may be empty
}

const (
	foot      = 0.3048 // metres
	inch      = 0.0254
	microns   = 1e-6 // metres in a micrometre
	textWidth = 76
)

// draw adds the pictures that belong to a turn: readings against truth once every
// reading is verified, and the crossings with a release. A picture that cannot be
// drawn is left out; it shows what was said, it decides nothing.
func (b *Bot) draw(r *room, t *engine.Turn, out *Reply) {
	board := &t.Board
	if t.Record.Release == nil && !b.justVerified(t) {
		return
	}
	if p, err := b.readingsPicture(r, board); err == nil {
		out.Pictures = append(out.Pictures, p)
	}
	if t.Record.Release == nil {
		return
	}
	if p, err := b.crossingsPicture(r, board); err == nil {
		out.Pictures = append(out.Pictures, p)
	}
}

// justVerified: this turn made the last reading at a mark hold.
func (b *Bot) justVerified(t *engine.Turn) bool {
	const near, far = "verification.near_mark", "verification.far_mark"
	changed := false
	for _, c := range t.Changed {
		changed = changed || c.Status == engine.Pass && (c.Check == near || c.Check == far)
	}
	for _, f := range t.Board.Findings {
		if f.Check == near || f.Check == far {
			changed = changed && f.Status.Holds()
		}
	}
	return changed
}

func (b *Bot) readingsPicture(r *room, board *engine.Board) (Picture, error) {
	p := picture.Readings{
		Title: b.say(r, "picture.readings", map[string]any{"Bore": board.Bore}),
		True:  picture.Axis{Label: b.say(r, "picture.true", nil), Metres: foot},
		Miss:  picture.Axis{Label: b.say(r, "picture.miss", nil), Metres: inch},
		Words: picture.ReadingWords{
			Tolerance: b.say(r, "picture.tolerance", nil), Accepted: b.say(r, "picture.accepted", nil),
			Holds: b.say(r, "picture.holds", nil), Fails: b.say(r, "picture.fails", nil),
		},
	}
	alt := []string{p.Title + "."}
	for _, hz := range board.Items(engine.PerFrequency) {
		f := picture.Frequency{Name: b.item(r, board, engine.PerFrequency, hz)}
		for _, which := range []string{"near", "far"} {
			m, ok := b.mark(r, board, hz, which)
			if !ok {
				continue
			}
			f.Marks = append(f.Marks, m)
			alt = append(alt, f.Name+", "+b.say(r, "picture."+which, nil)+": "+b.known(r, board, "frequency.derived."+which+"_error", hz, nil)+".")
		}
		p.Frequencies = append(p.Frequencies, f)
	}
	p.Alt = strings.Join(alt, " ")
	return finish(board.Bore+"-readings", p.Alt, p.Render, func() (string, error) { return p.Text(textWidth) })
}

// mark is one reading with what it is judged by.
func (b *Bot) mark(r *room, board *engine.Board, hz, which string) (picture.Mark, bool) {
	at := func(what string) (float64, bool) {
		n, ok := board.Derived(engine.PerFrequency, hz, "frequency.derived."+which+"_"+what+"_um")
		return float64(n) * microns, ok
	}
	miss, ok1 := at("error")
	expanded, ok2 := at("expanded")
	tolerance, ok3 := at("tolerance")
	read, ok4 := at("mean")
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return picture.Mark{}, false
	}
	verdict, err := depth.Decide(miss, expanded, tolerance, 1)
	return picture.Mark{
		True: read - miss, Read: read, U: expanded, Tolerance: tolerance, Guard: expanded, Verdict: verdict,
	}, err == nil
}

func (b *Bot) crossingsPicture(r *room, board *engine.Board) (Picture, error) {
	p := picture.Bore{
		Title:   b.say(r, "picture.crossings", map[string]any{"Bore": board.Bore}),
		Station: picture.Axis{Label: b.say(r, "picture.station", nil), Metres: foot},
		Depth:   picture.Axis{Label: b.say(r, "picture.depth", nil), Metres: foot},
		Words: picture.BoreWords{
			Reamer: b.say(r, "picture.reamer", nil), Doubt: b.say(r, "picture.doubt", nil), Utility: b.say(r, "picture.line", nil),
			Planned: b.say(r, "picture.planned", nil), Needed: b.say(r, "picture.needed", nil),
		},
	}
	p.Reamer, _ = metres(board, "reamer_size")
	alt := []string{p.Title + "."}
	for _, line := range board.Items(engine.PerCrossing) {
		c, at, ok := b.crossing(r, board, line)
		if !ok {
			continue
		}
		// Two lines in one trench are crossed at one place, which a way has only once.
		for slices.ContainsFunc(p.Path, func(q picture.PathPoint) bool { return math.Abs(q.Station-at.Station) < nudge/2 }) {
			at.Station += nudge
		}
		c.Station = at.Station
		p.Crossings = append(p.Crossings, c)
		p.Path = append(p.Path, at)
		alt = append(alt, strings.Join(c.Lines, ", ")+".")
	}
	p.Path = stretch(p.Path)
	p.Alt = strings.Join(alt, " ")
	return finish(board.Bore+"-crossings", p.Alt, p.Render, nil)
}

// crossing is one line with the bore right there.
func (b *Bot) crossing(r *room, board *engine.Board, line string) (picture.Crossing, picture.PathPoint, bool) {
	on := func(ask string) (float64, bool) { return metres(board, engine.Key(ask, line)) }
	station, ok1 := on("station")
	deep, ok2 := on("line_depth")
	size, ok3 := on("line_size")
	bore, ok4 := on("bore_depth")
	needed, ok5 := board.Derived(engine.PerCrossing, line, "crossing.derived.needed_um")
	doubt, ok6 := board.Derived(engine.PerCrossing, line, "crossing.derived.doubt_um")
	if slices.Contains([]bool{ok1, ok2, ok3, ok4, ok5, ok6}, false) {
		return picture.Crossing{}, picture.PathPoint{}, false
	}
	c := picture.Crossing{
		Station: station, Depth: deep, Diameter: size, Exposed: true, U: lineDoubt(board), Needed: float64(needed) * microns,
		Lines: []string{line, b.say(r, "release.crossing.short", map[string]any{
			"Planned": b.known(r, board, "crossing.derived.separation", line, nil),
			"Needed":  b.known(r, board, "crossing.derived.needed", line, nil),
		})},
	}
	return c, picture.PathPoint{Station: station, Depth: bore, U: float64(doubt) * microns}, true
}

func lineDoubt(board *engine.Board) float64 {
	if p, ok := board.Catalogue().Param("crossings.line_doubt_um"); ok {
		return float64(p.Value.Base()) * microns
	}
	return 0
}

// nudge is how far apart two crossings at one place are drawn, metres: less than a line
// is thick.
const nudge = 0.01

// stretch draws the bore on both sides of its outermost crossings at the depth it
// has there: nothing is known of its way beyond.
func stretch(path []picture.PathPoint) []picture.PathPoint {
	if len(path) == 0 {
		return nil
	}
	slices.SortFunc(path, func(a, b picture.PathPoint) int {
		switch {
		case a.Station < b.Station:
			return -1
		case a.Station > b.Station:
			return 1
		}
		return 0
	})
	const reach = 10 * foot
	first, last := path[0], path[len(path)-1]
	last.Station += reach
	path = append(path, last)
	// No bore begins before its entry.
	if first.Station = math.Max(0, first.Station-reach); first.Station < path[0].Station {
		path = append([]picture.PathPoint{first}, path...)
	}
	return path
}

func metres(board *engine.Board, key string) (float64, bool) {
	g, ok := board.Fact(key)
	if !ok || !g.Value.Kind().Numeric() {
		return 0, false
	}
	return float64(g.Value.Base()) * microns, true
}

func finish(name, alt string, render func(picture.Format) ([]byte, error), text func() (string, error)) (Picture, error) {
	png, err := render(picture.PNG)
	if err != nil {
		return Picture{}, err
	}
	p := Picture{Name: name, Alt: alt, PNG: png}
	if text != nil {
		p.Text, err = text()
	}
	return p, err
}
