package depth

import (
	"cmp"
	"fmt"
	"math"
)

// Rod is one rod pushed in: its length in metres and the pitch read at its end,
// a slope ratio, nose-up positive.
type Rod struct {
	Length, Pitch float64
}

// RodLog is the bookkeeping of a bore from a known start.
type RodLog struct {
	Start Value // depth at the start in metres; negative is above the reference
	Pitch float64
	Rods  []Rod
	// Standard uncertainties: PitchU of one pitch reading (a display step),
	// independent from rod to rod; ZeroU of the pitch zero, the same at every
	// rod; LengthU of the rods' length as a share, the same at every rod.
	PitchU, ZeroU, LengthU float64
}

// Station is the end of a rod; metres from the start, depth downward.
type Station struct {
	Depth, Advance float64
	U              float64 // standard uncertainty of Depth
}

// mostRods in one log.
const mostRods = 5000

// Stations are the ends of the rods in metres, in order. Every rod is taken to bend evenly
// between the pitches at its ends. Errors: a [*FieldError] naming the rod; an
// uncertainty of zero is refused.
//
// Source: minimum curvature without change of azimuth ([Bend]); first-order
// propagation, JCGM 100:2008, 5.1.2: one pitch moves the rods on both its sides
// by half a length each, the zero and the length add up over all rods.
func (l RodLog) Stations() ([]Station, error) {
	err := cmp.Or(position("Start.Value", l.Start.Value), doubt("Start.U", l.Start.U), slope("Pitch", l.Pitch),
		within("PitchU", l.PitchU, finest, steepest), within("ZeroU", l.ZeroU, finest, steepest),
		within("LengthU", l.LengthU, finest, 0.25))
	switch {
	case err != nil:
		return nil, err
	case len(l.Rods) == 0:
		return nil, &FieldError{"Rods", "there are none"}
	case len(l.Rods) > mostRods:
		return nil, &FieldError{"Rods", fmt.Sprintf("are more than %d", mostRods)}
	}
	stations := make([]Station, 0, len(l.Rods))
	s, before := Station{Depth: l.Start.Value}, l.Pitch
	down, by := 0.0, sway{}
	for i, r := range l.Rods {
		rise, advance, err := Bend(r.Length, before, r.Pitch)
		if err != nil {
			return nil, &FieldError{fmt.Sprintf("Rods[%d]", i), err.Error()}
		}
		s.Depth -= rise
		s.Advance += advance
		down += rise
		by.add(r.Length, before, r.Pitch)
		s.U = math.Hypot(math.Hypot(l.Start.U, l.LengthU*down),
			math.Hypot(l.PitchU*math.Sqrt(by.each+by.last*by.last), l.ZeroU*by.all))
		if s, err = settled(s, fmt.Sprintf("Rods[%d]", i), s.Depth, s.Advance, s.U); err != nil {
			return nil, err
		}
		stations = append(stations, s)
		before = r.Pitch
	}
	return stations, nil
}

// sway is how the depth moves with the pitches read so far, metres per slope
// ratio: last with the latest one, each the sum of squares of those before it, all
// the sum over all of them.
type sway struct {
	last, each, all float64
}

func (w *sway) add(rod, from, to float64) {
	w.last += rod / 2 * perPitch(from)
	w.each += w.last * w.last
	w.last = rod / 2 * perPitch(to)
	w.all += rod / 2 * (perPitch(from) + perPitch(to))
}

// perPitch is the change of the sine of the angle with its tangent.
func perPitch(t float64) float64 { h := math.Hypot(1, t); return 1 / (h * h * h) }
