package picture

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Bore is how deep the bore is planned along its way, how far the depth shown
// may be off, and every utility it has to pass. Depth counts downward; the two
// scales differ, so utilities are circles to the scale of depth.
type Bore struct {
	Title   string
	Alt     string // the picture in words, for those who cannot see it
	Station Axis   // below: distance along the bore
	Depth   Axis   // beside: depth under the ground
	Words   BoreWords
	Path    []PathPoint // two or more, in order of Station
	Reamer  float64     // diameter of the largest tool that goes through, metres
	// Crossings may be none.
	Crossings []Crossing
}

// BoreWords explain the signs; one that is empty is left out.
type BoreWords struct {
	Reamer  string // the way of the reamer
	Doubt   string // the uncertainty of depth about it
	Utility string // a utility with its own uncertainty
	Unknown string // a utility that was not exposed
	Planned string // the separation planned
	Needed  string // the separation needed
}

// PathPoint is one place of the planned bore; metres. U is the expanded
// uncertainty of the depth shown there.
type PathPoint struct {
	Station, Depth, U float64
}

// Crossing is one utility; metres. Depths are to its centre. Exposed says that
// it was seen, so that U, its expanded uncertainty, means something; where it was
// not, U and Needed are not looked at.
type Crossing struct {
	Station, Depth float64
	Diameter       float64
	Exposed        bool
	U              float64
	Needed         float64  // separation needed, centre to centre
	Lines          []string // what to write beside it: name, planned, needed
}

// Render draws the picture.
func (b Bore) Render(format Format) ([]byte, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	return render(format, clean(b.Title), b.Alt, func(c draw.Canvas) { b.draw(c) })
}

func (b Bore) check() error {
	err := cmp.Or(described(b.Alt), b.Station.check("Station"), b.Depth.check("Depth"), positive("Reamer", b.Reamer))
	if len(b.Path) < 2 || len(b.Path) > mostPath {
		return cmp.Or(err, refuse("Path", fmt.Sprintf("%d points; 2 to %d can be drawn", len(b.Path), mostPath)))
	}
	for i, p := range b.Path {
		at := fmt.Sprintf("Path[%d].", i)
		err = cmp.Or(err, finite(at+"Station", p.Station), notNegative(at+"Depth", p.Depth), notNegative(at+"U", p.U))
		if i > 0 && p.Station <= b.Path[i-1].Station {
			err = cmp.Or(err, refuse(at+"Station", "is not beyond the one before"))
		}
	}
	if len(b.Crossings) > mostCrossings {
		err = cmp.Or(err, refuse("Crossings", fmt.Sprintf("more than %d", mostCrossings)))
	}
	for i, x := range b.Crossings {
		err = cmp.Or(err, b.checkCrossing(fmt.Sprintf("Crossings[%d].", i), x))
	}
	return err
}

func (b Bore) checkCrossing(at string, x Crossing) error {
	err := cmp.Or(finite(at+"Station", x.Station), positive(at+"Depth", x.Depth), positive(at+"Diameter", x.Diameter))
	if x.Station < b.Path[0].Station || x.Station > b.Path[len(b.Path)-1].Station {
		err = cmp.Or(err, refuse(at+"Station", "is not on the path"))
	}
	if x.Exposed {
		err = cmp.Or(err, positive(at+"U", x.U), positive(at+"Needed", x.Needed))
	}
	return err
}

// planned is the depth of the path at a station on it, metres.
func (b Bore) planned(station float64) float64 {
	for i := 1; i < len(b.Path); i++ {
		if p, q := b.Path[i-1], b.Path[i]; station <= q.Station {
			return p.Depth + (q.Depth-p.Depth)*(station-p.Station)/(q.Station-p.Station)
		}
	}
	return b.Path[len(b.Path)-1].Depth
}

// deepest is the lowest thing drawn, metres.
func (b Bore) deepest() float64 {
	low := 0.0
	for _, p := range b.Path {
		low = max(low, p.Depth+p.U+b.Reamer/2)
	}
	for _, x := range b.Crossings {
		low = max(low, x.Depth+x.Diameter/2)
		if !x.Exposed {
			continue // its other fields mean nothing
		}
		low = max(low, x.Depth+x.Diameter/2+x.U)
		if b.planned(x.Station) > x.Depth {
			low = max(low, x.Depth+x.Needed)
		}
	}
	return low
}

func (b Bore) draw(whole draw.Canvas) panel {
	c := heading(whole, b.Title, b.keys())
	first, last := b.Path[0].Station/b.Station.Metres, b.Path[len(b.Path)-1].Station/b.Station.Metres
	low := b.deepest() / b.Depth.Metres * 1.06
	p := newPlot(b.Station.Label, b.Depth.Label, ticks(first, last, 8), ticks(0, low, 6))
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = first, last, 0, low
	p.Y.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
	p.Add(layer(b.way), layer(b.crossings))
	p.Draw(c)
	return panel{p, p.DataCanvas(c)}
}

func (b Bore) keys() []key {
	return []key{
		{func(c draw.Canvas) {
			c.FillPolygon(mid(), corners(c.Rectangle))
			c.StrokeLine2(line(ink(), 1), c.Min.X, c.Center().Y, c.Max.X, c.Center().Y)
		}, b.Words.Reamer},
		{func(c draw.Canvas) { c.FillPolygon(pale(), corners(c.Rectangle)) }, b.Words.Doubt},
		{func(c draw.Canvas) { pipe(c, c.Center(), 3, 5) }, b.Words.Utility},
		{func(c draw.Canvas) { unknown(c, c.Center(), 5) }, b.Words.Unknown},
		{func(c draw.Canvas) {
			at := c.Center().X
			c.StrokeLine2(line(ink(), 1.75), at, c.Min.Y, at, c.Max.Y)
			c.StrokeLine2(line(ink(), 1.75), at-4, c.Min.Y, at+4, c.Min.Y)
			c.StrokeLine2(line(ink(), 1.75), at-4, c.Max.Y, at+4, c.Max.Y)
		}, b.Words.Planned},
		{func(c draw.Canvas) {
			at := c.Center()
			r := vg.Rectangle{Min: vg.Point{X: at.X - 4, Y: c.Min.Y}, Max: vg.Point{X: at.X + 4, Y: c.Max.Y}}
			c.StrokeLines(line(ink(), 0.75, 2, 1.5), append(corners(r), r.Min))
		}, b.Words.Needed},
	}
}

// way is the ground, the band of doubt and within it the way of the reamer.
func (b Bore) way(c draw.Canvas, x, y func(float64) vg.Length) {
	band := func(half func(PathPoint) float64) []vg.Point {
		var area []vg.Point
		for _, p := range b.Path {
			area = append(area, vg.Point{X: x(p.Station / b.Station.Metres), Y: y((p.Depth - half(p)) / b.Depth.Metres)})
		}
		for i := len(b.Path) - 1; i >= 0; i-- {
			p := b.Path[i]
			area = append(area, vg.Point{X: x(p.Station / b.Station.Metres), Y: y((p.Depth + half(p)) / b.Depth.Metres)})
		}
		return area
	}
	c.FillPolygon(pale(), c.ClipPolygonXY(band(func(p PathPoint) float64 { return b.Reamer/2 + p.U })))
	c.FillPolygon(mid(), c.ClipPolygonXY(band(func(PathPoint) float64 { return b.Reamer / 2 })))
	var centre []vg.Point
	for _, p := range b.Path {
		centre = append(centre, vg.Point{X: x(p.Station / b.Station.Metres), Y: y(p.Depth / b.Depth.Metres)})
	}
	c.StrokeLines(line(ink(), 1), c.ClipLinesXY(centre)...)
	c.StrokeLine2(line(ink(), 1.5), c.Min.X, y(0), c.Max.X, y(0))
}

// needs is where the separation needed ends, metres: on the side of the utility
// on which the bore passes.
func (b Bore) needs(x Crossing) float64 {
	return x.Depth + math.Copysign(x.Needed, b.planned(x.Station)-x.Depth)
}
