package crewsim

import (
	"math"
	"math/rand/v2"

	"firstrod/engine/depth"
)

// Fault is something a crew does wrong or the ground does to it, at one size.
type Fault struct {
	Name    string
	Size    float64
	Unit    string
	Planned float64       // depth of the bore; metres
	Cause   depth.CauseID // what a diagnosis ought to say
	// Covers is the base check that asks for this directly, whatever the readings
	// show; "" if there is none.
	Covers string
	// Gap says why neither readings nor any base check stop it, if so.
	Gap string
	// History is true if only the constant's history can show the cause.
	History bool
	Put     func(*rand.Rand, *World)
	// Type changes what was typed rather than what was there.
	Type func(*rand.Rand, *Crew)
}

// Faults is the list of the report.
func Faults() []Fault {
	list := tapeFaults()
	list = append(list, viewFaults()...)
	list = append(list, noiseFaults()...)
	list = append(list, metalFaults()...)
	list = append(list, gearFaults()...)
	return append(list, slipFaults()...)
}

// each is one fault at several sizes.
func each(f Fault, put func(w *World, size float64), planned float64, sizes ...float64) []Fault {
	var list []Fault
	for _, s := range sizes {
		g := f
		g.Size, g.Planned = s, planned
		g.Put = func(_ *rand.Rand, w *World) { put(w, s) }
		list = append(list, g)
	}
	return list
}

func tapeFaults() []Fault {
	list := each(Fault{Name: "baseline", Unit: "in", Cause: depth.CauseBaseline, Covers: "calibration.baseline"},
		func(w *World, s float64) { w.BaselineTape += s * Inch }, 14*Foot, -12, -8, -6, -4, -2, 2, 4, 6, 7, 8, 12)
	list = append(list, each(Fault{Name: "tape scale", Unit: "%", Cause: depth.CauseTape, History: true,
		Covers: "calibration.second_tape"},
		func(w *World, s float64) { w.TapeScale = s / 100 }, 14*Foot, -6, 2, 6)...)
	return append(list, each(Fault{Name: "datum", Unit: "in", Cause: depth.CauseDatum, Covers: "calibration.centre_to_centre"},
		func(w *World, s float64) { w.Datum += s * Inch }, 14*Foot, -12, -8, -6, -4, 2, 4, 6, 7, 8, 12)...)
}

func viewFaults() []Fault {
	list := each(Fault{Name: "view", Unit: "in", Cause: depth.CauseView, Covers: "verification.view"},
		func(w *World, s float64) { w.View = s * Inch }, 14*Foot, 2.5, 4, 6)
	list = append(list, each(Fault{Name: "view", Unit: "in", Cause: depth.CauseView, Covers: "verification.view"},
		func(w *World, s float64) { w.View = s * Inch }, 6*Foot, 2.5, 4, 6)...)
	return append(list, each(Fault{Name: "view absorbed", Unit: "in", Cause: depth.CauseViewAbsorbed, Covers: "verification.view"},
		func(w *World, s float64) { w.View, w.ViewAbsorbed = s*Inch, true }, 14*Foot, 2.5, 4, 6)...)
}

// noiseFaults are backgrounds on the first band, as shares of the signal at the
// baseline; the survey heard a late one not at all, what is heard after the marks has it.
func noiseFaults() []Fault {
	var list []Fault
	for _, planned := range []float64{14 * Foot, 20 * Foot} {
		for _, late := range []bool{false, true} {
			name := ""
			if late {
				name = " late"
			}
			heard := func(w *World, s float64) {
				if !late {
					w.Background[0].Heard = math.Hypot(w.Background[0].Heard, s)
				}
			}
			list = append(list, each(Fault{Name: "coherent noise" + name, Unit: "of signal", Cause: depth.CauseInterference},
				func(w *World, s float64) { w.Background[0].Coherent = s; heard(w, s) },
				planned, -0.1, -0.05, -0.04, -0.03, -0.02, 0.01, 0.02, 0.025, 0.03, 0.04, 0.05, 0.1, 0.15)...)
			list = append(list, each(Fault{Name: "background" + name, Unit: "of signal", Cause: depth.CauseBackground},
				func(w *World, s float64) { w.Background[0].Incoherent = s; heard(w, s) },
				planned, 0.05, 0.08, 0.1, 0.12, 0.15, 0.2, 0.3)...)
		}
	}
	return list
}

func metalFaults() []Fault {
	sheet := func(wall depth.Wall, metal depth.Metal) func(w *World, s float64) {
		return func(w *World, s float64) { w.Sheets = append(w.Sheets, Sheet{wall, metal, s * Foot}) }
	}
	list := each(Fault{Name: "mat under the line", Unit: "ft", Cause: depth.CauseMetal, Covers: "ground.no_slab"},
		sheet(depth.Under, depth.Conductor), 14*Foot, 0.25, 0.5, 1, 1.5, 2, 3, 5, 7, 10, 15)
	list = append(list, each(Fault{Name: "conducting wall beside", Unit: "ft", Cause: depth.CauseMetal, Covers: "ground.metal_baseline"},
		sheet(depth.Beside, depth.Conductor), 14*Foot, 3, 5, 8, 12, 20)...)
	return append(list, each(Fault{Name: "steel wall beside", Unit: "ft", Cause: depth.CauseMetal, Covers: "ground.metal_baseline"},
		sheet(depth.Beside, depth.Permeable), 14*Foot, 5, 8, 12, 20)...)
}

func gearFaults() []Fault {
	degrees := math.Pi / 180
	list := each(Fault{Name: "other gear on the ground", Unit: "dB", Cause: depth.CauseGear, Covers: "gear.same_housing", History: true},
		func(w *World, s float64) { w.Gear = s }, 14*Foot, -6, -3, -1.5, 1.5, 3, 6)
	list = append(list, each(Fault{Name: "aim, all along", Unit: "deg", Cause: depth.CauseAim, Covers: "calibration.square", History: true},
		func(w *World, s float64) { w.AimCalibrating, w.AimReading = s*degrees, s*degrees }, 14*Foot, 15, 30, 45, 90)...)
	list = append(list, each(Fault{Name: "aim, calibrating only", Unit: "deg", Cause: depth.CauseAim, Covers: "calibration.square"},
		func(w *World, s float64) { w.AimCalibrating = s * degrees }, 14*Foot, 15, 30, 45, 90)...)
	return append(list, each(Fault{Name: "aim, at the marks only", Unit: "deg", Cause: depth.CauseAim, Covers: "calibration.square"},
		func(w *World, s float64) { w.AimReading = s * degrees }, 14*Foot, 15, 30, 45, 90)...)
}

// slipFaults change one typed reading of one mark on one band, or all three alike.
func slipFaults() []Fault {
	slip := func(name string, f func(feet float64) float64) Fault {
		return Fault{Name: "slip: " + name, Planned: 14 * Foot, Cause: depth.CauseSlip, Put: func(*rand.Rand, *World) {},
			Type: func(rng *rand.Rand, c *Crew) {
				typed := [][][]float64{c.Near, c.Far}[rng.IntN(2)][rng.IntN(bands)]
				which := rng.IntN(len(typed))
				typed[which] = f(typed[which]/Foot) * Foot
			}}
	}
	mark := func(name string, f func(feet float64) float64) Fault {
		return Fault{Name: "slip at a mark: " + name, Planned: 14 * Foot, Cause: depth.CauseSlip, Put: func(*rand.Rand, *World) {},
			Type: func(rng *rand.Rand, c *Crew) {
				typed := [][][]float64{c.Near, c.Far}[rng.IntN(2)][rng.IntN(bands)]
				for i, v := range typed {
					typed[i] = f(v/Foot) * Foot
				}
			}}
	}
	return []Fault{
		mark("feet typed as metres", func(v float64) float64 { return v / Foot }),
		mark("feet typed as inches", func(v float64) float64 { return v / 12 }),
		slip("feet typed as metres", func(v float64) float64 { return v / Foot }),
		slip("metres typed as feet", func(v float64) float64 { return v * Foot }),
		slip("inches typed as feet", func(v float64) float64 { return v * 12 }),
		slip("feet typed as inches", func(v float64) float64 { return v / 12 }),
		slip("feet and inches swapped", func(v float64) float64 {
			feet := math.Floor(v + 1e-9)
			return math.Round((v-feet)*12) + feet/12
		}),
	}
}
