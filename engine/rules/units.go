package rules

import (
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine/quantity"
)

// What a number can be counted in, besides the base units of the kinds. Moments and
// seconds are counted alike and are not the same thing.
const (
	bare   = "number" // a count, or a number in a rule
	moment = "moment"
	mixed  = "mixed" // a list of several units
)

func unitOf(k quantity.Kind) string {
	if item, ok := k.Item(); ok {
		k = item
	}
	switch k {
	case quantity.Count:
		return bare
	case quantity.Time:
		return moment
	}
	return k.Unit()
}

// inUnit says what a value is counted in, for people.
func inUnit(unit string) string {
	switch unit {
	case "um":
		return "in micrometres"
	case "hz":
		return "in hertz"
	case "mv":
		return "in millivolts"
	case "s":
		return "in seconds"
	case "ppm":
		return "in parts per million"
	case "mdb":
		return "in thousandths of a decibel"
	case "day":
		return "a date, in days"
	case moment:
		return "a moment, in seconds since 1970"
	case mixed:
		return "several values in different units"
	}
	if first, rest, product := strings.Cut(unit, "*"); product {
		return inUnit(first) + " times " + strings.TrimPrefix(inUnit(rest), "in ")
	}
	return "only a number"
}

// fits says whether two values are counted in the same, as far as that is known;
// nothing is nothing in every unit.
func fits(a, b worth) bool {
	return a.unit == "" || b.unit == "" || a.unit == b.unit && a.unit != mixed && a.million == b.million ||
		a.million && times("ppm", a.unit) == b.unit || b.million && times("ppm", b.unit) == a.unit
}

// units refuses a comparison of values that are counted in different units.
func (c *comparing) units(e *ast.Expr, a, b worth) {
	if !fits(a, b) {
		c.unlike(e, a, b)
	}
}

func (c *comparing) unlike(e *ast.Expr, a, b worth) {
	if _, written := a.fixed.(ast.Number); written {
		a, b = b, a
	}
	switch _, written := b.fixed.(ast.Number); {
	case a.unit == mixed || b.unit == mixed:
		c.fault(e, "values in different units are put into one list here; only values in one unit can be compared")
	case written && a.unit == "day":
		c.fault(e, "%s is only a number, and %s is a date; put the number of days as a count into params.yaml and read it as data.params…", b.fixed, a.called())
	case written:
		c.fault(e, "%s is only a number, and %s is %s; put the limit with its unit into params.yaml and read it as data.params…", b.fixed, a.called(), inUnit(a.unit))
	case times("ppm", a.unit) == b.unit || times("ppm", b.unit) == a.unit:
		c.fault(e, "one side is a percent of a value, which counts in millionths of it; write 1000000 * in front of the other side")
	case a.unit == b.unit && a.million != b.million:
		c.fault(e, "one side is taken a million times, and the other is no percent of a value; take 1000000 * away")
	default:
		c.fault(e, "%s is %s, and %s is %s; only values in one unit go together", a.called(), inUnit(a.unit), b.called(), inUnit(b.unit))
	}
}

// sumUnit is what a sum or a difference is counted in, and whether its parts fit.
// From a moment to another it is seconds, from a date to another a number of days.
func sumUnit(op string, a, b worth) (string, bool) {
	_, written := b.fixed.(ast.Number)
	switch {
	case a.zero():
		return b.unit, true
	case b.zero():
		return a.unit, true
	case a.unit == "" || b.unit == "":
		return "", true
	case op == "minus" && a.unit == moment && b.unit == moment:
		return "s", true
	case op == "minus" && a.unit == "day" && b.unit == "day":
		return bare, true
	case a.unit == moment && b.unit == "s", a.unit == "day" && b.unit == bare && !written:
		return a.unit, true
	case op == "plus" && (b.unit == moment || b.unit == "day") && a.unit != b.unit:
		return sumUnit(op, b, a)
	case a.unit == moment, a.unit == "day", a.unit == mixed, a.unit != b.unit:
		return "", false
	}
	return a.unit, true
}

// product is what two values make of each other. A number of times a value stays in its
// unit; and a million times it is what a percent of it counts in, which is the way to
// compare with one.
func product(a, b worth) worth {
	w := worth{from: first(a, b)}
	switch {
	case a.unit == "" || b.unit == "" || a.unit == mixed || b.unit == mixed:
	case a.unit == bare && b.unit == bare:
		w.unit = bare
	case a.unit == bare:
		w.unit, w.million = b.unit, a.written() == "1000000"
	case b.unit == bare:
		w.unit, w.million = a.unit, b.written() == "1000000"
	default:
		w.unit = times(a.unit, b.unit)
	}
	return w
}

// times is a unit made of two, whichever stands first.
func times(a, b string) string {
	parts := append(strings.Split(a, "*"), strings.Split(b, "*")...)
	slices.Sort(parts)
	return strings.Join(parts, "*")
}

// written is a number that stands in a rule, or nothing.
func (w worth) written() string {
	n, _ := w.fixed.(ast.Number)
	return string(n)
}

// zero: nothing is nothing in every unit.
func (w worth) zero() bool {
	n, written := w.fixed.(ast.Number)
	return written && n == "0"
}

// called is what to call a value in a fault.
func (w worth) called() string {
	switch {
	case w.from != "":
		return w.from
	case w.fixed != nil:
		return fmt.Sprint(w.fixed)
	}
	return "the other value"
}
