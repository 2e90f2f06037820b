package quantity

import (
	"strconv"
	"strings"
)

// readFrequencies reads a list of frequencies. A unit behind the last of bare
// numbers is the unit of all: "9.5 and 22 kHz".
func readFrequencies(text string, w Want) draft {
	items := cut(straight(text), byAnd)
	if len(items) == 1 && tightComma(items[0]) {
		// "9,22 kHz" may be one frequency or two.
		return refused(CommaUnclear, "seen", items[0])
	}
	return readItems(text, items, w)
}

// readLengths reads readings of one thing: "5 ft 1 in, 5 ft 0.5 in, 61 in". They
// may stand side by side where units start again: 5' 0" 5' 1".
func readLengths(text string, w Want) draft {
	var items []string
	for _, item := range cut(straight(text), byComma) {
		if tightComma(item) {
			return refused(CommaUnclear, "seen", item)
		}
		if more := restarts(item, []Want{{Kind: Length}}); len(more) > 1 && !strings.Contains(item, "(") {
			items = append(items, more...)
			continue
		}
		items = append(items, item)
	}
	return readItems(text, items, w)
}

// readItems reads the items of a list of measures.
func readItems(text string, items []string, w Want) draft {
	if most := w.Kind.most(); len(items) > most {
		return refused(TooMany, "most", strconv.Itoa(most))
	}
	shareUnit(items)
	kind, _ := w.Kind.list()
	one := Want{Kind: kind, Unit: w.Unit, Min: w.Min}
	var out draft
	var list []Value
	for _, item := range items {
		if strings.TrimSpace(item) == "" {
			return refused(ItemMissing, "seen", plainSpace(text))
		}
		d := readMeasure(item, one)
		if d.refuse != nil {
			return d
		}
		if !w.Kind.repeats() && twice(list, d.value) {
			return refused(Duplicate, "item", Print(d.value))
		}
		list = append(list, d.value)
		out.doubts = append(out.doubts, d.doubts...)
	}
	out.value = OfList(w.Kind, list...)
	for _, doubt := range out.doubts {
		if doubt.Code == UnitMissing {
			// The unit that is asked for belongs to the whole list.
			doubt.Args["number"] = plainSpace(text)
		}
	}
	return out
}

// shareUnit puts the unit of the last item behind all others, when they are
// all bare numbers.
func shareUnit(items []string) {
	last := len(items) - 1
	unit := trailingUnit(items[last])
	if unit == "" || !allBare(items[:last]) {
		return
	}
	for i := range last {
		items[i] += " " + unit
	}
}
