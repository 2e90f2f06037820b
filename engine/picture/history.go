package picture

import (
	"cmp"
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"firstrod/engine/depth"
)

// History is the calibration constant of one transmitter, housing and frequency
// over its calibrations, oldest first and evenly spaced, with the band about the
// last accepted value inside which it needs no explaining.
type History struct {
	Title    string
	Alt      string // the picture in words, for those who cannot see it
	When     Axis   // below; Metres is not looked at
	Constant Axis   // beside, in dB; Metres is not looked at
	Words    HistoryWords
	Points   []Calibration
	Centre   float64 // dB; the value to hold others against
	Limit    float64 // dB; half the width of the band
}

// HistoryWords explain the signs; one that is empty is left out.
type HistoryWords struct {
	Band   string // inside the limit
	Holds  string // a constant that holds
	Repeat string // one too close to say
	Fails  string // one to be explained
}

// Calibration is one of them. When is written under it as it stands; U is the
// expanded uncertainty in dB, or 0 for none to draw.
type Calibration struct {
	When    string
	DB      float64
	U       float64
	Verdict depth.Verdict
	Label   string // written beside it; may be empty
}

// Render draws the picture.
func (h History) Render(format Format) ([]byte, error) {
	if err := h.check(); err != nil {
		return nil, err
	}
	return render(format, clean(h.Title), h.Alt, func(c draw.Canvas) { h.draw(c) })
}

func (h History) check() error {
	err := cmp.Or(described(h.Alt), h.When.label("When"), h.Constant.label("Constant"),
		finite("Centre", h.Centre), positive("Limit", h.Limit), counted("Points", len(h.Points), mostPoints))
	for i, p := range h.Points {
		at := fmt.Sprintf("Points[%d].", i)
		err = cmp.Or(err, finite(at+"DB", p.DB), notNegative(at+"U", p.U))
	}
	return err
}

// scale is the range shown, in dB: the band with room about it, and every
// constant that is not more than twelve limits off.
func (h History) scale() (low, high float64) {
	low, high = h.Centre-1.6*h.Limit, h.Centre+1.6*h.Limit
	for _, p := range h.Points {
		low, high = min(low, p.DB-p.U-0.3*h.Limit), max(high, p.DB+p.U+0.3*h.Limit)
	}
	return max(low, h.Centre-12*h.Limit), min(high, h.Centre+12*h.Limit)
}

func (h History) draw(whole draw.Canvas) panel {
	c := heading(whole, h.Title, []key{
		{func(c draw.Canvas) { c.FillPolygon(pale(), corners(c.Rectangle)) }, h.Words.Band},
		markKey(depth.Holds, h.Words.Holds), markKey(depth.Repeat, h.Words.Repeat), markKey(depth.Fails, h.Words.Fails),
	})
	low, high := h.scale()
	p := newPlot(h.When.Label, h.Constant.Label, h.times(), ticks(low, high, 6))
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0.5, float64(len(h.Points))+0.5, low, high
	p.Add(layer(h.band), layer(h.points))
	p.Draw(c)
	return panel{p, p.DataCanvas(c)}
}

// times are ticks under the calibrations, at most seven of them labelled, the
// last always.
func (h History) times() []plot.Tick {
	var all []plot.Tick
	every := (len(h.Points) + 6) / 7
	for i, p := range h.Points {
		t := plot.Tick{Value: float64(i + 1)}
		if (len(h.Points)-1-i)%every == 0 {
			t.Label = clean(p.When)
		}
		all = append(all, t)
	}
	return all
}

func (h History) band(c draw.Canvas, _, y func(float64) vg.Length) {
	area := vg.Rectangle{Min: vg.Point{X: c.Min.X, Y: y(h.Centre - h.Limit)}, Max: vg.Point{X: c.Max.X, Y: y(h.Centre + h.Limit)}}
	c.FillPolygon(pale(), corners(area))
	c.StrokeLine2(line(ink(), 0.75, 4, 3), c.Min.X, y(h.Centre), c.Max.X, y(h.Centre))
}

func (h History) points(c draw.Canvas, x, y func(float64) vg.Length) {
	var way []vg.Point
	for i, p := range h.Points {
		way = append(way, vg.Point{X: x(float64(i + 1)), Y: y(p.DB)})
	}
	c.StrokeLines(line(dark(), 1), c.ClipLinesXY(way)...)
	for i, p := range h.Points {
		if way[i].Y > c.Max.Y || way[i].Y < c.Min.Y {
			beyond(c, way[i])
		} else {
			if p.U > 0 {
				whisker(c, way[i].X, y(p.DB-p.U), y(p.DB+p.U))
			}
			mark(c, way[i], p.Verdict)
		}
		label(c, way[i], clean(p.Label))
	}
}
