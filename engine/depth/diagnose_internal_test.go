package depth

import (
	"math"
	"testing"
)

// The closed form the diagnosis uses is the image dipole's.
func TestSheetTimes(t *testing.T) {
	for _, wall := range []Wall{Under, Beside} {
		for _, metal := range []Metal{Conductor, Permeable} {
			for s := 0.01; s < 10; s *= 1.3 {
				c, err := SheetChange(1, s, wall, metal)
				if err != nil {
					t.Fatal(err)
				}
				if got := sheetTimes(s, wall, metal); math.Abs(got-1-c.Total) > 1e-13 {
					t.Errorf("%s %s %g: %g, want %g", wall, metal, s, got, 1+c.Total)
				}
			}
		}
	}
}

// The pieces of the prior integral against a plain sum over many points: crossing
// the peak, off to one side near and far, and hardly moving.
func TestPiece(t *testing.T) {
	for _, c := range [][2][]float64{
		{{-3, 1}, {4, 1}}, {{1, 0}, {3, 2}}, {{30, 1}, {24, -1}}, {{0.5, 0.5}, {0.5, 0.5 + 1e-7}}, {{26, 0}, {26.5, 0}},
		{{24.9, 0}, {25.1, 0}}, {{-2, 0}, {-1e-3, 0}},
	} {
		const n = 200_000
		least, sum := math.Inf(1), 0.0
		at := func(i int) float64 {
			f, q := (float64(i)+0.5)/n, 0.0
			for k := range c[0] {
				v := c[0][k] + f*(c[1][k]-c[0][k])
				q += v * v
			}
			return q
		}
		for i := range n {
			least = math.Min(least, at(i))
		}
		for i := range n {
			sum += math.Exp(-(at(i) - least) / 2)
		}
		want := math.Log(sum/n) - least/2
		got, _, q := piece(c[0], c[1], math.Inf(1))
		if math.Abs(got-want) > 1e-6*(1+math.Abs(want)) || math.Abs(q-least) > 1e-3*(1+least) {
			t.Errorf("%v: %.12g and %g, want %.12g and %g", c, got, q, want, least)
		}
	}
}
