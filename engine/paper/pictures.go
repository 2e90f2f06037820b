package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"firstrod/engine/depth"
	"firstrod/engine/picture"
)

const (
	foot    = 0.3048 // metres
	inch    = 0.0254
	explain = 1.0 // dB; a pair that is farther off than that wants explaining (common practice, no source)
)

// metres of a length; not ok for none.
func metres(q *Quantity) (float64, bool) {
	if q == nil {
		return 0, false
	}
	return float64(q.Base) / 1e6, true
}

// picture adds a drawing. Where one cannot be drawn that is said: the table over it
// has the same numbers.
func (s *sheet) picture(alt string, draw func(picture.Format) ([]byte, error)) {
	if draw == nil {
		return
	}
	if _, err := draw(picture.SVG); err != nil {
		s.add(para(s.say("picture.none")))
		return
	}
	s.add(part{Kind: partPicture, Alt: alt, Draw: draw})
}

func (s *sheet) readingsPicture() (string, func(picture.Format) ([]byte, error)) {
	p := picture.Readings{
		Title: s.say("picture.readings", "bore", s.Bore),
		True:  picture.Axis{Label: s.say("picture.true"), Metres: foot},
		Miss:  picture.Axis{Label: s.say("picture.miss"), Metres: inch},
		Words: picture.ReadingWords{
			Tolerance: s.say("picture.tolerance"), Accepted: s.say("picture.accepted"),
			Holds: s.say("picture.holds"), Repeat: s.say("picture.repeat"), Fails: s.say("picture.fails"),
		},
	}
	alt := []string{p.Title + "."}
	for _, f := range s.Frequencies {
		one := picture.Frequency{Name: f.Shown}
		for _, m := range f.Marks {
			truth, miss := float64(m.True.Base)/1e6, float64(m.Error.Base)/1e6
			expanded, tolerance := float64(m.Expanded.Base)/1e6, float64(m.Tolerance.Base)/1e6
			verdict, err := depth.Decide(miss, expanded, tolerance, 1)
			if err != nil {
				continue
			}
			one.Marks = append(one.Marks, picture.Mark{
				True: truth, Read: truth + miss, U: expanded, Tolerance: tolerance, Guard: expanded, Verdict: verdict,
			})
			alt = append(alt, f.Shown+", "+s.say("mark."+m.Which)+": "+m.Error.Shown+".")
		}
		if len(one.Marks) > 0 {
			p.Frequencies = append(p.Frequencies, one)
		}
	}
	if len(p.Frequencies) == 0 {
		return "", nil
	}
	p.Alt = visible(strings.Join(alt, " "), nil)
	return p.Alt, p.Render
}

func (s *sheet) crossingsPicture() (string, func(picture.Format) ([]byte, error)) {
	p := picture.Bore{
		Title:   s.say("picture.crossings", "bore", s.Bore),
		Station: picture.Axis{Label: s.say("picture.station"), Metres: foot},
		Depth:   picture.Axis{Label: s.say("picture.depth"), Metres: foot},
		Words: picture.BoreWords{
			Reamer: s.say("picture.reamer"), Doubt: s.say("picture.doubt"), Utility: s.say("picture.line"),
			Unknown: s.say("picture.unknown"), Planned: s.say("picture.planned"), Needed: s.say("picture.needed"),
		},
	}
	p.Reamer, _ = metres(s.Reamer)
	seen, unseen := false, false
	alt := []string{p.Title + "."}
	for _, c := range s.Crossings {
		line, at, ok := s.crossingDrawn(c)
		if !ok {
			continue
		}
		seen, unseen = seen || c.Exposed, unseen || !c.Exposed
		p.Crossings, p.Path = append(p.Crossings, line), append(p.Path, at)
		alt = append(alt, strings.Join(line.Lines, ", ")+".")
	}
	if len(p.Path) == 0 {
		return "", nil
	}
	if !unseen {
		p.Words.Unknown = ""
	}
	if !seen {
		p.Words.Utility, p.Words.Planned, p.Words.Needed = "", "", ""
	}
	p.Path = beyondCrossings(p.Path)
	p.Alt = visible(strings.Join(alt, " "), nil)
	return p.Alt, p.Render
}

func (s *sheet) crossingDrawn(c Crossing) (picture.Crossing, picture.PathPoint, bool) {
	var at [6]float64
	var ok [6]bool
	for i, q := range []*Quantity{c.Station, c.LineDepth, c.LineSize, c.BoreDepth, c.Needed, c.Doubt} {
		at[i], ok[i] = metres(q)
	}
	if slices.Contains(ok[:], false) {
		return picture.Crossing{}, picture.PathPoint{}, false
	}
	doubt, _ := metres(s.LineDoubt)
	line := picture.Crossing{
		Station: at[0], Depth: at[1], Diameter: at[2], Exposed: c.Exposed, U: doubt, Needed: at[4], Lines: []string{c.Name},
	}
	if c.Exposed {
		line.Lines = append(line.Lines, s.say("picture.gap", "planned", of(c.Available), "needed", of(c.Needed)))
	}
	return line, picture.PathPoint{Station: at[0], Depth: at[3], U: at[5]}, true
}

// beyondCrossings draws the bore on both sides of its outermost crossings at the
// depth it has there: nothing is known of its way beyond.
func beyondCrossings(path []picture.PathPoint) []picture.PathPoint {
	slices.SortStableFunc(path, func(a, b picture.PathPoint) int {
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
	first.Station -= reach
	last.Station += reach
	return append(append([]picture.PathPoint{first}, path...), last)
}

// historyPicture is what the pair gave on earlier bores, and now.
func (s *sheet) historyPicture(f Frequency) (string, func(picture.Format) ([]byte, error)) {
	if len(f.Earlier) == 0 || f.Signal == nil {
		return "", nil
	}
	p := picture.History{
		Title: s.say("picture.history", "bore", s.Bore, "frequency", f.Shown), Limit: explain,
		When: picture.Axis{Label: s.say("picture.bores")}, Constant: picture.Axis{Label: s.say("picture.constant")},
		Words: picture.HistoryWords{Band: s.say("picture.usual"), Holds: s.say("picture.holds"), Fails: s.say("picture.explain")},
	}
	for _, c := range f.Earlier {
		p.Centre += c.DB / float64(len(f.Earlier))
	}
	now := Constant{Bore: s.Bore, DB: float64(f.Signal.Base) / 1000}
	for _, c := range slices.Concat(f.Earlier, []Constant{now}) {
		verdict := depth.Holds
		if math.Abs(c.DB-p.Centre) > explain {
			verdict = depth.Fails
		}
		p.Points = append(p.Points, picture.Calibration{When: c.Bore, DB: c.DB, Verdict: verdict})
	}
	p.Alt = visible(fmt.Sprintf("%s. %.1f dB; %.1f dB.", p.Title, p.Centre, now.DB), nil)
	return p.Alt, p.Render
}
