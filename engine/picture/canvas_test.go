package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/png"
	"io"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"firstrod/engine/depth"
)

const (
	foot = 0.3048
	inch = foot / 12
)

// canvas is a place to draw on whose picture nobody looks at.
func canvas() draw.Canvas {
	return draw.New(vgimg.NewWith(vgimg.UseWH(wide, high), vgimg.UseDPI(dpi)))
}

type renderer interface {
	Render(Format) ([]byte, error)
}

// photo is a rendered PNG.
func photo(t *testing.T, r renderer) image.Image {
	t.Helper()
	raw, err := r.Render(PNG)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 1000 || b.Dy() != 700 {
		t.Fatalf("%d by %d pixels", b.Dx(), b.Dy())
	}
	return img
}

// shade is the grey of a pixel at a place on the canvas, or -1 for a colour.
func shade(img image.Image, at vg.Point) int {
	r, g, b, _ := img.At(int(at.X*dpi/72), 700-1-int(at.Y*dpi/72)).RGBA()
	if r != g || g != b {
		return -1
	}
	return int(r >> 8)
}

func wantShade(t *testing.T, img image.Image, at vg.Point, want uint8, what string) {
	t.Helper()
	if got := shade(img, at); got < int(want)-6 || got > int(want)+6 {
		t.Errorf("%s: shade %d at %v, want %d", what, got, at, want)
	}
}

func pictures() map[string]renderer {
	return map[string]renderer{"readings": someReadings(), "bore": someBore(), "history": someHistory()}
}

// No picture says anything by colour.
func TestPicturesAreGrey(t *testing.T) {
	for name, p := range pictures() {
		img, inked := photo(t, p), 0
		for x := range 1000 {
			for y := range 700 {
				r, g, b, a := img.At(x, y).RGBA()
				if r != g || g != b || a != 0xffff {
					t.Fatalf("%s: pixel %d,%d is %d %d %d %d", name, x, y, r, g, b, a)
				}
				if r < 0x4000 {
					inked++
				}
			}
		}
		if inked < 2000 {
			t.Errorf("%s: only %d dark pixels", name, inked)
		}
	}
}

func TestSVGIsXMLWithItsWords(t *testing.T) {
	for name, p := range pictures() {
		raw, err := p.Render(SVG)
		if err != nil {
			t.Fatal(err)
		}
		var root string
		found := map[string]string{}
		path := []string{}
		for d := xml.NewDecoder(bytes.NewReader(raw)); ; {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			switch tok := tok.(type) {
			case xml.StartElement:
				if root == "" {
					root = tok.Name.Local
				}
				path = append(path, tok.Name.Local)
			case xml.EndElement:
				path = path[:len(path)-1]
			case xml.CharData:
				if len(path) > 0 {
					found[path[len(path)-1]] += string(tok)
				}
			}
		}
		if root != "svg" || found["title"] != "Bore <4> & co" || found["desc"] != "what it shows: a < b & ñ" {
			t.Errorf("%s: root %q, title %q, desc %q", name, root, found["title"], found["desc"])
		}
		if !strings.Contains(found["text"], "Bore <4> & co") {
			t.Errorf("%s: the title is not drawn", name)
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	for name, p := range pictures() {
		for _, f := range []Format{PNG, SVG} {
			a, errA := p.Render(f)
			b, errB := p.Render(f)
			if err := errors.Join(errA, errB); err != nil || !bytes.Equal(a, b) {
				t.Errorf("%s %s: differs, or %v", name, f, err)
			}
		}
	}
}

func TestUnknownFormat(t *testing.T) {
	for name, p := range pictures() {
		if raw, err := p.Render("gif"); len(raw) > 0 || fieldOf(err) != "format" {
			t.Errorf("%s: %d bytes, %v", name, len(raw), err)
		}
	}
}

// fieldOf is the field that an error names, "" for none.
func fieldOf(err error) string {
	if f, ok := errors.AsType[*depth.FieldError](err); ok {
		return f.Field
	}
	return ""
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		parts     int
		want      string
	}{
		{-10.35, 10.35, 6, "-10 -5 0 5 10"},
		{0, 120, 8, "0 20 40 60 80 100 120"},
		{-0.012, 0.012, 6, "-0.010 -0.005 0.000 0.005 0.010"},
		{129.6, 137.5, 6, "130 132 134 136"},
		{7, 7, 4, "7"},
	} {
		var got []string
		for _, tick := range ticks(c.low, c.high, c.parts) {
			got = append(got, tick.Label)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%g to %g: %s, want %s", c.low, c.high, s, c.want)
		}
	}
}

// Absurd but finite values are drawn or refused, and quickly.
func TestAbsurdValuesEnd(t *testing.T) {
	absurd := []float64{finest, 0.01, 1e3, farthest}
	start := time.Now()
	for _, v := range absurd {
		for _, w := range absurd {
			r, b, h := someReadings(), someBore(), someHistory()
			m := &r.Frequencies[0].Marks[0]
			m.Read, m.Tolerance, m.U = v, w, v
			b.Crossings[0].Needed, b.Crossings[1].Needed, b.Crossings[1].U = v, v, w
			b.Crossings[1].Depth = w
			h.Centre, h.Limit, h.Points[0].U = v, w, w
			for _, p := range []renderer{r, b, h} {
				if _, err := p.Render(SVG); err != nil {
					t.Errorf("%T with %g and %g: %v", p, v, w, err)
				}
				if _, err := p.Render(PNG); err != nil {
					t.Errorf("%T with %g and %g: %v", p, v, w, err)
				}
			}
		}
	}
	if d := time.Since(start); d > time.Minute {
		t.Errorf("96 pictures took %v", d)
	}
}
