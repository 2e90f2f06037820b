package main

import (
	"errors"
	"math"
	"math/big"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"firstrod/engine/depth"
	"firstrod/engine/quantity"
)

// lengths reads the length flags of one call: all with a unit, or all bare. The
// first fault is kept in err, and everything read after it is zero.
type lengths struct {
	flags *pflag.FlagSet
	first string  // the first flag that was read
	unit  string  // its unit; "" for bare numbers
	size  float64 // metres per unit; 1 for bare numbers
	err   error
}

func lengthsOf(flags *pflag.FlagSet) *lengths { return &lengths{flags: flags} }

// need is a length that must be there, in metres or in the caller's own unit.
func (l *lengths) need(name string) float64 {
	if l.err == nil && !l.flags.Changed(name) {
		l.err = wrong("--%s is missing", name)
	}
	return l.read(name)
}

// may is a length that may be missing.
func (l *lengths) may(name string) (metres float64, given bool) {
	if !l.flags.Changed(name) {
		return 0, false
	}
	return l.read(name), true
}

func (l *lengths) read(name string) float64 {
	if l.err != nil {
		return 0
	}
	text := strings.TrimSpace(l.flags.Lookup(name).Value.String())
	v, bare := number(text)
	unit, size := "", 1.0
	if !bare {
		if v, unit, size = lengthWithUnit(text); unit == "" {
			l.err = wrong(`--%s: %s is not a length: write it like "14 ft", "10 ft 2 1/2 in", "3.5 in" or "4.27 m", or as a bare number`, name, quoted(text))
			return 0
		}
	}
	if l.first == "" {
		l.first, l.unit, l.size = name, unit, size
	}
	if bare != (l.unit == "") {
		l.err = wrong("--%s and --%s: give all lengths a unit, or none", l.first, name)
		return 0
	}
	return v
}

// lengthWithUnit reads "14 ft", or feet and inches as they are printed and written, as
// metres; no unit comes back if it is no length.
func lengthWithUnit(text string) (metres float64, unit string, size float64) {
	if strings.Contains(text, "'") || strings.Contains(text, " ft ") {
		got := quantity.Read(text, quantity.Want{Kind: quantity.Length})
		if got.Outcome != quantity.Exact {
			return 0, "", 0
		}
		return metresOf(got.Value), "ft", 12 * 0.0254
	}
	v, err := quantity.ParseHuman(quantity.Length, text)
	_, unit, spaced := strings.Cut(text, " ")
	one, errOne := quantity.ParseHuman(quantity.Length, "1 "+unit)
	if err != nil || errOne != nil || !spaced {
		return 0, "", 0
	}
	return metresOf(v), unit, metresOf(one)
}

// micrometres is how many of a length's base unit make a metre.
const micrometres = 1_000_000

func metresOf(v quantity.Value) float64 {
	m, _ := new(big.Rat).Quo(v.Rat(), big.NewRat(micrometres, 1)).Float64()
	return m
}

// out is a result in the unit of the first length.
func (l *lengths) out(metres float64) float64 { return metres / l.size }

// say is a result for people, never rounded across a limit.
func (l *lengths) say(metres float64, limits ...float64) string {
	if l.unit == "" {
		return plain(metres)
	}
	shown := make([]quantity.Value, len(limits))
	for i, v := range limits {
		shown[i] = lengthValue(v)
	}
	return quantity.Print(lengthValue(metres), shown...)
}

// sayUp is say for a length that must not be shown too short.
func (l *lengths) sayUp(metres float64) string {
	step := 0.001
	switch l.unit {
	case "":
		return plainUp(metres)
	case "ft", "in", "yd":
		step = sixteenth
	}
	// The small term keeps a whole number of steps that came out a rounding
	// error high.
	return l.say(math.Ceil(metres/step-1e-9) * step)
}

const sixteenth = 0.0254 / 16 // of an inch, in metres

func lengthValue(metres float64) quantity.Value {
	r := new(big.Rat)
	if r.SetFloat64(metres) == nil {
		return quantity.Value{}
	}
	return quantity.OfRat(quantity.Length, r.Mul(r, big.NewRat(micrometres, 1)))
}

// refused names the flag, and what the engine counts in where that is not what was
// typed.
func (l *lengths) refused(err error, flags map[string]string) error {
	field, ok := errors.AsType[*depth.FieldError](err)
	if !ok || !strings.Contains(field.Why, " is outside ") {
		return refused(err, flags)
	}
	counts := ""
	switch field.Field {
	case "pitch", "Pitch.Value", "Pitch.U", "relError":
		counts = " (1 is 100 %)"
	case "signalAtBaseline", "background", "margin":
		counts = " (dB)"
	case "probability":
	default:
		if l.unit != "" {
			counts = " (metres)"
		}
	}
	return wrong("%s%s", refused(err, flags).Error(), counts)
}

// number reads a plain decimal number: no NaN, no infinity, no hexadecimal.
func number(text string) (float64, bool) {
	if strings.Trim(text, "0123456789+-.eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

// numberFlag reads a flag that must be there and is a number, behind which the
// unit may stand.
func numberFlag(flags *pflag.FlagSet, name, unit string) (v float64, withUnit bool, err error) {
	text := strings.TrimSpace(flags.Lookup(name).Value.String())
	if text == "" {
		return 0, false, wrong("--%s is missing", name)
	}
	amount, withUnit := strings.CutSuffix(text, unit)
	withUnit = withUnit && unit != ""
	v, ok := number(strings.TrimSpace(amount))
	if !ok {
		return 0, false, wrong("--%s: %s is not a number", name, quoted(text))
	}
	return v, withUnit, nil
}

// quoted is what was typed, short enough for a message.
func quoted(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "..."
	}
	return strconv.Quote(text)
}
