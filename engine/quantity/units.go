package quantity

import "strings"

// system keeps units that may stand in one value together.
type system int

const (
	apart    system = iota // stands alone
	imperial               // feet and inches
	metric
	clock // hours and minutes
)

// unit is one unit that people type: its symbol, its size in base units of its
// kind, the units it may stand together with, and the smaller unit that a bare
// number after it most likely means ("10 ft 2").
type unit struct {
	symbol string
	size   int64
	system system
	below  string
}

// unitOf finds the unit that word means for kind k. Words are taken in any
// case, but mV only exactly so: MV would be a thousand million times more.
func unitOf(k Kind, word string) (unit, bool) {
	lower := fold(word)
	switch k {
	case Length:
		return lengthUnit(lower)
	case Frequency:
		return frequencyUnit(lower)
	case Voltage:
		if strings.TrimSuffix(word, ".") == "mV" {
			return unit{symbol: "mV", size: 1}, true
		}
		return voltageUnit(lower)
	case Duration:
		return durationUnit(lower)
	case Percent:
		return percentUnit(lower)
	case Decibel:
		switch lower {
		case "db", "decibel", "decibels", "decibelio", "decibelios", "decibeles":
			return unit{symbol: "dB", size: 1000}, true
		}
	}
	return unit{}, false
}

// lengthUnit: the foot is 0.3048 m and the yard 0.9144 m exactly (NIST Special
// Publication 811, appendix B).
func lengthUnit(word string) (unit, bool) {
	switch word {
	case "ft", "'", "foot", "feet", "pie", "pies":
		return unit{"ft", 304_800, imperial, "in"}, true
	case "in", `"`, "ins", "inch", "inches", "pulg", "plg", "pulgada", "pulgadas":
		return unit{"in", 25_400, imperial, ""}, true
	case "yd", "yds", "yard", "yards", "yarda", "yardas":
		return unit{"yd", 914_400, imperial, ""}, true
	case "m", "mt", "mts", "meter", "meters", "metre", "metres", "metro", "metros":
		return unit{"m", 1_000_000, metric, ""}, true
	case "cm", "cms", "centimeter", "centimeters", "centimetre", "centimetres", "centimetro", "centimetros":
		return unit{"cm", 10_000, metric, ""}, true
	case "mm", "millimeter", "millimeters", "millimetre", "millimetres", "milimetro", "milimetros":
		return unit{"mm", 1_000, metric, ""}, true
	default:
		return unit{}, false
	}
}

func frequencyUnit(word string) (unit, bool) {
	switch word {
	case "hz", "hertz", "hercio", "hercios":
		return unit{symbol: "Hz", size: 1}, true
	case "khz", "k", "kilo", "kilos", "kilohertz", "kilohercio", "kilohercios":
		return unit{symbol: "kHz", size: 1000}, true
	default:
		return unit{}, false
	}
}

func voltageUnit(word string) (unit, bool) {
	switch word {
	case "v", "volt", "volts", "voltio", "voltios":
		return unit{symbol: "V", size: 1000}, true
	case "kv", "kilovolt", "kilovolts", "kilovoltio", "kilovoltios":
		return unit{symbol: "kV", size: 1_000_000}, true
	case "millivolt", "millivolts", "milivoltio", "milivoltios":
		return unit{symbol: "mV", size: 1}, true
	default:
		return unit{}, false
	}
}

func durationUnit(word string) (unit, bool) {
	switch word {
	case "d", "day", "days", "dia", "dias":
		return unit{"d", daySeconds, clock, "h"}, true
	case "h", "hr", "hrs", "hour", "hours", "hora", "horas":
		return unit{"h", 3600, clock, "min"}, true
	case "min", "mins", "minute", "minutes", "minuto", "minutos":
		return unit{"min", 60, clock, ""}, true
	case "s", "sec", "secs", "second", "seconds", "seg", "segs", "segundo", "segundos":
		return unit{"s", 1, clock, ""}, true
	default:
		return unit{}, false
	}
}

func percentUnit(word string) (unit, bool) {
	switch word {
	case "%", "pct", "percent", "porciento":
		return unit{symbol: "%", size: 10_000}, true
	case "ppm":
		return unit{symbol: "ppm", size: 1}, true
	default:
		return unit{}, false
	}
}

// soleUnit is what a bare number of a one-unit kind is counted in.
func soleUnit(k Kind) unit {
	switch k {
	case Percent:
		return unit{symbol: "%", size: 10_000}
	case Decibel:
		return unit{symbol: "dB", size: 1000}
	default:
		return unit{size: 1}
	}
}

// otherKind reports whether word is a unit of some kind but k.
func otherKind(k Kind, word string) bool {
	for _, other := range []Kind{Length, Frequency, Voltage, Duration, Percent, Decibel} {
		if _, ok := unitOf(other, word); ok && other != k {
			return true
		}
	}
	return false
}
