package quantity

import (
	"math/big"
	"strings"
	"time"
)

// Print is the text of v for crews, in English: "26 ft (7.92 m)",
// "4 ft 9 1/2 in (1.461 m)", "9.5 kHz", "85 %", "12 h", "50 kV",
// "2026-11-30", times in UTC, texts as they are, "" for the zero Value.
//
// Rounding never carries v across a limit, nor onto one it does not equal:
// finer steps are shown until the text stands on the side of every limit, and
// of zero, on which v stands. Limits of another kind are passed over.
func Print(v Value, limits ...Value) string { return PrintIn(v, "en", nil, limits...) }

// PrintIn is Print in the language "en" or "es" (English for any other), with
// times as the clocks of zone show them, in UTC when zone is nil.
func PrintIn(v Value, lang string, zone *time.Location, limits ...Value) string {
	switch v.kind {
	case Length:
		return printLength(v, lang, limits)
	case Date:
		return time.Unix(v.Base()*daySeconds, 0).UTC().Format(time.DateOnly)
	case Time:
		return printTime(v, zone)
	case YesNo:
		return printYes(v.yes, lang)
	case Frequencies, Names, Lengths, Pitches:
		return printList(v, lang, zone, limits)
	case Frequency, Voltage, Percent, Decibel, Count:
		u := shownUnit(v)
		return strings.TrimSpace(showDecimal(v.rat, u.size, 0, bounds(v.kind, limits)) + " " + u.symbol)
	case Duration:
		return printDuration(v, limits)
	default:
		return v.text
	}
}

func printYes(yes bool, lang string) string {
	switch {
	case !yes:
		return "no"
	case lang == "es":
		return "sí"
	default:
		return "yes"
	}
}

func printList(v Value, lang string, zone *time.Location, limits []Value) string {
	if len(v.list) == 0 && lang == "es" {
		return "ninguno"
	}
	if len(v.list) == 0 {
		return "none"
	}
	var items []string
	for _, item := range v.list {
		items = append(items, PrintIn(item, lang, zone, limits...))
	}
	return strings.Join(items, ", ")
}

// printTime shows seconds only when there are any, and names the zone when
// the clocks show the same time twice or no zone was given.
func printTime(v Value, zone *time.Location) string {
	layout := "2006-01-02 15:04"
	if v.Base()%60 != 0 {
		layout += ":05"
	}
	if zone == nil {
		return time.Unix(v.Base(), 0).UTC().Format(layout + " MST")
	}
	t := time.Unix(v.Base(), 0).In(zone)
	clock := wall{hour: t.Hour(), minute: t.Minute(), second: t.Second()}
	if len(clock.on(dayOf(t), zone)) > 1 {
		layout += " MST"
	}
	return t.Format(layout)
}

// shownUnit is the unit in which crews read a value of that size.
func shownUnit(v Value) unit {
	thousand := new(big.Rat).Abs(v.rat).Cmp(big.NewRat(1000, 1)) >= 0
	million := new(big.Rat).Abs(v.rat).Cmp(big.NewRat(1_000_000, 1)) >= 0
	switch {
	case v.kind == Frequency && thousand:
		return unit{symbol: "kHz", size: 1000}
	case v.kind == Frequency:
		return unit{symbol: "Hz", size: 1}
	case v.kind == Voltage && million:
		return unit{symbol: "kV", size: 1_000_000}
	case v.kind == Voltage:
		return unit{symbol: "V", size: 1000}
	default:
		return soleUnit(v.kind)
	}
}

// printDuration shows hours and minutes, or days from two whole days up.
func printDuration(v Value, limits []Value) string {
	seconds := v.Base()
	minutes := seconds / 60
	switch {
	case !v.rat.IsInt() || seconds < 0:
		return showDecimal(v.rat, 1, 0, bounds(Duration, limits)) + " s"
	case seconds >= 2*daySeconds && seconds%daySeconds == 0:
		return whole(seconds/daySeconds) + " d"
	case seconds%60 != 0 && minutes == 0:
		return whole(seconds) + " s"
	case seconds%60 != 0:
		return printDuration(Of(Duration, seconds-seconds%60), nil) + " " + whole(seconds%60) + " s"
	case minutes == 0 || minutes%60 != 0 && minutes < 60:
		return whole(minutes) + " min"
	case minutes%60 != 0:
		return whole(minutes/60) + " h " + whole(minutes%60) + " min"
	default:
		return whole(minutes/60) + " h"
	}
}

func whole(n int64) string { return big.NewInt(n).String() }

// bounds are the limits of kind k in base units, and zero: what is not nothing
// is never shown as nothing.
func bounds(k Kind, limits []Value) []*big.Rat {
	out := []*big.Rat{new(big.Rat)}
	for _, limit := range limits {
		if limit.kind == k && limit.rat != nil {
			out = append(out, limit.rat)
		}
	}
	return out
}

// keeps reports whether shown stands to each bound as v does.
func keeps(shown, v *big.Rat, bounds []*big.Rat) bool {
	for _, b := range bounds {
		if shown.Cmp(b) != v.Cmp(b) {
			return false
		}
	}
	return true
}

// Decimal places: exact up to exactPlaces; otherwise from roundPlaces up to
// mostPlaces, behind which only a fraction is exact enough.
const (
	exactPlaces = 6
	roundPlaces = 3
	mostPlaces  = 12
)

// showDecimal writes v base units in units of size, with places decimals at
// least when it must round.
func showDecimal(v *big.Rat, size int64, places int, bounds []*big.Rat) string {
	in := new(big.Rat).Quo(v, new(big.Rat).SetInt64(size))
	if s := in.FloatString(exactPlaces); places == 0 && parsed(s).Cmp(in) == 0 {
		return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	if places == 0 {
		places = roundPlaces
	}
	for ; places <= mostPlaces; places++ {
		s := in.FloatString(places)
		back := parsed(s)
		if keeps(back.Mul(back, new(big.Rat).SetInt64(size)), v, bounds) {
			return s
		}
	}
	return showFraction(in)
}

// parsed is the exact number that a decimal made by FloatString spells.
func parsed(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return new(big.Rat)
	}
	return r
}

// showFraction writes r as "2 1/3".
func showFraction(r *big.Rat) string {
	minus := ""
	if r.Sign() < 0 {
		minus = "-"
	}
	r = new(big.Rat).Abs(r)
	n := new(big.Int).Quo(r.Num(), r.Denom())
	rest := new(big.Rat).Sub(r, new(big.Rat).SetInt(n))
	switch {
	case rest.Sign() == 0:
		return minus + n.String()
	case n.Sign() == 0:
		return minus + rest.RatString()
	default:
		return minus + n.String() + " " + rest.RatString()
	}
}
