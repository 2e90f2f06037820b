package picture

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"firstrod/engine/depth"
)

// key is one entry of a legend: how it looks in a box, and what it means.
type key struct {
	drawn func(draw.Canvas)
	means string
}

// heading draws the title and the legend and gives back what is left below.
func heading(c draw.Canvas, title string, keys []key) draw.Canvas {
	c = draw.Crop(c, margin, -margin, margin, -margin)
	title = clean(title)
	style := fitted(letters(big), title, c.Max.X-c.Min.X)
	c.FillText(style, vg.Point{X: c.Min.X, Y: c.Max.Y - big}, title)
	c.Max.Y -= big + 6
	return legend(c, keys)
}

// legend sets the keys in rows, as many in each as there is room for. A key
// without words is left out.
func legend(c draw.Canvas, keys []key) draw.Canvas {
	const box, gap, row = vg.Length(16), vg.Length(4), vg.Length(14)
	x, y, used := c.Min.X, c.Max.Y, false
	for _, k := range keys {
		means := clean(k.means)
		if means == "" {
			continue
		}
		style := fitted(letters(small), means, c.Max.X-c.Min.X-box-gap)
		w := box + gap + style.Width(means) + 3*gap
		if used && x+w-3*gap > c.Max.X {
			x, y = c.Min.X, y-row
		}
		k.drawn(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: x, Y: y - 11}, Max: vg.Point{X: x + box, Y: y - 1}}})
		c.FillText(style, vg.Point{X: x + box + gap, Y: y - 10}, means)
		x, used = x+w, true
	}
	if used {
		y -= row + 2
	}
	c.Max.Y = y
	return c
}

// markKey is the legend's entry for a verdict.
func markKey(v depth.Verdict, means string) key {
	return key{func(c draw.Canvas) { mark(c, c.Center(), v) }, means}
}

// mark draws a value by its verdict: filled, open, or crossed out. A verdict that
// is none of the known ones looks like one that fails.
func mark(c draw.Canvas, at vg.Point, v depth.Verdict) {
	g := draw.GlyphStyle{Color: ink(), Radius: 3.5, Shape: draw.CircleGlyph{}}
	switch v {
	case depth.Holds:
	case depth.Repeat, depth.NotCapable:
		c.SetColor(paper())
		c.Fill(round(at, 4))
		c.SetLineStyle(line(ink(), 1.25))
		c.Stroke(round(at, 3.5))
		return
	default:
		cross(c, at, 4)
		return
	}
	c.DrawGlyphNoClip(g, at)
}

func cross(c draw.Canvas, at vg.Point, r vg.Length) {
	for _, s := range []draw.LineStyle{line(paper(), 4.5), line(ink(), 2.25)} {
		c.StrokeLine2(s, at.X-r, at.Y-r, at.X+r, at.Y+r)
		c.StrokeLine2(s, at.X-r, at.Y+r, at.X+r, at.Y-r)
	}
}
