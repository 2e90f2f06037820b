package picture

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// crossings draws every utility with what is planned and needed beside it, then
// the words where they cover least of what is there already.
func (b Bore) crossings(c draw.Canvas, x, y func(float64) vg.Length) {
	taken := b.wayBoxes(x, y)
	var own []vg.Rectangle
	for _, u := range b.Crossings {
		own = append(own, b.apart(c, u, x, y))
	}
	for _, u := range b.Crossings { // on top, so that none hides behind another's bar
		b.utility(c, u, x, y)
	}
	taken = append(taken, own...)
	for i, u := range b.Crossings {
		taken = append(taken, words(c, u.Lines, own[i], taken))
	}
}

// wayBoxes is the room that the band of doubt takes, piece by piece.
func (b Bore) wayBoxes(x, y func(float64) vg.Length) []vg.Rectangle {
	var boxes []vg.Rectangle
	every := max(1, len(b.Path)/100)
	for i := every; i < len(b.Path); i += every {
		p, q := b.Path[i-every], b.Path[i]
		half := b.Reamer/2 + max(p.U, q.U)
		boxes = append(boxes, vg.Rectangle{
			Min: vg.Point{X: x(p.Station / b.Station.Metres), Y: y((max(p.Depth, q.Depth) + half) / b.Depth.Metres)},
			Max: vg.Point{X: x(q.Station / b.Station.Metres), Y: y((min(p.Depth, q.Depth) - half) / b.Depth.Metres)},
		})
	}
	return boxes
}

// place is where a utility is drawn, and a length in metres to the scale of depth.
func (b Bore) place(u Crossing, x, y func(float64) vg.Length) (at vg.Point, size func(metres float64) vg.Length) {
	at = vg.Point{X: x(u.Station / b.Station.Metres), Y: y(u.Depth / b.Depth.Metres)}
	return at, func(metres float64) vg.Length {
		return vg.Length(math.Abs(float64(y((u.Depth+metres)/b.Depth.Metres) - at.Y)))
	}
}

const leastRadius, leastUnknown = vg.Length(2.5), vg.Length(6)

// apart draws what is planned and needed beside one utility and gives back the room
// that both take.
func (b Bore) apart(c draw.Canvas, u Crossing, x, y func(float64) vg.Length) vg.Rectangle {
	at, size := b.place(u, x, y)
	r := max(size(u.Diameter/2), leastRadius)
	if !u.Exposed {
		return square(at, max(r, leastUnknown))
	}
	planned, needed := y(b.planned(u.Station)/b.Depth.Metres), y(b.needs(u)/b.Depth.Metres)
	separation(c, at.X, at.Y, planned, needed)
	room := square(at, max(r, 4))
	room.Min.Y, room.Max.Y = min(room.Min.Y, planned, needed), max(room.Max.Y, planned, needed)
	return room
}

// utility draws one utility itself.
func (b Bore) utility(c draw.Canvas, u Crossing, x, y func(float64) vg.Length) {
	at, size := b.place(u, x, y)
	r := max(size(u.Diameter/2), leastRadius)
	if !u.Exposed {
		unknown(c, at, max(r, leastUnknown))
		return
	}
	pipe(c, at, r, max(size(u.Diameter/2+u.U), r+1.5))
}

func square(at vg.Point, r vg.Length) vg.Rectangle {
	return vg.Rectangle{Min: vg.Point{X: at.X - r, Y: at.Y - r}, Max: vg.Point{X: at.X + r, Y: at.Y + r}}
}

// pipe is a utility seen from its end, within the ring of its own doubt.
func pipe(c draw.Canvas, at vg.Point, r, doubt vg.Length) {
	c.SetColor(paper())
	c.Fill(round(at, doubt))
	c.SetLineStyle(line(ink(), 0.75))
	c.Stroke(round(at, doubt))
	c.SetColor(dark())
	c.Fill(round(at, r))
	c.SetLineStyle(line(ink(), 1))
	c.Stroke(round(at, r))
}

// unknown is a utility nobody has seen: open, dashed, with a mark of question.
func unknown(c draw.Canvas, at vg.Point, r vg.Length) {
	c.SetColor(paper())
	c.Fill(round(at, r))
	c.SetLineStyle(line(ink(), 1.25, 2.5, 2))
	c.Stroke(round(at, r))
	style := letters(small)
	style.XAlign, style.YAlign = draw.XCenter, draw.YCenter
	c.FillText(style, at, "?")
}

func round(at vg.Point, r vg.Length) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: at.X + r, Y: at.Y})
	p.Arc(at, r, 0, 2*math.Pi)
	p.Close()
	return p
}

// separation stands at a utility: broad for what is needed, and on it a line
// with ends for what is planned. A broad bar that sticks out is a lack.
func separation(c draw.Canvas, x, from, planned, needed vg.Length) {
	// Dashes without end, far outside, would take as long to draw.
	needed = max(min(needed, c.Max.Y), c.Min.Y)
	area := vg.Rectangle{Min: vg.Point{X: x - 4, Y: min(from, needed)}, Max: vg.Point{X: x + 4, Y: max(from, needed)}}
	c.FillPolygon(paper(), corners(area))
	c.StrokeLines(line(ink(), 0.75, 2, 1.5), append(corners(area), area.Min))
	c.StrokeLine2(line(ink(), 1.75), x, from, x, planned)
	for _, end := range []vg.Length{from, planned} {
		c.StrokeLine2(line(ink(), 1.75), x-4, end, x+4, end)
	}
}

// words sets lines of text beside a crossing: to the right, the left, over or
// under it, whatever covers nothing that is there already. The paper behind
// them keeps them readable on any shade.
func words(c draw.Canvas, lines []string, own vg.Rectangle, taken []vg.Rectangle) vg.Rectangle {
	style := letters(small)
	w := vg.Length(0)
	for _, l := range lines {
		w = max(w, style.Width(clean(l)))
	}
	const row, gap = vg.Length(11.5), vg.Length(4)
	h := row * vg.Length(len(lines))
	best, covered := vg.Rectangle{}, math.Inf(1)
	centre := (own.Min.Y + own.Max.Y) / 2
	for _, at := range []vg.Point{
		{X: own.Max.X + gap, Y: centre - h/2}, {X: own.Min.X - gap - w, Y: centre - h/2},
		{X: own.Max.X + gap, Y: own.Max.Y}, {X: own.Min.X - gap - w, Y: own.Max.Y},
		{X: own.Max.X + gap, Y: own.Min.Y - h}, {X: own.Min.X - gap - w, Y: own.Min.Y - h},
		{X: own.Min.X, Y: own.Max.Y + gap}, {X: own.Min.X, Y: own.Min.Y - gap - h},
		{X: own.Max.X + 6*gap, Y: own.Max.Y + 3*gap}, {X: own.Min.X - 6*gap - w, Y: own.Max.Y + 3*gap},
		{X: own.Max.X + 6*gap, Y: own.Min.Y - 3*gap - h}, {X: own.Min.X - 6*gap - w, Y: own.Min.Y - 3*gap - h},
	} {
		at.X = max(min(at.X, c.Max.X-w-2), c.Min.X+2)
		at.Y = max(min(at.Y, c.Max.Y-h-2), c.Min.Y+2)
		r := vg.Rectangle{Min: at, Max: vg.Point{X: at.X + w, Y: at.Y + h}}
		sum := 0.0
		for _, t := range taken {
			sum += overlap(r, t)
		}
		if sum < covered {
			best, covered = r, sum
		}
	}
	c.FillPolygon(paper(), corners(vg.Rectangle{
		Min: vg.Point{X: best.Min.X - 2, Y: best.Min.Y}, Max: vg.Point{X: best.Max.X + 2, Y: best.Max.Y}}))
	for i, l := range lines {
		c.FillText(style, vg.Point{X: best.Min.X, Y: best.Max.Y - row*vg.Length(i+1) + 1}, clean(l))
	}
	return best
}

func overlap(a, b vg.Rectangle) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return float64(w) * float64(h)
}
