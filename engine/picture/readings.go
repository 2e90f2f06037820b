package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"firstrod/engine/depth"
)

// Readings is what was read against what is true, one panel for each frequency
// (at most six): the difference over the true distance, with the tolerance and
// the part of it that the guard band leaves.
type Readings struct {
	Title string
	Alt   string // the picture in words, for those who cannot see it
	True  Axis   // below: the true distance
	Miss  Axis   // beside: reading less truth
	Words ReadingWords
	// Frequencies in the order of the panels.
	Frequencies []Frequency
}

// ReadingWords explain the signs; one that is empty is left out.
type ReadingWords struct {
	Tolerance string // the whole tolerance
	Accepted  string // what the guard band leaves of it
	Holds     string // a reading that holds
	Repeat    string // one too close to the limit to say
	Fails     string // one that fails
}

// Frequency is one panel.
type Frequency struct {
	Name  string
	Marks []Mark // in any order
}

// Mark is one mark on the ground; metres.
type Mark struct {
	True      float64 // distance
	Read      float64
	U         float64 // expanded uncertainty of the difference, drawn as a bar
	Tolerance float64 // for either sign
	Guard     float64 // what is kept back from the tolerance
	Verdict   depth.Verdict
	Label     string // such as the reading in words; may be empty
}

// Render draws the picture.
func (r Readings) Render(format Format) ([]byte, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	return render(format, clean(r.Title), r.Alt, func(c draw.Canvas) { r.draw(c) })
}

func (r Readings) check() error {
	err := cmp.Or(described(r.Alt), r.True.check("True"), r.Miss.check("Miss"),
		counted("Frequencies", len(r.Frequencies), mostPanels))
	for i, f := range r.Frequencies {
		name := fmt.Sprintf("Frequencies[%d].Marks", i)
		err = cmp.Or(err, counted(name, len(f.Marks), mostMarks))
		for j, m := range f.Marks {
			err = cmp.Or(err, m.check(fmt.Sprintf("%s[%d].", name, j)))
		}
	}
	return err
}

func (m Mark) check(at string) error {
	return cmp.Or(positive(at+"True", m.True), finite(at+"Read", m.Read), notNegative(at+"U", m.U),
		positive(at+"Tolerance", m.Tolerance), notNegative(at+"Guard", m.Guard))
}

func (m Mark) miss() float64     { return m.Read - m.True }
func (m Mark) accepted() float64 { return max(0, m.Tolerance-m.Guard) }

// reach is the largest miss that the scale has to show, in metres: all of every
// band, and every reading that is not beyond two tolerances.
func (r Readings) reach() float64 {
	bands, values := 0.0, 0.0
	for _, f := range r.Frequencies {
		for _, m := range f.Marks {
			bands = max(bands, m.Tolerance)
			values = max(values, math.Abs(m.miss())+m.U)
		}
	}
	return min(max(bands*1.15, values*1.1), 2*bands)
}

func (r Readings) draw(whole draw.Canvas) []panel {
	c := heading(whole, r.Title, []key{
		{func(c draw.Canvas) { c.FillPolygon(pale(), corners(c.Rectangle)) }, r.Words.Tolerance},
		{func(c draw.Canvas) { c.FillPolygon(mid(), corners(c.Rectangle)) }, r.Words.Accepted},
		markKey(depth.Holds, r.Words.Holds), markKey(depth.Repeat, r.Words.Repeat), markKey(depth.Fails, r.Words.Fails),
	})
	rows, cols := grid(len(r.Frequencies))
	plots := make([][]*plot.Plot, rows)
	for i := range plots {
		plots[i] = make([]*plot.Plot, cols)
	}
	for i, f := range r.Frequencies {
		plots[i/cols][i%cols] = r.plot(f, i%cols == 0, i+cols >= len(r.Frequencies))
	}
	canvases := plot.Align(plots, draw.Tiles{Rows: rows, Cols: cols, PadX: 10, PadY: 6}, c)
	var panels []panel
	for i := range r.Frequencies {
		p, at := plots[i/cols][i%cols], canvases[i/cols][i%cols]
		p.Draw(at)
		panels = append(panels, panel{p, p.DataCanvas(at)})
	}
	return panels
}

// grid is how n panels stand: up to three beside one another.
func grid(n int) (rows, cols int) {
	cols = min(n, 3)
	if n == 4 {
		cols = 2
	}
	return (n + cols - 1) / cols, cols
}

func corners(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
}

// plot is one panel; only the outer ones carry the labels of the axes.
func (r Readings) plot(f Frequency, left, bottom bool) *plot.Plot {
	marks := slices.SortedStableFunc(slices.Values(f.Marks), func(a, b Mark) int { return cmp.Compare(a.True, b.True) })
	reach := r.reach() / r.Miss.Metres
	var below []plot.Tick
	for _, m := range marks {
		v := m.True / r.True.Metres
		below = append(below, plot.Tick{Value: v, Label: shown(v, places(v))})
	}
	xLabel, yLabel := r.True.Label, r.Miss.Label
	if !bottom {
		xLabel = ""
	}
	if !left {
		yLabel = ""
	}
	p := newPlot(xLabel, yLabel, sparse(below), ticks(-reach, reach, 6))
	p.Title.Text, p.Title.TextStyle, p.Title.Padding = clean(f.Name), letters(middle), 3
	p.Title.TextStyle.XAlign, p.Title.TextStyle.YAlign = draw.XCenter, draw.YTop
	first, last := marks[0].True/r.True.Metres, marks[len(marks)-1].True/r.True.Metres
	side := max((last-first)*0.12, first*0.1)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = first-side, last+side, -reach, reach
	p.Add(r.bands(marks), r.points(marks))
	return p
}

// places is how many decimals a distance on an axis needs, at most two.
func places(v float64) int {
	for n := range 2 {
		scaled := v * math.Pow10(n)
		if math.Abs(scaled-math.Round(scaled)) < 1e-3 {
			return n
		}
	}
	return 2
}

// sparse takes the labels off ticks that stand closer together than a
// twelfth of the whole.
func sparse(all []plot.Tick) []plot.Tick {
	room := (all[len(all)-1].Value - all[0].Value) / 12
	last := math.Inf(-1)
	for i := range all {
		if all[i].Value-last < room {
			all[i].Label = ""
			continue
		}
		last = all[i].Value
	}
	return all
}

// bands are the tolerance and what the guard leaves of it, level beyond the
// outermost marks.
func (r Readings) bands(marks []Mark) layer {
	return func(c draw.Canvas, x, y func(float64) vg.Length) {
		area := func(half func(Mark) float64) []vg.Point {
			var upper, lower []vg.Point
			add := func(at vg.Length, m Mark) {
				h := half(m) / r.Miss.Metres
				upper, lower = append(upper, vg.Point{X: at, Y: y(h)}), append(lower, vg.Point{X: at, Y: y(-h)})
			}
			add(c.Min.X, marks[0])
			for _, m := range marks {
				add(x(m.True/r.True.Metres), m)
			}
			add(c.Max.X, marks[len(marks)-1])
			slices.Reverse(lower)
			return append(upper, lower...)
		}
		c.FillPolygon(pale(), c.ClipPolygonXY(area(func(m Mark) float64 { return m.Tolerance })))
		c.FillPolygon(mid(), c.ClipPolygonXY(area(Mark.accepted)))
		c.StrokeLine2(line(ink(), 0.75, 4, 3), c.Min.X, y(0), c.Max.X, y(0))
	}
}

// points are the readings with their doubt.
func (r Readings) points(marks []Mark) layer {
	return func(c draw.Canvas, x, y func(float64) vg.Length) {
		for _, m := range marks {
			at := vg.Point{X: x(m.True / r.True.Metres), Y: y(m.miss() / r.Miss.Metres)}
			if at.Y > c.Max.Y || at.Y < c.Min.Y {
				beyond(c, at)
			} else {
				u := m.U / r.Miss.Metres
				whisker(c, at.X, y(m.miss()/r.Miss.Metres-u), y(m.miss()/r.Miss.Metres+u))
				mark(c, at, m.Verdict)
			}
			label(c, at, clean(m.Label))
		}
	}
}

// whisker is a bar of doubt, cut off at the edge of the plot.
func whisker(c draw.Canvas, x, low, high vg.Length) {
	const half = vg.Length(3)
	lowest, highest := max(low, c.Min.Y), min(high, c.Max.Y)
	c.StrokeLine2(line(ink(), 1.25), x, lowest, x, highest)
	for _, end := range []vg.Length{low, high} {
		if end >= c.Min.Y && end <= c.Max.Y {
			c.StrokeLine2(line(ink(), 1.25), x-half, end, x+half, end)
		}
	}
}

// beyond is an arrow at the edge toward a value that lies outside.
func beyond(c draw.Canvas, at vg.Point) {
	tip, back := c.Max.Y, c.Max.Y-9
	if at.Y < c.Min.Y {
		tip, back = c.Min.Y, c.Min.Y+9
	}
	c.FillPolygon(ink(), []vg.Point{{X: at.X, Y: tip}, {X: at.X - 5, Y: back}, {X: at.X + 5, Y: back}})
}

// label sets the words of a value beside it, on the side where there is room.
func label(c draw.Canvas, at vg.Point, words string) {
	if words == "" {
		return
	}
	style := letters(small)
	style.YAlign = draw.YCenter
	w := style.Width(words)
	at.Y = min(max(at.Y, c.Min.Y+small), c.Max.Y-small)
	if at.X+7+w > c.Max.X {
		at.X -= 14 + w
	}
	c.FillText(style, vg.Point{X: max(at.X+7, c.Min.X), Y: at.Y}, words)
}
