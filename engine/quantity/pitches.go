package quantity

import (
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
)

// steepest is the largest pitch in degrees that is read; a little more is a bore
// that stands on end, and its percentage has no bound.
const steepest = 85

// pitchItem is one pitch: a sign, a number, and its unit if it has one.
var pitchItem = regexp.MustCompile(`^([-+]?)([0-9]*\.?[0-9]+)(.*)$`)

// typedPitch is one pitch as it was typed.
type typedPitch struct {
	amount *big.Rat
	unit   string // "%", "deg", or "" for none
}

// readPitches reads pitches between spaces, commas, semicolons or line ends, all
// in percent or all in degrees, or each with its own unit: "-18 -17.5 -15 %". A
// unit behind the last of bare numbers is the unit of all. Without any unit the
// person is asked: a screen can show either.
//
// A percentage is kept exactly. The tangent of an angle is no fraction: it is kept
// to the nearest part per million, a thousandth of what a screen shows.
func readPitches(text string, w Want) draft {
	plain := strings.ReplaceAll(straight(text), "por ciento", "%")
	if tightComma(plain) {
		return refused(CommaUnclear, "seen", plain)
	}
	typed, bad := pitchesTyped(plain, w)
	if bad != nil {
		return draft{refuse: bad}
	}
	var out draft
	if bad := sharePitchUnit(typed); bad != "" {
		reason := because(UnitMissing, "number", plainSpace(text))
		if bad == "mixed" {
			return draft{refuse: reason}
		}
		reason.Args["unit"] = "%"
		out.doubts = append(out.doubts, *reason)
	}
	var list []Value
	for _, p := range typed {
		v, bad := p.value()
		if bad != nil {
			return draft{refuse: bad}
		}
		list = append(list, v)
	}
	if out.value = OfList(Pitches, list...); !out.value.Valid() {
		return refused(NumberLong, "seen", plain)
	}
	return out
}

func pitchesTyped(plain string, w Want) ([]typedPitch, *Reason) {
	split := func(r rune) bool { return strings.ContainsRune(" ,;\n\t", r) }
	var all []typedPitch
	for _, f := range strings.FieldsFunc(strings.ReplaceAll(plain, "°", " deg "), split) {
		if u := pitchUnit(f); u != "" && len(all) > 0 && all[len(all)-1].unit == "" {
			all[len(all)-1].unit = u
			continue
		}
		if joinWord(f) && len(all) > 0 {
			continue
		}
		parts := pitchItem.FindStringSubmatch(f)
		if parts == nil {
			return nil, because(NotANumber, "seen", f)
		}
		p := typedPitch{unit: pitchUnit(parts[3])}
		switch {
		case p.unit == "" && parts[3] != "":
			return nil, because(UnitUnknown, "unit", parts[3], "number", parts[2])
		case parts[1] == "-" && (w.Min == nil || w.Min.rat.Sign() >= 0):
			return nil, because(Negative, "seen", f)
		}
		amount, _, bad := decimal(parts[2])
		if bad != nil {
			return nil, bad
		}
		if p.amount = amount; parts[1] == "-" {
			p.amount = new(big.Rat).Neg(amount)
		}
		if all = append(all, p); len(all) > Pitches.most() {
			return nil, because(TooMany, "most", strconv.Itoa(Pitches.most()))
		}
	}
	if len(all) == 0 {
		return nil, because(NotANumber, "seen", plain)
	}
	return all, nil
}

func pitchUnit(word string) string {
	switch fold(word) {
	case "%", "pct", "percent", "porciento":
		return "%"
	case "deg", "degs", "degree", "degrees", "grado", "grados":
		return "deg"
	}
	return ""
}

// sharePitchUnit gives bare pitches the unit of the last one, or percent where
// there is none at all, which is "missing". Some with and some without is "mixed".
func sharePitchUnit(all []typedPitch) string {
	bare := 0
	for _, p := range all {
		if p.unit == "" {
			bare++
		}
	}
	last := all[len(all)-1].unit
	switch {
	case bare == 0:
		return ""
	case bare == len(all):
		last = "%"
	case bare != len(all)-1 || last == "":
		return "mixed"
	}
	for i := range all {
		all[i].unit = last
	}
	if bare == len(all) {
		return "missing"
	}
	return ""
}

func (p typedPitch) value() (Value, *Reason) {
	if p.unit == "%" {
		return OfRat(Percent, new(big.Rat).Mul(p.amount, big.NewRat(10_000, 1))), nil
	}
	degrees, _ := p.amount.Float64()
	if math.Abs(degrees) > steepest {
		return Value{}, because(AboveMax, "value", p.amount.FloatString(1)+" deg", "limit", strconv.Itoa(steepest)+" deg")
	}
	return Of(Percent, int64(math.Round(math.Tan(degrees*math.Pi/180)*1e6))), nil
}
