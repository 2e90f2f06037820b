package quantity

// Kind says what a value is a value of.
type Kind string

// The kinds. Each numeric kind has one base unit, see Kind.Unit.
const (
	Length      Kind = "length"      // micrometres
	Frequency   Kind = "frequency"   // hertz
	Voltage     Kind = "voltage"     // millivolts
	Duration    Kind = "duration"    // seconds
	Percent     Kind = "percent"     // parts per million; also pitch and grade
	Decibel     Kind = "decibel"     // thousandths of a decibel
	Count       Kind = "count"       // a whole number
	Date        Kind = "date"        // days since 1970-01-01 of the civil date
	Time        Kind = "time"        // Unix seconds
	YesNo       Kind = "yesno"       // yes or no
	Choice      Kind = "choice"      // the ID of an Option
	Text        Kind = "text"        // 1 to 200 printable characters
	Serial      Kind = "serial"      // upper case, no spaces, for comparing
	Frequencies Kind = "frequencies" // a list of Frequency, none twice
	Names       Kind = "names"       // a list of Text, none twice, may be empty
	Lengths     Kind = "lengths"     // readings of one thing, each a Length, in order; at least one
	Pitches     Kind = "pitches"     // pitches rod by rod, each a Percent, in order; at least one
)

// Unit is the base unit of a numeric kind as rules and records name it: "um",
// "hz", "mv", "s", "ppm", "mdb", "day"; "" for a count and for kinds that are
// not numbers.
func (k Kind) Unit() string {
	switch k {
	case Length:
		return "um"
	case Frequency:
		return "hz"
	case Voltage:
		return "mv"
	case Duration, Time:
		return "s"
	case Percent:
		return "ppm"
	case Decibel:
		return "mdb"
	case Date:
		return "day"
	default:
		return ""
	}
}

// Numeric reports whether a value of the kind is one number, so that Rat and
// Base mean something.
func (k Kind) Numeric() bool {
	return k.Unit() != "" || k == Count
}

// written reports whether a value of the kind is one text.
func (k Kind) written() bool { return k == Choice || k == Text || k == Serial }

// list reports whether a value of the kind is a list, and of what.
func (k Kind) list() (item Kind, ok bool) {
	switch k {
	case Frequencies:
		return Frequency, true
	case Names:
		return Text, true
	case Lengths:
		return Length, true
	case Pitches:
		return Percent, true
	default:
		return "", false
	}
}

// Item is the kind of the items of a list, and whether the kind is a list.
func (k Kind) Item() (item Kind, ok bool) { return k.list() }

// repeats reports whether the items of a list are readings: in order, where two
// may be the same, and none at all is no answer.
func (k Kind) repeats() bool { return k == Lengths || k == Pitches }

// most is how many items a list may have.
func (k Kind) most() int {
	if k == Pitches {
		return 200 // rods of one bore
	}
	return 20
}

// whole reports whether a fraction of the base unit makes no sense.
func (k Kind) whole() bool { return k == Count || k == Date || k == Time }

// measured reports whether crews type the kind as a number with a unit.
func (k Kind) measured() bool { return k.Numeric() && k != Date && k != Time }

// signed reports whether the kind may lie below zero when a limit says so.
func (k Kind) signed() bool { return k == Percent || k == Decibel || k == Length }

// oneUnit reports whether a bare number of the kind can mean only one thing.
func (k Kind) oneUnit() bool { return k == Percent || k == Decibel || k == Count }
