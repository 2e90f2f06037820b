package quantity

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// ReadAll reads several values out of one message and gives as many readings
// as there are wants. When the message cannot be cut into that many parts
// for certain, every reading refuses with PartCount or OneForMany.
func ReadAll(text string, ws []Want) []Reading {
	switch len(ws) {
	case 0:
		return nil
	case 1:
		return []Reading{Read(text, ws[0])}
	}
	if bad := checkText(text); bad != nil {
		return all(*bad, len(ws))
	}
	if every(ws, func(w Want) bool { return w.Kind == YesNo }) {
		return readYesNos(text, ws)
	}
	parts, seen := matchParts(text, ws)
	if readings := evenly(text, ws); parts == nil && readings != nil {
		return readings
	}
	if parts == nil {
		return all(*because(PartCount, "wanted", strconv.Itoa(len(ws)), "seen", strconv.Itoa(seen)), len(ws))
	}
	ws = lendUnit(parts, ws)
	readings := make([]Reading, len(ws))
	for i, w := range ws {
		readings[i] = Read(parts[i], w)
	}
	return readings
}

// all is n refusals for one reason.
func all(r Reason, n int) []Reading { return slices.Repeat([]Reading{{Reason: r}}, n) }

func every(ws []Want, ok func(Want) bool) bool {
	return !slices.ContainsFunc(ws, func(w Want) bool { return !ok(w) })
}

// matchParts cuts text into as many parts as there are wants, at the fewest
// kinds of separator that give that many. Otherwise it gives no parts, and how
// many it saw.
func matchParts(text string, ws []Want) (parts []string, seen int) {
	bold := byAnd
	if !every(ws, func(w Want) bool { _, list := w.Kind.list(); return !list }) {
		bold = byLine // a list has commas of its own
	}
	for how := byLine; how <= bold; how++ {
		parts = cut(text, how)
		if len(parts) == len(ws) {
			return parts, len(parts)
		}
		seen = max(seen, len(parts))
	}
	if bold == byLine && every(ws, func(w Want) bool { _, list := w.Kind.list(); return !list || w.Kind.repeats() }) {
		// One reading for each list, or pitches, which need no commas.
		if parts = cut(text, byComma); len(parts) == len(ws) {
			return parts, len(parts)
		}
		seen = max(seen, len(parts))
	}
	if seen == 1 {
		parts = restarts(straight(text), itemWants(ws))
		if len(parts) == len(ws) {
			return parts, len(parts)
		}
		seen = max(seen, len(parts))
	}
	return nil, seen
}

// itemWants are the wants with a list of readings taken for one reading.
func itemWants(ws []Want) []Want {
	ws = slices.Clone(ws)
	for i := range ws {
		if ws[i].Kind == Lengths {
			ws[i].Kind = Length
		}
	}
	return ws
}

// evenly reads as many readings for each of several lists as there are for the
// next, with only commas between them all: the first half of six is what belongs
// to the first of two. It may be meant otherwise, so that it is asked about. It
// gives nothing where it does not fit.
func evenly(text string, ws []Want) []Reading {
	parts := cut(text, byComma)
	n := len(parts) / len(ws)
	if n < 2 || len(parts)%len(ws) != 0 || len(cut(text, byLine)) > 1 ||
		!every(ws, func(w Want) bool { return w.Kind == Lengths }) {
		return nil
	}
	readings := make([]Reading, len(ws))
	for i, w := range ws {
		r := Read(strings.Join(parts[i*n:(i+1)*n], ", "), w)
		if r.Outcome == Exact {
			r.Outcome, r.Reason = Ask, *because(ListCut, "each", strconv.Itoa(n))
		}
		readings[i] = r
	}
	return readings
}

// restarts cuts measures of one kind that stand side by side: where units
// start again (5' 0" 15' 1"), or at each bare number of a kind that has one
// unit only (72 71). Nothing is cut when a number could go either way.
func restarts(text string, ws []Want) []string {
	kind := ws[0].Kind
	if !kind.measured() || !every(ws, func(w Want) bool { return w.Kind == kind }) {
		return nil
	}
	m := &measurer{kind: kind}
	read, bad := m.parts(text)
	if bad != nil || m.minus {
		return nil
	}
	var out []string
	for i, p := range read {
		if p.bare && !kind.oneUnit() {
			return nil
		}
		written := p.text + " " + p.unit.symbol
		continues := i > 0 && p.unit.system != apart && p.unit.system == read[i-1].unit.system &&
			p.unit.size < read[i-1].unit.size
		if continues {
			out[len(out)-1] += " " + written
			continue
		}
		out = append(out, strings.TrimSpace(written))
	}
	return out
}

// lendUnit gives the unit behind the last part to bare numbers before it as
// the unit to ask about: "26, 34 ft".
func lendUnit(parts []string, ws []Want) []Want {
	last := len(parts) - 1
	unit := trailingUnit(straight(parts[last]))
	if _, ok := unitOf(ws[last].Kind, unit); unit == "" || !ok {
		return ws
	}
	ws = slices.Clone(ws)
	for i := range last {
		if ws[i].Kind == ws[last].Kind && allBare(parts[i:i+1]) {
			ws[i].Unit = unit
		}
	}
	return ws
}

// trailingUnit is the unit of an item that is one number and one unit.
func trailingUnit(item string) string {
	tokens, bad := scan(item)
	if bad != nil || len(tokens) < 2 || tokens[len(tokens)-1].sort != word {
		return ""
	}
	if !allBare([]string{strings.TrimRightFunc(item, func(r rune) bool { return !unicode.IsDigit(r) })}) {
		return ""
	}
	return tokens[len(tokens)-1].text
}

// allBare reports whether each item is a number without a unit.
func allBare(items []string) bool {
	return !slices.ContainsFunc(items, func(item string) bool {
		return strings.Trim(straight(item), "0123456789., /") != "" || strings.TrimSpace(item) == ""
	})
}
