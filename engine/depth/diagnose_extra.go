package depth

import (
	"cmp"
	"math"
)

// ExtraID names the one extra reading that tells two causes apart. The strings
// are stable. [ExtraWords] has a sentence for each.
type ExtraID string

// The extra readings.
const (
	ExtraFreshMark  ExtraID = "fresh_mark"  // read at the baseline's distance, at a mark laid out anew
	ExtraHistory    ExtraID = "history"     // compare the constant with this pair's history
	ExtraSecondTape ExtraID = "second_tape" // measure the baseline with another tape, centre to centre
	ExtraOtherBand  ExtraID = "other_band"  // read both marks on another frequency
	ExtraBackground ExtraID = "background"  // transmitter off, read the background here
	ExtraGround     ExtraID = "ground"      // do it again on other ground
	ExtraSquare     ExtraID = "square"      // set the transmitter square, read again
	ExtraView       ExtraID = "view"        // look which view the receiver is in, read again
	ExtraGear       ExtraID = "gear"        // read the serials, put the usual housing on, read again
	ExtraTypeAgain  ExtraID = "type_again"  // read and type the value again
	ExtraStartOver  ExtraID = "start_over"  // nothing less will do
)

// clearly is how many standard uncertainties of the extra reading the two causes
// must lie apart in it.
const clearly = 3

// historyU is the standard uncertainty in decibels that a comparison with the
// history has at its usual best. Chosen.
const historyU = 0.3

// extra picks the extra reading for two causes: the measured one in which their
// predictions lie furthest apart, if that is clear; else the act that cures one
// of them and leaves the other.
func (b *bench) extra(x, y fitted) ExtraID {
	fresh := b.apartAtFreshMark(x, y)
	history := 0.0
	if !b.hasConstant() {
		history = math.Abs(b.constantOf(x)-b.constantOf(y)) / historyU
	}
	switch {
	case fresh >= clearly && fresh >= history:
		return ExtraFreshMark
	case history >= clearly:
		return ExtraHistory
	}
	for _, f := range []fitted{x, y} {
		if len(b.e.Bands) == 1 && f.best.cure == ExtraBackground && otherOf(f, x, y).best.cure != ExtraBackground {
			return ExtraOtherBand // it will not be as loud there
		}
	}
	// The act that would end the likelier cause. "none" has no cure; where both
	// have the same one, doing it says which.
	return cmp.Or(x.best.cure, y.best.cure, ExtraStartOver)
}

func otherOf(f, x, y fitted) fitted {
	if f.id == x.id {
		return y
	}
	return x
}

// apartAtFreshMark is by how many standard uncertainties two causes differ in a
// reading at the distance of the baseline; 0 if there is such a reading.
func (b *bench) apartAtFreshMark(x, y fitted) float64 {
	for _, p := range b.places {
		if sameLength(p.at, b.e.Baseline) && !p.own {
			return 0
		}
	}
	p := place{at: b.e.Baseline, base: b.e.Baseline}
	at := func(f fitted) float64 {
		if f.best.reads == nil {
			return p.at
		}
		return f.best.reads(f.at, p)
	}
	// Tape twice: of the fresh mark and of the baseline.
	u := math.Hypot(b.e.reading(), Rectangular(b.e.Tape)*math.Sqrt2)
	return math.Abs(at(x)-at(y)) / u
}

func (b *bench) constantOf(f fitted) float64 {
	if f.best.constant == nil {
		return 0
	}
	return f.best.constant(f.at, b.e.Baseline)
}
