package depth

import (
	"cmp"
	"fmt"
	"math"
)

// Evidence is what a diagnosis goes by. Lengths in metres.
type Evidence struct {
	Baseline float64 // what the receiver was told while calibrating
	// Half-ranges as in [ReadingBudget]: Tape of one taped distance, Datum of the
	// reference points (the same at every mark); Step is the full display step.
	Tape, Datum, Step float64
	// Hand is the standard uncertainty of one reading from how the receiver is
	// held and the signal flickers; 0 if the step covers it.
	Hand  float64
	Bands []Band
}

// Band is what was read on one frequency.
type Band struct {
	Name  string // for showing only
	Marks []Sight
	// Constant is the calibration constant now less the mean of this pair's
	// history, in decibels, and its standard uncertainty; nil if there is none.
	Constant *Value
	// Margin is the signal at the baseline over the background with the
	// transmitter off, in decibels; nil if it was not measured.
	Margin *float64
}

// Value is a number and its standard uncertainty, in one unit.
type Value struct {
	Value, U float64
}

// Sight is one mark and the readings taken there, metres. A mark at the distance
// of the baseline is the calibration mark itself, and reads right whatever its
// distance is, unless Fresh: then it was laid out anew, with another tape.
type Sight struct {
	True     float64
	Readings []float64
	Fresh    bool
}

// most readings in one diagnosis; the work grows with the cube.
const mostReadings = 128

// bench is the evidence laid out for the arithmetic.
type bench struct {
	e      Evidence
	places []place
	slots  []slot
	lower  [][]float64 // factor of the covariance of the slots
	broad  [][]float64 // the same for CauseOther
	shift  []float64   // of each place; room to work in
}

// place is a mark as one band saw it.
type place struct {
	at, base float64
	own      bool // the calibration mark itself
	band     int
}

// slot is one number of the evidence: a reading at a place, or, with place -1, a
// constant in decibels.
type slot struct {
	place, band int
	value, u    float64
	where       string
	typed       float64 // the reading itself
}

func (e Evidence) bench() (*bench, error) {
	if err := e.check(); err != nil {
		return nil, err
	}
	b := &bench{e: e}
	for i, band := range e.Bands {
		if err := b.lay(i, band); err != nil {
			return nil, err
		}
	}
	if len(b.slots) > mostReadings {
		return nil, &FieldError{"Bands", fmt.Sprintf("hold more than %d readings", mostReadings)}
	}
	b.shift = make([]float64, len(b.places))
	var err error
	if b.lower, err = factorise(b.covariance(false)); err != nil {
		return nil, err
	}
	b.broad, err = factorise(b.covariance(true))
	return b, err
}

func (e Evidence) check() error {
	err := cmp.Or(length("Baseline", e.Baseline), within("Tape", e.Tape, 0, e.Baseline/4),
		within("Datum", e.Datum, 0, e.Baseline/4), within("Step", e.Step, 0, e.Baseline/4),
		within("Hand", e.Hand, 0, e.Baseline/4))
	switch {
	case err != nil:
		return err
	case e.reading() < 1e-5*e.Baseline:
		return &FieldError{"Step", "step and hand together are as good as zero: nothing is read without uncertainty"}
	case len(e.Bands) == 0:
		return &FieldError{"Bands", "there are none"}
	case len(e.Bands) > mostReadings:
		return &FieldError{"Bands", fmt.Sprintf("are more than %d", mostReadings)}
	}
	return nil
}

// reading is the standard uncertainty that each reading has for itself.
func (e Evidence) reading() float64 { return math.Hypot(Rectangular(e.Step/2), e.Hand) }

// lay puts one band on the bench.
func (b *bench) lay(i int, band Band) error {
	field := fmt.Sprintf("Bands[%d]", i)
	if len(band.Marks) > mostReadings {
		return &FieldError{field + ".Marks", fmt.Sprintf("are more than %d", mostReadings)}
	}
	others := 0
	for j, m := range band.Marks {
		name := fmt.Sprintf("%s.Marks[%d]", field, j)
		p := place{at: m.True, base: b.e.Baseline, own: sameLength(m.True, b.e.Baseline) && !m.Fresh, band: i}
		if err := within(name+".True", m.True, b.e.Baseline/20, b.e.Baseline*20); err != nil {
			return err
		}
		for _, q := range b.places {
			if q.band == i && q.own == p.own && math.Abs(q.at-p.at) < 1e-3*b.e.Baseline {
				return &FieldError{name + ".True", "is the place of another mark; give all its readings at one"}
			}
		}
		if !p.own {
			others++
		}
		b.places = append(b.places, p)
		if err := b.layReadings(name, i, m); err != nil {
			return err
		}
	}
	if others < 2 {
		return &FieldError{field + ".Marks", "at least two besides the calibration mark are needed"}
	}
	return b.layConstant(field, i, band)
}

// sameLength says whether two distances are one, but for the last digits of a
// change of unit.
func sameLength(a, b float64) bool { return math.Abs(a-b) < 1e-6*b }

func (b *bench) layReadings(name string, band int, m Sight) error {
	if len(m.Readings) == 0 || len(m.Readings) > mostReadings {
		return &FieldError{name + ".Readings", fmt.Sprintf("are %d; 1 to %d can be used", len(m.Readings), mostReadings)}
	}
	// Readings of one mark flicker between two steps of the display.
	u := b.e.Hand
	if len(m.Readings) > 1 {
		u = math.Max(u, Rectangular(b.e.Step/2))
	}
	for k, r := range m.Readings {
		where := fmt.Sprintf("%s.Readings[%d]", name, k)
		if err := length(where, r); err != nil {
			return err
		}
		b.slots = append(b.slots, slot{place: len(b.places) - 1, band: band,
			value: r - m.True, u: u, where: where, typed: r})
	}
	return nil
}

func (b *bench) layConstant(field string, i int, band Band) error {
	if band.Margin != nil {
		if err := within(field+".Margin", *band.Margin, -200, 200); err != nil {
			return err
		}
	}
	if band.Constant == nil {
		return nil
	}
	err := cmp.Or(within(field+".Constant.Value", band.Constant.Value, -200, 200),
		within(field+".Constant.U", band.Constant.U, 0.001, 100))
	b.slots = append(b.slots, slot{place: -1, band: i,
		value: band.Constant.Value, u: band.Constant.U, where: field + ".Constant"})
	return err
}

// bandName is how Where names a band; none for a fault that is in all.
func (b *bench) bandName(band int) string {
	if band < 0 || len(b.e.Bands) == 1 {
		return ""
	}
	return fmt.Sprintf("Bands[%d]", band)
}

// hasConstant says whether any band is compared with its history.
func (b *bench) hasConstant() bool {
	for _, band := range b.e.Bands {
		if band.Constant != nil {
			return true
		}
	}
	return false
}
