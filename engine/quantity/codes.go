package quantity

// Code names a reason to a machine. The bot words it in each language. The
// list only grows. Args that every code may have: "seen" (what was typed, or
// the part of it meant), and "also" (further codes, one space between).
type Code string

// Codes about the message as a whole; they refuse.
const (
	Empty       Code = "empty"        // nothing was typed
	TooLong     Code = "too_long"     // more than Args "most" bytes
	NotUTF8     Code = "not_utf8"     // the bytes are not text
	Hidden      Code = "hidden"       // control or invisible character Args "char" ("U+0000")
	BadQuestion Code = "bad_question" // the Want makes no sense: a fault of the rules, not of the person; Args "why"
)

// Codes about numbers. CommaDecimal, FractionOver and WordsAround ask, the
// others refuse.
const (
	NotANumber    Code = "not_a_number"     // Args "seen"
	NumberMissing Code = "number_missing"   // a unit alone; Args "unit"
	NumberForm    Code = "number_form"      // exponent, hex, two points, stray sign
	NumberLong    Code = "number_long"      // more than 9 digits before or after the point, or 6 in a fraction
	Negative      Code = "negative"         // below zero where that cannot be
	NotWhole      Code = "not_whole"        // a count with a fraction
	ZeroBelow     Code = "zero_denominator" // 1/0
	CommaUnclear  Code = "comma_unclear"    // 3,050: thousands or decimals
	CommaDecimal  Code = "comma_decimal"    // 3,05 was taken as 3.05
	FractionOver  Code = "fraction_over"    // 21/2: 10 1/2, or 2 1/2 meant
	TwoNumbers    Code = "two_numbers"      // 10 2 or 10-2: what is the first, what the second; Args "first", "second"
	WordsAround   Code = "words_around"     // words before the number were passed over; Args "words"
)

// Codes about units. UnitMissing, PartUnitMissing, PartOver and PartFraction
// ask (UnitMissing refuses when there is no unit to suggest or the suggested
// value is out of hard limits), the others refuse. Units in Args are "ft",
// "in", "yd", "m", "cm", "mm", "Hz", "kHz", "V", "kV", "mV", "d", "h", "min",
// "s", "%", "ppm", "dB".
const (
	UnitMissing     Code = "unit_missing"      // Args "number"; and "unit" when one is suggested
	UnitUnknown     Code = "unit_unknown"      // Args "unit" as typed, and "number" when it stands behind one
	UnitOther       Code = "unit_other"        // kHz for a length; Args "unit" as typed
	UnitMiddle      Code = "unit_middle"       // 12k5; Args "first", "unit", "second"
	UnitOrder       Code = "unit_order"        // 2 in 10 ft; Args "first", "second" (units)
	UnitTwice       Code = "unit_twice"        // 2 ft 3 ft; Args "unit"
	UnitMixed       Code = "unit_mixed"        // 2 ft 3 cm; Args "first", "second" (units)
	PartUnitMissing Code = "part_unit_missing" // 10 ft 2; Args "number", "unit" (the one taken)
	PartOver        Code = "part_over"         // 10 ft 14 in; Args "number", "unit", "most"
	PartFraction    Code = "part_fraction"     // 10.5 ft 3 in; Args "number", "unit"
	SidesDiffer     Code = "sides_differ"      // 26 ft (9 m): Args "first", "second"
)

// Codes about limits: Ask when Want.Soft, otherwise Refuse. Args "value" and
// "limit", printed so that neither is rounded onto the other.
const (
	BelowMin Code = "below_min"
	AboveMax Code = "above_max"
)

// Codes about dates and times. YearAssumed, DayMonth, HalfDay, CompactTime,
// Midnight and TwiceThatDay ask, the others refuse.
const (
	NotADate     Code = "not_a_date"
	NoSuchDay    Code = "no_such_day"    // 31 November
	YearFar      Code = "year_far"       // before 1990 or after 2100; Args "year"
	YearAssumed  Code = "year_assumed"   // no year typed and not plain which; Args "year"
	DayMonth     Code = "day_month"      // 11/05: Args "value", and "other" when both orders are days
	NotATime     Code = "not_a_time"     // Args "seen"
	HalfDay      Code = "half_day"       // 7:30: morning or evening; taken as morning; Args "value", "other"
	CompactTime  Code = "compact_time"   // 1930 was taken as 19:30; Args "value"
	Midnight     Code = "midnight"       // midnight of a date: taken as its start
	NoSuchTime   Code = "no_such_time"   // the clocks skip it that day; Args "date"
	TwiceThatDay Code = "twice_that_day" // the clocks show it twice that day; the first to come was taken; Args "date", "value"
)

// Codes about words and lists. OkUnclear asks, the others refuse.
const (
	NotYesNo      Code = "not_yes_no"
	OkUnclear     Code = "ok_unclear"     // "ok": heard, or yes
	NoSuchChoice  Code = "no_such_choice" // Args "choices"
	ChoiceUnclear Code = "choice_unclear" // fits several; Args "choices" (those it fits)
	SerialSigns   Code = "serial_signs"   // only letters, digits, - / . ; Args "char"
	SerialLength  Code = "serial_length"  // Args "most"
	TextLength    Code = "text_length"    // Args "most"
	TextSigns     Code = "text_signs"     // a character that cannot be printed; Args "char"
	NameLength    Code = "name_length"    // Args "most"
	Duplicate     Code = "duplicate"      // Args "item"
	TooMany       Code = "too_many"       // Args "most"
	ItemMissing   Code = "item_missing"   // nothing between two commas
	NamesWanted   Code = "names_wanted"   // "yes" or "0" where names or "none" are asked for; Args "item"
)

// Codes of ReadAll. ListCut asks, the others refuse every reading.
const (
	ListCut    Code = "list_cut"    // readings of several lists, told apart by their number alone; Args "each"
	PartCount  Code = "part_count"  // Args "wanted", "seen"
	OneForMany Code = "one_for_all" // one yes or no for several questions; Args "wanted"
)

// Codes lists every code that a Reason may have.
func Codes() []Code {
	return []Code{
		Empty, TooLong, NotUTF8, Hidden, BadQuestion,
		NotANumber, NumberMissing, NumberForm, NumberLong, Negative, NotWhole,
		ZeroBelow, CommaUnclear, CommaDecimal, FractionOver, TwoNumbers, WordsAround,
		UnitMissing, UnitUnknown, UnitOther, UnitMiddle, UnitOrder, UnitTwice,
		UnitMixed, PartUnitMissing, PartOver, PartFraction, SidesDiffer,
		BelowMin, AboveMax,
		NotADate, NoSuchDay, YearFar, YearAssumed, DayMonth, NotATime, HalfDay,
		CompactTime, Midnight, NoSuchTime, TwiceThatDay,
		NotYesNo, OkUnclear, NoSuchChoice, ChoiceUnclear, SerialSigns, SerialLength,
		TextLength, TextSigns, NameLength, Duplicate, TooMany, ItemMissing, NamesWanted,
		PartCount, OneForMany, ListCut,
	}
}
