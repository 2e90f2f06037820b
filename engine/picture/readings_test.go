package picture

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// someReadings is one frequency with a tolerance of 6 in, a guard of 2 in, and
// misses of 1, 5 and -9 in at 5, 10 and 15 ft; and one with a slip.
func someReadings() Readings {
	at := func(feet, inches float64, v depth.Verdict) Mark {
		return Mark{True: feet * foot, Read: feet*foot + inches*inch, U: 0.5 * inch, Tolerance: 6 * inch, Guard: 2 * inch, Verdict: v}
	}
	return Readings{
		Title: "Bore <4> & co", Alt: "what it shows: a < b & ñ",
		True: Axis{"true distance, ft", foot}, Miss: Axis{"reading less truth, in", inch},
		Words: ReadingWords{"tolerance", "accepted", "holds", "repeat", "fails"},
		Frequencies: []Frequency{
			{"9.5 kHz", []Mark{at(15, -9, depth.Fails), at(5, 1, depth.Holds), at(10, 5, depth.Repeat)}},
			{"22 kHz", []Mark{at(5, 90, depth.Fails), at(15, 0, depth.Holds)}},
		},
	}
}

func TestReadingsLieWhereTheyShould(t *testing.T) {
	r := someReadings()
	img := photo(t, r)
	p := r.draw(canvas())[0]
	for _, c := range []struct {
		feet, inches float64
		want         uint8
		what         string
	}{
		{7, 3.6, mid().Y, "inside what is accepted, near its edge"},
		{7, -3.6, mid().Y, "the same below"},
		{7, 4.4, pale().Y, "just outside what is accepted"},
		{7, 5.6, pale().Y, "inside the tolerance, near its edge"},
		{12, -5.6, pale().Y, "the same below"},
		{7, 6.4, paper().Y, "outside the tolerance"},
		{7, -6.4, paper().Y, "the same below"},
		{5, 1, ink().Y, "the reading that holds"},
		{10, 5, paper().Y, "the open middle of the one to repeat"},
		{15, -9, ink().Y, "the one that fails"},
		{15, -5, pale().Y, "above the one that fails, beyond its doubt"},
	} {
		wantShade(t, img, p.at(c.feet, c.inches), c.want, c.what)
	}
	ring := p.at(10, 5)
	wantShade(t, img, vg.Point{X: ring.X + 3.5, Y: ring.Y}, ink().Y, "the ring of the one to repeat")
	wantShade(t, img, p.at(5, 1.42), ink().Y, "the bar of doubt, inside its end")
	wantShade(t, img, p.at(5, 2.4), mid().Y, "beyond the bar of doubt")
}

// A reading far off is an arrow at the edge, and does not flatten the bands.
func TestFarReadingIsAnArrow(t *testing.T) {
	r := someReadings()
	img := photo(t, r)
	p := r.draw(canvas())[1]
	if top := p.plot.Y.Max; math.Abs(top-12) > 1e-9 {
		t.Errorf("the scale ends at %g in, want two tolerances", top)
	}
	wantShade(t, img, p.at(5, 11.7), ink().Y, "the arrow")
	wantShade(t, img, p.at(5, 9), paper().Y, "below the arrow")
	wantShade(t, img, p.at(15, 0), ink().Y, "the reading that holds")
}

func TestReadingsRefuse(t *testing.T) {
	for field, spoil := range map[string]func(*Readings){
		"Alt":                               func(r *Readings) { r.Alt = " " },
		"True.Metres":                       func(r *Readings) { r.True.Metres = 0 },
		"Miss.Label":                        func(r *Readings) { r.Miss.Label = "" },
		"Frequencies":                       func(r *Readings) { r.Frequencies = nil },
		"Frequencies[1].Marks":              func(r *Readings) { r.Frequencies[1].Marks = nil },
		"Frequencies[0].Marks[2].True":      func(r *Readings) { r.Frequencies[0].Marks[2].True = -1 },
		"Frequencies[0].Marks[1].Read":      func(r *Readings) { r.Frequencies[0].Marks[1].Read = math.NaN() },
		"Frequencies[1].Marks[0].Read":      func(r *Readings) { r.Frequencies[1].Marks[0].Read = math.Inf(1) },
		"Frequencies[0].Marks[0].U":         func(r *Readings) { r.Frequencies[0].Marks[0].U = -1 },
		"Frequencies[0].Marks[0].Tolerance": func(r *Readings) { r.Frequencies[0].Marks[0].Tolerance = 0 },
		"Frequencies[0].Marks[0].Guard":     func(r *Readings) { r.Frequencies[0].Marks[0].Guard = 1e300 },
	} {
		r := someReadings()
		spoil(&r)
		if raw, err := r.Render(PNG); fieldOf(err) != field || len(raw) > 0 {
			t.Errorf("%s: %d bytes, %v", field, len(raw), err)
		}
		if text, err := r.Text(70); fieldOf(err) != field || text != "" {
			t.Errorf("%s: text %q, %v", field, text, err)
		}
	}
}

// Six frequencies stand in a grid, and none covers another.
func TestManyFrequencies(t *testing.T) {
	for n := 1; n <= mostPanels; n++ {
		r := someReadings()
		for len(r.Frequencies) < n {
			r.Frequencies = append(r.Frequencies, r.Frequencies[0])
		}
		r.Frequencies = r.Frequencies[:n]
		photo(t, r)
		panels := r.draw(canvas())
		for i, p := range panels {
			if w := p.data.Max.X - p.data.Min.X; w < 70 {
				t.Errorf("%d frequencies: panel %d is %g points wide", n, i, w)
			}
			if h := p.data.Max.Y - p.data.Min.Y; h < 60 {
				t.Errorf("%d frequencies: panel %d is %g points high", n, i, h)
			}
			for _, q := range panels[:i] {
				if overlap(p.data.Rectangle, q.data.Rectangle) > 0 {
					t.Errorf("%d frequencies: panels overlap", n)
				}
			}
		}
	}
	r := someReadings()
	r.Frequencies = make([]Frequency, mostPanels+1)
	if _, err := r.Render(PNG); fieldOf(err) != "Frequencies" {
		t.Errorf("too many frequencies: %v", err)
	}
}

func TestText(t *testing.T) {
	r := someReadings()
	r.Title = "Río Otter: lecturas"
	got, err := r.Text(61)
	if err != nil {
		t.Fatal(err)
	}
	// 49 cells for -12 to +12 in, half an inch each, zero in the middle.
	want := []string{
		"Rio Otter: lecturas",
		"9.5 kHz",
		"         5 ............(---[=======|=o=====]---)............",
		"        10 ............(---[=======|=======]-?-)............",
		"        15 ......X.....(---[=======|=======]---)............",
		"22 kHz",
		"         5 ............(---[=======|=======]---)...........>",
		"        15 ............(---[=======o=======]---)............",
	}
	lines := strings.Split(got, "\n")
	for i, w := range want {
		if lines[i] != w {
			t.Errorf("line %d:\n%s, want\n%s", i, lines[i], w)
		}
	}
	for _, width := range []int{0, 59, 79} {
		if _, err := r.Text(width); fieldOf(err) != "width" {
			t.Errorf("width %d: %v", width, err)
		}
	}
}

// Whatever is read, a line of the terminal fits and shows exactly one sign.
func TestTextFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(0.01, 1e4)
		m := Mark{
			True: length.Draw(t, "true"), Read: length.Draw(t, "read"), U: length.Draw(t, "u"),
			Tolerance: length.Draw(t, "tolerance"), Guard: length.Draw(t, "guard"),
			Verdict: rapid.SampledFrom([]depth.Verdict{depth.Holds, depth.Repeat, depth.Fails, ""}).Draw(t, "verdict"),
		}
		r := someReadings()
		r.Title = rapid.String().Draw(t, "title")
		r.Frequencies = []Frequency{{"f", []Mark{m}}}
		width := rapid.IntRange(60, 78).Draw(t, "width")
		text, err := r.Text(width)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range strings.Split(text, "\n") {
			if len(l) > width {
				t.Fatalf("line %d is %d wide: %q", i, len(l), l)
			}
			if strings.Trim(l, printable()) != "" {
				t.Fatalf("line %d is not ASCII: %q", i, l)
			}
		}
		row := strings.Split(text, "\n")[2]
		if n := len(row) - len(strings.NewReplacer("o", "", "?", "", "X", "", "<", "", ">", "").Replace(row)); n != 1 {
			t.Fatalf("%d signs in %q", n, row)
		}
	})
}

func printable() string {
	var b strings.Builder
	for c := byte(' '); c <= '~'; c++ {
		b.WriteByte(c)
	}
	return b.String()
}
