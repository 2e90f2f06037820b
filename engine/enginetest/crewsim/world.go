// Package crewsim makes crews that are true to life in numbers: a world with a
// transmitter, ground, metal, background, tapes and hands in it, and what a crew
// in that world reads and types. It shows what the rules let through.
//
// Call [Report] for the whole table, or [Draw] for one crew and then [Judge.Blocks]
// and [Crew.Evidence]. Everything follows from the seed. Lengths are in metres,
// angles in radians, signals in decibels of amplitude unless said otherwise.
package crewsim

import (
	"math"

	"firstrod/engine/depth"
)

// Lengths of the trade, exactly, in metres.
const (
	Foot = 0.3048
	Inch = 0.0254
)

// The line a crew lays out.
const (
	baseline = 10 * Foot
	nearMark = 5 * Foot
	farMark  = 15 * Foot
)

// World is how things really are. The zero value is a perfect crew on clear
// ground that hears no background.
type World struct {
	Planned float64 // depth of the bore
	// Errors of the taped distances (true less told), and of the reference points
	// of coil and antenna, which is in all of them.
	BaselineTape, NearTape, FarTape, DeepTape float64
	Datum                                     float64
	TapeScale                                 float64 // share by which the whole tape is too long
	AimCalibrating, AimReading                float64 // away from square
	View                                      float64 // what the receiver's view takes off
	ViewAbsorbed                              bool    // the receiver was calibrated in that view
	Sheets                                    []Sheet
	Background                                []Background // by band
	Gear                                      float64      // decibels of the gear on the ground over that down the hole
}

// Sheet is a sheet of metal near the calibration line.
type Sheet struct {
	Wall     depth.Wall
	Metal    depth.Metal
	Standoff float64
}

// Background is what one band hears besides the transmitter, as shares of the
// signal at the baseline. Heard is what the survey with the transmitter off found.
type Background struct {
	Incoherent, Coherent float64
	Heard                float64
}

// amplitude is what arrives at a true distance on the calibration line, 1 being
// that of a square transmitter at the baseline's length.
func (w World) amplitude(band int, distance, aim float64) float64 {
	r := distance / baseline
	s := math.Sqrt(1+3*math.Sin(aim)*math.Sin(aim)) / (r * r * r) * math.Pow(10, w.Gear/20)
	for _, m := range w.Sheets {
		// Cannot fail for the distances of a line: where it would, nothing is read.
		c, err := depth.SheetChange(distance, m.Standoff, m.Wall, m.Metal)
		if err != nil {
			return math.NaN()
		}
		s *= 1 + c.Total
	}
	return w.add(band, s)
}

// below is what arrives straight above the transmitter down the hole.
func (w World) below(band int, distance float64) float64 {
	r := distance / baseline
	return w.add(band, 1/(r*r*r))
}

func (w World) add(band int, s float64) float64 {
	b := w.Background[band]
	return math.Hypot(s+b.Coherent, b.Incoherent)
}

// constant is the calibration constant that the receiver keeps.
func (w World) constant(band int) float64 {
	told := baseline
	if w.ViewAbsorbed {
		told += w.View
	}
	true1 := baseline*(1+w.TapeScale) + w.BaselineTape + w.Datum
	return w.amplitude(band, true1, w.AimCalibrating) * told * told * told
}

// AtMark is what the receiver makes of the mark, before hand and display.
func (w World) AtMark(band int, mark float64) float64 {
	tape := w.DeepTape
	switch mark {
	case nearMark:
		tape = w.NearTape
	case farMark:
		tape = w.FarTape
	}
	return math.Cbrt(w.constant(band)/w.amplitude(band, mark*(1+w.TapeScale)+tape+w.Datum, w.AimReading)) - w.View
}

// Effect is the relative error of depth at the planned depth on a band, before
// hand and display.
func (w World) Effect(band int) float64 {
	return (math.Cbrt(w.constant(band)/w.below(band, w.Planned))-w.View)/w.Planned - 1
}

// ConstantDB is the calibration constant over that of a crew with nothing wrong.
func (w World) ConstantDB(band int) float64 {
	told := 1.0
	if w.ViewAbsorbed { // the crew compares signals, not what the receiver keeps
		told = 1 + w.View/baseline
	}
	return 20 * math.Log10(w.constant(band)/(told*told*told*baseline*baseline*baseline))
}
