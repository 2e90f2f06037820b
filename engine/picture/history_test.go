package picture

import (
	"math"
	"strconv"
	"testing"

	"firstrod/engine/depth"
)

// someHistory has a band of 1 dB about 100 dB and a last constant 6 dB high.
func someHistory() History {
	h := History{
		Title: "Bore <4> & co", Alt: "what it shows: a < b & ñ",
		When: Axis{Label: "calibration"}, Constant: Axis{Label: "constant, dB"},
		Words:  HistoryWords{"band", "holds", "repeat", "fails"},
		Centre: 100, Limit: 1,
	}
	for i, db := range []float64{100.2, 99.7, 100.9, 106} {
		h.Points = append(h.Points, Calibration{When: strconv.Itoa(i+1) + " May", DB: db, U: 0.3, Verdict: depth.Holds})
	}
	h.Points[2].Verdict, h.Points[3].Verdict = depth.Repeat, depth.Fails
	return h
}

func TestHistoryLiesWhereItShould(t *testing.T) {
	h := someHistory()
	img := photo(t, h)
	p := h.draw(canvas())
	for _, c := range []struct {
		x, db float64
		want  uint8
		what  string
	}{
		{0.7, 100.8, pale().Y, "the band, near its upper edge"},
		{0.7, 99.2, pale().Y, "the band, near its lower edge"},
		{0.7, 101.2, paper().Y, "above the band"},
		{0.7, 98.8, paper().Y, "below the band"},
		{1, 100.2, ink().Y, "the first constant"},
		{3, 100.9, paper().Y, "the open middle of one to repeat"},
		{4, 106, ink().Y, "the one to be explained"},
		{4, 102, paper().Y, "below it"},
	} {
		wantShade(t, img, p.at(c.x, c.db), c.want, c.what)
	}
}

// A constant that is absurd is an arrow; the band can still be read.
func TestAbsurdConstantIsAnArrow(t *testing.T) {
	h := someHistory()
	h.Points[3].DB = 100 + 5000
	img := photo(t, h)
	p := h.draw(canvas())
	if p.plot.Y.Max != 112 {
		t.Errorf("the scale ends at %g dB", p.plot.Y.Max)
	}
	wantShade(t, img, p.at(4, 111.8), ink().Y, "the arrow")
}

func TestLongHistory(t *testing.T) {
	h := someHistory()
	for len(h.Points) < mostPoints {
		h.Points = append(h.Points, h.Points[0])
	}
	photo(t, h)
	labelled := 0
	all := h.times()
	for _, tick := range all {
		if tick.Label != "" {
			labelled++
		}
	}
	if labelled > 7 || all[len(all)-1].Label == "" {
		t.Errorf("%d ticks labelled, the last %q", labelled, all[len(all)-1].Label)
	}
	h.Points = append(h.Points, h.Points[0])
	if _, err := h.Render(PNG); fieldOf(err) != "Points" {
		t.Errorf("too many: %v", err)
	}
}

func TestHistoryRefuses(t *testing.T) {
	for field, spoil := range map[string]func(*History){
		"Alt":            func(h *History) { h.Alt = "" },
		"When.Label":     func(h *History) { h.When.Label = "" },
		"Constant.Label": func(h *History) { h.Constant.Label = "\t" },
		"Centre":         func(h *History) { h.Centre = math.NaN() },
		"Limit":          func(h *History) { h.Limit = 0 },
		"Points":         func(h *History) { h.Points = nil },
		"Points[1].DB":   func(h *History) { h.Points[1].DB = math.Inf(-1) },
		"Points[2].U":    func(h *History) { h.Points[2].U = -0.1 },
	} {
		h := someHistory()
		spoil(&h)
		if raw, err := h.Render(PNG); fieldOf(err) != field || len(raw) > 0 {
			t.Errorf("%s: %d bytes, %v", field, len(raw), err)
		}
	}
}
