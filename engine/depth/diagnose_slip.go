package depth

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/floats"
)

const (
	metresPerFoot = 0.3048 // exactly
	metresPerInch = 0.0254 // exactly
)

// meant is one way a typed reading may have come about: the reading meant, and
// the stretch of the scale that the slip makes. How is the same number for the same
// slip of another reading.
type meant struct {
	value, stretch float64
	how            int
}

// The ways of slipping, told apart by how: each has room for the places of digits.
const (
	slipUnit = 1000 * (iota + 1)
	slipFeet
	slipMetres
	slipWholeFeet
	slipFeetInches
	slipCarried
)

// wrongUnits are the readings meant if a typed one has the wrong unit.
func wrongUnits(typed float64) []meant {
	var list []meant
	for i, f := range []float64{metresPerFoot, 1 / metresPerFoot, 12, 1.0 / 12} {
		list = append(list, meant{typed * f, f, slipUnit + i})
	}
	return list
}

// swappedDigits are the readings meant if two neighbouring digits changed places,
// in feet or metres to two places or in feet and inches, or feet and inches did.
func swappedDigits(typed float64) []meant {
	var list []meant
	add := func(v float64, how int) {
		if v > 0 && math.Abs(v-typed) > metresPerInch/2 {
			list = append(list, meant{v, 1, how})
		}
	}
	for i, unit := range []float64{metresPerFoot, 1} {
		text := strconv.FormatFloat(typed/unit, 'f', 2, 64)
		if exact, _ := strconv.ParseFloat(text, 64); math.Abs(exact*unit-typed) > 1e-4 {
			continue // it was not typed in this way
		}
		swaps(text, func(v float64, at int) { add(v*unit, slipFeet+i*(slipMetres-slipFeet)+at) })
	}
	feet, inches := math.Modf(typed/metresPerFoot + 1e-9)
	inches = math.Round(inches * 12)
	if feet >= 1 && inches < 12 && math.Abs(feet*metresPerFoot+inches*metresPerInch-typed) < 1e-4 {
		rest := inches * metresPerInch
		swaps(strconv.FormatFloat(feet, 'f', 0, 64), func(v float64, at int) { add(v*metresPerFoot+rest, slipWholeFeet+at) })
		if feet < 12 {
			add(inches*metresPerFoot+feet*metresPerInch, slipFeetInches)
		}
	}
	// Feet from 12 on, taken for inches: 14 ft 11 in became 11 ft 14 in.
	whole := math.Round(typed / metresPerInch)
	for inches := 0.0; inches < 12 && math.Abs(whole*metresPerInch-typed) < 1e-4; inches++ {
		if feet := whole - 12*inches; feet >= 12 && feet < 60 {
			add(feet*metresPerFoot+inches*metresPerInch, slipCarried+int(inches))
		}
	}
	return list
}

// swaps calls f with every number that text becomes by swapping two neighbouring
// digits, over the point too, and the place of the first, counted from the right.
func swaps(text string, f func(v float64, at int)) {
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	for i := range text {
		for j := i + 1; j < len(text) && j <= i+2; j++ {
			next := j == i+1 || text[i+1] == '.'
			if !next || !digit(text[i]) || !digit(text[j]) || text[i] == text[j] {
				continue
			}
			b := []byte(text)
			b[i], b[j] = b[j], b[i]
			if v, err := strconv.ParseFloat(string(b), 64); err == nil {
				f(v, len(text)-i)
			}
		}
	}
}

// weighSlip averages over every way one reading, all readings of a mark in one way,
// or all readings of a band in one wrong unit, may have been mistyped, all else being
// well.
func (b *bench) weighSlip() fitted {
	f := fitted{id: CauseSlip, best: variant{cure: ExtraTypeAgain, only: all}}
	var logs []float64
	best := math.Inf(-1)
	try := func(log, size float64, where string) {
		if logs = append(logs, log); log > best {
			best, f.size, f.where = log, size, where
		}
	}
	for i, s := range b.slots {
		if s.place < 0 {
			continue
		}
		for _, m := range append(wrongUnits(s.typed), swappedDigits(s.typed)...) {
			r := b.plain()
			r[i] += m.value - s.typed
			try(b.logOf(r)+math.Log(m.stretch), m.value, s.where)
		}
	}
	for place := range b.places {
		b.wholeMark(place, try)
	}
	for band := range b.e.Bands {
		for way := range wrongUnits(1) {
			log, first := b.wholeBand(band, way)
			try(log, first, b.bandName(band))
		}
	}
	f.log = floats.LogSumExp(logs) - math.Log(float64(len(logs)))
	return f
}

// wholeMark tries every way in which all the readings of a mark, typed one after the
// other, may have gone wrong alike.
func (b *bench) wholeMark(place int, try func(log, size float64, where string)) {
	var first int
	var at [][]meant
	for i, s := range b.slots {
		if s.place != place {
			continue
		}
		if len(at) == 0 {
			first = i
		}
		at = append(at, append(wrongUnits(s.typed), swappedDigits(s.typed)...))
	}
	if len(at) < 2 {
		return
	}
	where := strings.TrimSuffix(b.slots[first].where, "[0]") // of the readings together
	for _, m := range at[0] {
		r, log, same := b.plain(), 0.0, 0
		for i, list := range at {
			if k := slices.IndexFunc(list, func(other meant) bool { return other.how == m.how }); k >= 0 {
				r[first+i] += list[k].value - b.slots[first+i].typed
				log += math.Log(m.stretch)
				same++
			}
		}
		if same == len(at) {
			try(b.logOf(r)+log, m.value, where)
		}
	}
}

// wholeBand is the log likelihood if every reading of a band has a wrong unit,
// and the first reading meant.
func (b *bench) wholeBand(band, way int) (log, first float64) {
	r := b.plain()
	for i, s := range b.slots {
		if s.place < 0 || s.band != band {
			continue
		}
		m := wrongUnits(s.typed)[way]
		r[i] += m.value - s.typed
		log += math.Log(m.stretch)
		if first == 0 {
			first = m.value
		}
	}
	return log + b.logOf(r), first
}

func (b *bench) plain() []float64 {
	r := make([]float64, len(b.slots))
	for i, s := range b.slots {
		r[i] = s.value
	}
	return r
}

func (b *bench) logOf(r []float64) float64 {
	whiten(b.lower, r)
	return -floats.Dot(r, r) / 2
}
