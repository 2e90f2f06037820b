package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A picture is 500 by 350 points, which at 144 points to the inch is 1000 by 700
// pixels: on a phone held upright the small letters are then about 2 mm high.
const (
	wide, high = vg.Length(500), vg.Length(350)
	dpi        = 144
	margin     = vg.Length(8)

	big, middle, small = vg.Length(13), vg.Length(10.5), vg.Length(9.5)
)

// The shades, from paper to ink. Neighbours differ by an eighth or more, so that
// they stay apart in sunlight and on a poor print.
func paper() color.Gray { return color.Gray{255} }
func pale() color.Gray  { return color.Gray{224} }
func mid() color.Gray   { return color.Gray{184} }
func dark() color.Gray  { return color.Gray{112} }
func ink() color.Gray   { return color.Gray{0} }

// panel is one plot and where its data went, for whoever has to find a value
// on the canvas again.
type panel struct {
	plot *plot.Plot
	data draw.Canvas
}

// at is the place of a value, in the units of the axes.
func (p panel) at(x, y float64) vg.Point {
	tx, ty := p.plot.Transforms(&p.data)
	return vg.Point{X: tx(x), Y: ty(y)}
}

// render draws into a file of the format.
func render(format Format, title, alt string, drawInto func(draw.Canvas)) ([]byte, error) {
	var out bytes.Buffer
	switch format {
	case PNG:
		c := vgimg.NewWith(vgimg.UseWH(wide, high), vgimg.UseDPI(dpi), vgimg.UseBackgroundColor(paper()))
		drawInto(draw.New(c))
		if _, err := (vgimg.PngCanvas{Canvas: c}).WriteTo(&out); err != nil {
			return nil, fmt.Errorf("picture: writing PNG: %w", err)
		}
		return out.Bytes(), nil
	case SVG:
		c := vgsvg.New(wide, high)
		drawInto(draw.New(c))
		if _, err := c.WriteTo(&out); err != nil {
			return nil, fmt.Errorf("picture: writing SVG: %w", err)
		}
		return told(out.Bytes(), title, alt), nil
	}
	return nil, refuse("format", fmt.Sprintf("%q is neither %s nor %s", string(format), PNG, SVG))
}

// told puts title and description into an SVG, and names letters that a machine
// without the drawn ones has in the same widths.
func told(svg []byte, title, alt string) []byte {
	svg = bytes.ReplaceAll(svg, []byte("font-family:Liberation Sans;"),
		[]byte("font-family:Liberation Sans,Arial,Helvetica,sans-serif;"))
	at := bytes.Index(svg, []byte("<svg"))
	end := at + bytes.IndexByte(svg[at:], '>')
	var b bytes.Buffer
	b.Write(svg[:end])
	b.WriteString(` role="img">` + "\n<title>")
	xml.EscapeText(&b, []byte(title)) // a bytes.Buffer takes everything
	b.WriteString("</title>\n<desc>")
	xml.EscapeText(&b, []byte(strings.ToValidUTF8(alt, "?")))
	b.WriteString("</desc>")
	b.Write(svg[end+1:])
	return b.Bytes()
}

// letters is a text style; the fonts are the ones that come with the plotter.
func letters(size vg.Length) draw.TextStyle {
	return draw.TextStyle{
		Color: ink(), Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, size),
		XAlign: text.XLeft, YAlign: text.YBottom, Handler: plot.DefaultTextHandler,
	}
}

// fitted is a style small enough for a text to stay within a width, down to
// letters that can still be read.
func fitted(style draw.TextStyle, txt string, width vg.Length) draw.TextStyle {
	const least = vg.Length(6)
	if w := style.Width(txt); w > width {
		style.Font.Size = max(least, style.Font.Size*width/w)
	}
	return style
}

func line(c color.Color, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: width, Dashes: dashes}
}

// layer is one thing drawn into a plot; x and y turn values into places.
type layer func(c draw.Canvas, x, y func(float64) vg.Length)

// Plot makes a layer a plot.Plotter.
func (l layer) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	l(c, x, y)
}

// newPlot is an empty plot in the house style, with ticks of the axes' own.
func newPlot(xLabel, yLabel string, xTicks, yTicks []plot.Tick) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.X.Label.Text, p.Y.Label.Text = clean(xLabel), clean(yLabel)
	p.X.Tick.Marker, p.Y.Tick.Marker = plot.ConstantTicks(xTicks), plot.ConstantTicks(yTicks)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		turned, xa, ya := a.Label.TextStyle.Rotation, a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign
		a.Label.TextStyle = letters(middle)
		a.Label.TextStyle.Rotation, a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign = turned, xa, ya
		xa, ya = a.Tick.Label.XAlign, a.Tick.Label.YAlign
		a.Tick.Label = letters(small)
		a.Tick.Label.XAlign, a.Tick.Label.YAlign = xa, ya
		a.LineStyle, a.Tick.LineStyle = line(ink(), 0.75), line(ink(), 0.75)
		a.Padding = 0
	}
	return p
}
