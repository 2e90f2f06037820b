package crewsim

import (
	"math"
	"math/rand/v2"

	"firstrod/engine/depth"
)

// Healthy crews differ by this much: half-ranges of rectangular distributions.
const (
	tapeHalf  = 0.25 * Inch
	datumHalf = 0.5 * Inch
	aimHalf   = 5 * math.Pi / 180
	stepOf    = 1 * Inch
	handSD    = 0.15 * Inch // of one reading, normal
	historySD = 0.3         // of the constant against its history, decibels, normal
	// Least and most that the signal stands over the background, decibels.
	leastMargin, mostMargin = 20, 50
	bands                   = 2
	times                   = 3 // that each mark is read
)

// Crew is a world and what was read in it, by band.
type Crew struct {
	World     World
	Near, Far [][]float64 // as typed, all readings of a band
	// Deep is read once at a mark as far as the planned depth, which no base check
	// asks for.
	Deep     []float64
	Constant []float64 // against the history, decibels
	Margin   []float64 // of the signal over the survey's background at the baseline
	Again    []float64 // the same over the background heard after the marks were read
}

// Draw makes a crew with a fault (nil for none) at a planned depth, or, if that
// is zero, at one from 6 to 20 ft.
func Draw(rng *rand.Rand, fault func(*rand.Rand, *World), planned float64) Crew {
	w := healthy(rng, planned)
	if fault != nil {
		fault(rng, &w)
	}
	return read(rng, w)
}

// healthy is a careful crew's world: tape, datum and aim within what is taken for
// granted, metal no nearer than the standoff, and a background at least leastMargin
// below the signal at the planned depth and at the far mark. A site that is louder
// than the base allows is not one that a careful crew would call good.
func healthy(rng *rand.Rand, planned float64) World {
	even := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	w := World{Planned: planned, BaselineTape: even(tapeHalf), NearTape: even(tapeHalf), FarTape: even(tapeHalf),
		DeepTape: even(tapeHalf), Datum: even(datumHalf), AimCalibrating: even(aimHalf)}
	if planned == 0 {
		w.Planned = (6 + 14*rng.Float64()) * Foot
	}
	w.AimReading = w.AimCalibrating // nobody turns it between the marks
	walls, metals := []depth.Wall{depth.Beside, depth.Under, depth.Across}, []depth.Metal{depth.Conductor, depth.Permeable}
	w.Sheets = []Sheet{{walls[rng.IntN(len(walls))], metals[rng.IntN(len(metals))], (30 + 30*rng.Float64()) * Foot}}
	for range bands {
		margin := leastMargin + (mostMargin-leastMargin)*rng.Float64() + 60*math.Log10(math.Max(w.Planned, farMark)/baseline)
		n := math.Pow(10, -margin/20)
		w.Background = append(w.Background, Background{Incoherent: n, Heard: n})
	}
	return w
}

func read(rng *rand.Rand, w World) Crew {
	c := Crew{World: w}
	show := func(v float64) float64 {
		return stepOf * math.Round((v+handSD*rng.NormFloat64())/stepOf)
	}
	several := func(v float64) (all []float64) {
		for range times {
			all = append(all, show(v))
		}
		return all
	}
	for band := range bands {
		c.Near = append(c.Near, several(w.AtMark(band, nearMark)))
		c.Far = append(c.Far, several(w.AtMark(band, farMark)))
		c.Deep = append(c.Deep, show(w.AtMark(band, w.Planned)))
		c.Constant = append(c.Constant, w.ConstantDB(band)+historySD*rng.NormFloat64())
		c.hear(band)
	}
	return c
}

// hear is what the survey found, and what is heard after the marks: all that is
// there, which is what the readings were taken in.
func (c *Crew) hear(band int) {
	b := c.World.Background[band]
	c.Margin = append(c.Margin, -20*math.Log10(b.Heard))
	c.Again = append(c.Again, -20*math.Log10(math.Hypot(b.Incoherent, b.Coherent)))
}

// exact is the crew of a world whose readings carry no error of hand or display.
func exact(w World) Crew {
	c := Crew{World: w}
	for band := range bands {
		c.Near = append(c.Near, []float64{w.AtMark(band, nearMark)})
		c.Far = append(c.Far, []float64{w.AtMark(band, farMark)})
		c.Constant = append(c.Constant, w.ConstantDB(band))
		c.hear(band)
	}
	return c
}

// Evidence is the crew's readings as a diagnosis wants them, with or without the
// constant's history.
func (c Crew) Evidence(history bool) depth.Evidence {
	e := depth.Evidence{Baseline: baseline, Tape: tapeHalf, Datum: datumHalf, Step: stepOf, Hand: handSD}
	for band := range bands {
		b := depth.Band{Margin: &c.Margin[band], Marks: []depth.Sight{
			{True: nearMark, Readings: c.Near[band]}, {True: farMark, Readings: c.Far[band]},
		}}
		if history {
			b.Constant = &depth.Value{Value: c.Constant[band], U: historySD}
		}
		e.Bands = append(e.Bands, b)
	}
	return e
}
