package quantity

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"time"
)

// ParseHuman reads a value as parameter files write it: "30 ft", "0.5 in",
// "12.1 dB", "5 %", "12 h", "50 kV", "3", "-1.5 %", "2026-11-30",
// "2026-11-30T19:30:00-06:00", "yes", "9.5 kHz, 22 kHz". It is strict: one
// number, exact, one space, and the unit's symbol in its own letters (ft in yd
// m cm mm, Hz kHz, V kV mV, d h min s, % ppm, dB). Texts, choices and serials
// must be in their clean form; names stand between ", " or are "none".
func ParseHuman(k Kind, s string) (Value, error) {
	switch {
	case k == Date:
		return humanTime(k, time.DateOnly, s)
	case k == Time:
		return humanTime(k, time.RFC3339, s)
	case k.measured():
		return humanNumber(k, s)
	case k == Names && s == "none":
		return OfList(Names), nil
	}
	item, list := k.list()
	if !list {
		return Parse(k, s, nil)
	}
	var items []Value
	for _, part := range strings.Split(s, ", ") {
		v, err := ParseHuman(item, part)
		if err != nil {
			return Value{}, err
		}
		items = append(items, v)
	}
	v := OfList(k, items...)
	if !v.Valid() {
		return Value{}, fmt.Errorf("%q is no list of %s: empty, too long, or an item comes twice", s, k)
	}
	return v, nil
}

func humanTime(k Kind, layout, s string) (Value, error) {
	t, err := time.Parse(layout, s)
	if err != nil || t.Nanosecond() != 0 {
		return Value{}, fmt.Errorf("%q is not a %s: write it like %q", s, k, layout)
	}
	base := t.Unix()
	if k == Date {
		base /= daySeconds
	}
	v := Of(k, base)
	if !v.Valid() {
		return Value{}, fmt.Errorf("%q is too far away", s)
	}
	return v, nil
}

func humanNumber(k Kind, s string) (Value, error) {
	amount, symbol, spaced := strings.Cut(s, " ")
	u, ok := unitOf(k, symbol)
	if k == Count && !spaced {
		u, ok = soleUnit(k), true
	}
	if !ok || u.symbol != symbol {
		return Value{}, fmt.Errorf("%q is not a %s: write a number, one space and a unit, like %q", s, k, example(k))
	}
	digits := strings.TrimPrefix(amount, "-")
	if strings.Trim(digits, "0123456789.") != "" || !startsDigit(digits) || strings.HasSuffix(digits, ".") {
		return Value{}, fmt.Errorf("%s is not a plain decimal number", strconv.Quote(amount))
	}
	r, _, bad := decimal(digits)
	if bad != nil {
		return Value{}, fmt.Errorf("%s is not a plain decimal number of at most %d digits on either side", strconv.Quote(amount), maxDigits)
	}
	r.Mul(r, new(big.Rat).SetInt64(u.size))
	if digits != amount {
		r.Neg(r)
	}
	v := OfRat(k, r)
	if !v.Valid() {
		return Value{}, fmt.Errorf("%q is not a whole %s", s, k)
	}
	return v, nil
}

func example(k Kind) string {
	switch k {
	case Length:
		return "30 ft"
	case Frequency:
		return "9.5 kHz"
	case Voltage:
		return "50 kV"
	case Duration:
		return "12 h"
	case Percent:
		return "5 %"
	case Decibel:
		return "12.1 dB"
	default:
		return "3"
	}
}
