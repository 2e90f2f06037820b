package picture

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// someBore runs level at 10 ft, good to 1 ft, with a reamer of 2 ft, over 100 ft.
// At 30 ft a utility 6 ft above it needs 4 ft; at 60 ft one 2 ft below it needs
// 3 ft; at 80 ft one was not exposed.
func someBore() Bore {
	b := Bore{
		Title: "Bore <4> & co", Alt: "what it shows: a < b & ñ",
		Station: Axis{"along the bore, ft", foot}, Depth: Axis{"depth, ft", foot},
		Words:  BoreWords{"reamer", "doubt", "utility", "unknown", "planned", "needed"},
		Reamer: 2 * foot,
	}
	for s := 0.0; s <= 100; s += 10 {
		b.Path = append(b.Path, PathPoint{s * foot, 10 * foot, 1 * foot})
	}
	b.Crossings = []Crossing{
		{Station: 30 * foot, Depth: 4 * foot, Diameter: 1 * foot, Exposed: true, U: 0.2 * foot, Needed: 4 * foot, Lines: []string{"Gas"}},
		{Station: 60 * foot, Depth: 12 * foot, Diameter: 0.5 * foot, Exposed: true, U: 0.2 * foot, Needed: 3 * foot, Lines: []string{"Water", "short"}},
		{Station: 80 * foot, Depth: 5 * foot, Diameter: 0.5 * foot, Lines: []string{"Fiber"}},
	}
	return b
}

func TestBoreLiesWhereItShould(t *testing.T) {
	b := someBore()
	img := photo(t, b)
	p := b.draw(canvas())
	for _, c := range []struct {
		station, depth float64
		want           uint8
		what           string
	}{
		{10, 10.5, mid().Y, "the way of the reamer"},
		{10, 9.1, mid().Y, "the same above, near its edge"},
		{10, 8.8, pale().Y, "the doubt above it"},
		{10, 11.8, pale().Y, "the doubt below it, near its edge"},
		{10, 12.3, paper().Y, "below the doubt"},
		{10, 7.7, paper().Y, "above the doubt"},
		{10, 0, ink().Y, "the ground"},
		{10, 10, ink().Y, "the middle of the way"},
		{30, 4, dark().Y, "the utility"},
		{30, 4.4, dark().Y, "the utility, near its edge"},
		{30, 7, ink().Y, "the separation planned"},
		{30, 9.5, ink().Y, "the separation planned, near its end"},
	} {
		wantShade(t, img, p.at(c.station, c.depth), c.want, c.what)
	}
	// Beside the line, the broad bar ends where 4 ft end: paper inside, way outside.
	beside := func(station, depth float64) vg.Point {
		at := p.at(station, depth)
		return vg.Point{X: at.X + 2.5, Y: at.Y}
	}
	wantShade(t, img, beside(60, 9.3), paper().Y, "what is needed, beyond what is planned")
	wantShade(t, img, beside(60, 8.8), pale().Y, "beyond what is needed")
	wantShade(t, img, p.at(60, 9.5), paper().Y, "no separation planned beyond the way")
	wantShade(t, img, p.at(60, 11), ink().Y, "the separation planned from below")
}

// What was not exposed gets no separations, whatever stands in the fields.
func TestUnexposedShowsNoSeparation(t *testing.T) {
	b := someBore()
	b.Crossings[2].U, b.Crossings[2].Needed = math.NaN(), -1
	img := photo(t, b)
	p := b.draw(canvas())
	wantShade(t, img, p.at(80, 7.5), paper().Y, "between it and the bore")
	round := p.at(80, 5)
	dark := 0
	for a := 0.0; a < 2*math.Pi; a += 0.05 {
		if shade(img, vg.Point{X: round.X + vg.Length(6*math.Cos(a)), Y: round.Y + vg.Length(6*math.Sin(a))}) < 128 {
			dark++
		}
	}
	if dark < 30 || dark > 110 {
		t.Errorf("%d of 126 places on its rim are dark; it should be a dashed ring", dark)
	}
}

// The words of a crossing cover no other crossing and stay inside.
func TestWordsCoverNothing(t *testing.T) {
	b := someBore()
	p := b.draw(canvas())
	at := p.at(50, 5)
	own := square(at, 5)
	next := vg.Rectangle{Min: vg.Point{X: own.Max.X, Y: at.Y - 30}, Max: vg.Point{X: own.Max.X + 80, Y: at.Y + 30}}
	got := words(p.data, []string{"one line", "another, longer line"}, own, []vg.Rectangle{own, next})
	if overlap(got, own)+overlap(got, next) > 0 {
		t.Errorf("the words at %v cover something", got)
	}
	if got.Min.X < p.data.Min.X || got.Max.X > p.data.Max.X || got.Min.Y < p.data.Min.Y || got.Max.Y > p.data.Max.Y {
		t.Errorf("the words at %v leave the plot", got)
	}
}

func TestPlannedDepthIsInterpolated(t *testing.T) {
	b := Bore{Path: []PathPoint{{0, 1, 0}, {10, 3, 0}, {20, 2, 0}}}
	for _, c := range [][2]float64{{0, 1}, {5, 2}, {10, 3}, {15, 2.5}, {20, 2}} {
		if got := b.planned(c[0]); math.Abs(got-c[1]) > 1e-12 {
			t.Errorf("planned(%g) = %g, want %g", c[0], got, c[1])
		}
	}
}

func TestBoreRefuses(t *testing.T) {
	for field, spoil := range map[string]func(*Bore){
		"Alt":                   func(b *Bore) { b.Alt = "" },
		"Station.Label":         func(b *Bore) { b.Station.Label = "" },
		"Depth.Metres":          func(b *Bore) { b.Depth.Metres = math.Inf(1) },
		"Reamer":                func(b *Bore) { b.Reamer = 0 },
		"Path":                  func(b *Bore) { b.Path = b.Path[:1] },
		"Path[3].Station":       func(b *Bore) { b.Path[3].Station = b.Path[2].Station },
		"Path[4].Depth":         func(b *Bore) { b.Path[4].Depth = -1 },
		"Path[5].U":             func(b *Bore) { b.Path[5].U = math.NaN() },
		"Crossings[0].Station":  func(b *Bore) { b.Crossings[0].Station = 500 },
		"Crossings[0].Depth":    func(b *Bore) { b.Crossings[0].Depth = math.NaN() },
		"Crossings[1].Diameter": func(b *Bore) { b.Crossings[1].Diameter = 0 },
		"Crossings[1].U":        func(b *Bore) { b.Crossings[1].U = 0 },
		"Crossings[1].Needed":   func(b *Bore) { b.Crossings[1].Needed = 0 },
	} {
		b := someBore()
		spoil(&b)
		if raw, err := b.Render(SVG); fieldOf(err) != field || len(raw) > 0 {
			t.Errorf("%s: %d bytes, %v", field, len(raw), err)
		}
	}
}

// Two utilities in one trench, one over the other: neither hides behind the bar that
// shows what the other needs.
func TestUtilitiesInOneTrenchAreBothSeen(t *testing.T) {
	for _, second := range []float64{3, 5.5} {
		b := someBore()
		other := b.Crossings[0]
		other.Depth, other.Lines = second*foot, []string{"Telephone"}
		b.Crossings = []Crossing{b.Crossings[0], other}
		img := photo(t, b)
		p := b.draw(canvas())
		for _, depth := range []float64{4.3, second + 0.3} {
			beside := p.at(30, depth)
			beside.X += 2.5
			wantShade(t, img, beside, dark().Y, "a utility, off the line of what is planned")
		}
	}
}
