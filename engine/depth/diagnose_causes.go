package depth

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// hypothesis is a cause as one or more variants, each with one free parameter.
type hypothesis struct {
	id       CauseID
	variants []variant
	shown    func(size float64) float64 // from the parameter to Cause.Size
}

// variant predicts readings, and the change of the constant in decibels, for a
// size of the fault. The prior is even over the steps between the sizes unless
// weights (logs) say otherwise.
type variant struct {
	sizes    []float64
	only     int // the band it is in, or all
	reads    func(size float64, p place) float64
	constant func(size, base float64) float64
	weights  []float64
	cure     ExtraID // the extra reading that makes this fault vanish or show itself
}

// all marks a fault that is the same in every band.
const all = -1

func (v variant) concerns(band int) bool { return v.only == all || v.only == band }

func (v variant) logWeight(i int) float64 {
	if v.weights != nil {
		return v.weights[i]
	}
	return -math.Log(float64(len(v.sizes) - 1))
}

// decibels of an amplitude ratio, and back.
func decibels(ratio float64) float64 { return 20 * math.Log10(ratio) }

func ratioOf(decibels float64) float64 { return math.Pow(10, decibels/20) }

func span(n int, from, to float64) []float64 { return floats.Span(make([]float64, n), from, to) }

func logSpan(n int, from, to float64) []float64 { return floats.LogSpan(make([]float64, n), from, to) }

// hypotheses are all causes but the slip and the catch-all, which are weighed in
// other ways.
func (b *bench) hypotheses() []hypothesis {
	base := b.e.Baseline
	times := func(size float64) float64 { return size * base }
	list := []hypothesis{
		{id: CauseNone, variants: []variant{{sizes: []float64{0}, only: all}}},
		{id: CauseBaseline, shown: times, variants: []variant{{sizes: span(33, -0.2, 0.2), only: all,
			reads: readScale, constant: longer, cure: ExtraSecondTape}}},
		{id: CauseDatum, shown: times, variants: []variant{{sizes: span(33, -0.12, 0.12), only: all,
			reads: readDatum, constant: longer, cure: ExtraSecondTape, weights: peaked(33)}}},
		{id: CauseView, shown: times, variants: []variant{{sizes: span(9, 0.003, 0.07), only: all,
			reads: readView, cure: ExtraView}}},
		{id: CauseViewAbsorbed, shown: times, variants: []variant{{sizes: span(9, 0.003, 0.07), only: all,
			reads: readViewAbsorbed, cure: ExtraView}}},
		{id: CauseInterference, variants: b.noise(-40, -6, coherent(1), coherent(-1)), shown: decibels},
		{id: CauseBackground, variants: b.noise(-26, -3, incoherent), shown: decibels},
		{id: CauseMetal, shown: times, variants: metals()},
		{id: CauseAim, variants: aims()},
	}
	if b.hasConstant() {
		list = append(list,
			hypothesis{id: CauseGear, variants: []variant{{sizes: span(49, -12, 12), only: all,
				constant: func(size, _ float64) float64 { return size }, cure: ExtraGear}}},
			hypothesis{id: CauseTape, variants: []variant{{sizes: span(17, -0.1, 0.1), only: all,
				constant: longer, cure: ExtraSecondTape}}})
	}
	return list
}

// peaked are weights over the steps between n even sizes that fall from the middle
// to nothing at the ends.
func peaked(n int) []float64 {
	steps := n - 1
	w := make([]float64, steps)
	for i := range w {
		off := math.Abs(float64(2*i+1-steps)) / float64(steps)
		w[i] = math.Log(2 * (1 - off) / float64(steps))
	}
	return w
}

// longer is the constant for a baseline that is really longer by the share size.
func longer(size, _ float64) float64 { return -60 * math.Log10(1+size) }

func readScale(size float64, p place) float64 {
	if p.own {
		return p.at
	}
	return p.at / (1 + size)
}

func readDatum(size float64, p place) float64 { return (p.at + size*p.base) / (1 + size) }

func readView(size float64, p place) float64 { return p.at - size*p.base }

func readViewAbsorbed(size float64, p place) float64 { return p.at*(1+size) - size*p.base }

// least signal left of 1 when a background or metal takes it away.
const leastSignal = 1e-3

// afterCalibrating is the reading when the signal is times as strong as it should
// be at this place and was timesBase as strong during calibration.
func afterCalibrating(p place, timesBase, times float64) float64 {
	return p.at * math.Cbrt(math.Max(timesBase, leastSignal)/math.Max(times, leastSignal))
}

// adding is how a background of a size, relative to the signal at the baseline,
// multiplies the signal at a distance of ratio baselines.
type adding func(size, ratio float64) float64

func coherent(phase float64) adding {
	return func(size, ratio float64) float64 { return 1 + phase*size*ratio*ratio*ratio }
}

func incoherent(size, ratio float64) float64 {
	n := size * ratio * ratio * ratio
	return math.Sqrt(1 + n*n)
}

// noise is a background between two levels in decibels, in all bands alike or in one alone.
func (b *bench) noise(low, high float64, ways ...adding) []variant {
	var list []variant
	for only := all; only < len(b.e.Bands); only++ {
		if only >= 0 && len(b.e.Bands) == 1 {
			break
		}
		for _, f := range ways {
			v := variant{sizes: logSpan(35, ratioOf(low), ratioOf(high)), only: only, cure: ExtraBackground,
				reads: func(size float64, p place) float64 {
					return afterCalibrating(p, f(size, 1), f(size, p.at/p.base))
				},
				constant: func(size, _ float64) float64 {
					return 20 * math.Log10(math.Max(f(size, 1), leastSignal))
				},
			}
			v.weights = b.survey(v)
			list = append(list, v)
		}
	}
	return list
}

// survey weighs the levels of a background by what was measured with the
// transmitter off; half of the weight stays flat, in case it came later.
func (b *bench) survey(v variant) []float64 {
	n := len(v.sizes) - 1
	sum, told := make([]float64, n), 0
	for i, band := range b.e.Bands {
		if !v.concerns(i) || band.Margin == nil {
			continue
		}
		told++
		for j := range sum {
			off := (decibels(math.Sqrt(v.sizes[j]*v.sizes[j+1])) + *band.Margin) / 3
			sum[j] -= off * off / 2
		}
	}
	if told == 0 {
		return nil
	}
	total := floats.LogSumExp(sum)
	// A level below the range is as good as none: its half of the weight is lost.
	edge := math.Min(0, total)
	for j := range sum {
		sum[j] = math.Log(0.5/float64(n) + 0.5*math.Exp(sum[j]-total+edge))
	}
	return sum
}

// metals are flat sheets near the line, in multiples of the baseline.
func metals() []variant {
	kind := func(wall Wall, metal Metal) variant {
		times := func(size, ratio float64) float64 { return sheetTimes(size/ratio, wall, metal) }
		return variant{sizes: logSpan(33, 0.02, 3), only: all, cure: ExtraGround,
			reads: func(size float64, p place) float64 {
				if p.own {
					return p.at
				}
				return afterCalibrating(p, times(size, 1), times(size, p.at/p.base))
			},
			constant: func(size, _ float64) float64 {
				return 20 * math.Log10(math.Max(times(size, 1), leastSignal))
			},
		}
	}
	return []variant{kind(Under, Conductor), kind(Beside, Conductor), kind(Beside, Permeable)}
}

// sheetTimes is 1 + [Change.Total] for a sheet under or beside a line of length 1,
// in closed form: [SheetChange] a hundred times over would take most of the time.
func sheetTimes(standoff float64, wall Wall, metal Metal) float64 {
	d2 := 1 + 4*standoff*standoff
	d3 := 1 / (d2 * math.Sqrt(d2))
	along, across := d3, 0.0
	if wall == Beside {
		along, across = (8*standoff*standoff-1)*d3/d2, 6*standoff*d3/d2
	}
	if metal == Permeable {
		along = -along
	}
	return math.Sqrt((1+along)*(1+along) + across*across)
}

// aims are a transmitter off square at all marks, while calibrating only, and at
// the marks only.
func aims() []variant {
	stronger := func(angle float64) float64 { s := math.Sin(angle); return math.Sqrt(1 + 3*s*s) }
	constant := func(size, _ float64) float64 { return 20 * math.Log10(stronger(size)) }
	sizes := span(25, 0, math.Pi/2)
	return []variant{
		{sizes: sizes, only: all, constant: constant, cure: ExtraSquare},
		{sizes: sizes, only: all, constant: constant, cure: ExtraSquare,
			reads: func(size float64, p place) float64 { return p.at * math.Cbrt(stronger(size)) }},
		{sizes: sizes, only: all, cure: ExtraSquare,
			reads: func(size float64, p place) float64 { return p.at / math.Cbrt(stronger(size)) }},
	}
}
