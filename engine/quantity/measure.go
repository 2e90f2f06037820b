package quantity

import (
	"math/big"
	"slices"
	"strings"
	"unicode"
)

// part is one number of a measure with the unit behind it, if any.
type part struct {
	amount *big.Rat
	text   string // the number as typed
	unit   unit
	bare   bool // no unit was typed
}

// measurer reads the tokens of one measure from the left.
type measurer struct {
	kind   Kind
	tokens []token
	doubts []Reason
	minus  bool
	plus   bool // a plus sign may stand in front
}

// readMeasure reads a number or numbers with their units.
func readMeasure(text string, w Want) draft {
	text = straight(text)
	if w.Kind == Length && strings.HasSuffix(text, ")") {
		return readBothSides(text, w)
	}
	if words, rest := wordsBefore(text); words != "" {
		d := readMeasure(rest, w)
		d.doubts = append([]Reason{*because(WordsAround, "words", words)}, d.doubts...)
		return d
	}
	below := w.Kind.signed() && w.Min != nil && w.Min.rat.Sign() < 0
	m := &measurer{kind: w.Kind, plus: below || w.Kind == Percent || w.Kind == Decibel}
	parts, bad := m.parts(text)
	if bad != nil {
		return draft{refuse: bad}
	}
	if m.minus && !below {
		return refused(Negative, "seen", text)
	}
	base, bad := m.join(parts, w)
	if bad != nil {
		return draft{refuse: bad}
	}
	if m.minus {
		base.Neg(base)
	}
	if w.Kind.whole() && !base.IsInt() {
		return refused(NotWhole, "seen", text)
	}
	v := OfRat(w.Kind, base)
	if !v.Valid() {
		return refused(NumberLong, "seen", text)
	}
	return draft{value: v, doubts: m.doubts}
}

// wordsBefore splits "moved the vac, 34 ft" behind the last comma or colon,
// when what is before has no digit or sign that could belong to the number.
func wordsBefore(text string) (words, rest string) {
	digit := strings.IndexFunc(text, unicode.IsDigit)
	if digit < 0 {
		return "", text
	}
	at := strings.LastIndexAny(text[:digit], ",:")
	if at < 0 || strings.ContainsAny(text[:at], `-+/"%(`) || strings.TrimSpace(text[:at]) == "" {
		return "", text
	}
	return strings.TrimSpace(text[:at]), strings.TrimSpace(text[at+1:])
}

// parts reads the whole text as numbers and units.
func (m *measurer) parts(text string) ([]part, *Reason) {
	// A full stop behind a number ends the sentence; scan drops those of
	// abbreviations.
	text = strings.ReplaceAll(strings.TrimSuffix(text, "."), "por ciento", "porciento")
	tokens, bad := scan(text)
	if bad != nil {
		return nil, bad
	}
	m.tokens = tokens
	if first := m.peek(0); first.sort == sign && (first.text == "-" || first.text == "+") {
		if first.text == "+" && !m.plus {
			return nil, because(NumberForm, "seen", text)
		}
		m.minus = first.text == "-"
		m.tokens = m.tokens[1:]
	}
	if bad := m.unlikeNumber(text); bad != nil {
		return nil, bad
	}
	var parts []part
	for len(m.tokens) > 0 {
		if len(parts) > 0 {
			if bad := m.joiner(parts[len(parts)-1]); bad != nil {
				return nil, bad
			}
		}
		p, bad := m.part()
		if bad != nil {
			return nil, bad
		}
		parts = append(parts, p)
	}
	return parts, nil
}

// unlikeNumber refuses what does not begin with a number, with the most
// helpful reason.
func (m *measurer) unlikeNumber(text string) *Reason {
	first := m.peek(0)
	if first.sort == number {
		return nil
	}
	if u, ok := unitOf(m.kind, first.text); ok && len(m.tokens) == 1 && !m.minus {
		return because(NumberMissing, "unit", u.symbol)
	}
	return because(NotANumber, "seen", text)
}

// peek is the token i places ahead, one of sort end behind the last.
func (m *measurer) peek(i int) token {
	if i < len(m.tokens) {
		return m.tokens[i]
	}
	return token{}
}

// joiner passes over what may stand between two parts: a dash or comma behind
// a unit, "and", "y". Between two bare numbers nothing may.
func (m *measurer) joiner(last part) *Reason {
	t := m.peek(0)
	if t.text != "-" && t.text != "," && !joinWord(t.text) {
		return nil
	}
	if m.peek(1).sort != number {
		return because(NumberForm, "seen", t.text)
	}
	if last.bare {
		return because(TwoNumbers, "first", last.text, "second", m.peek(1).text)
	}
	m.tokens = m.tokens[1:]
	return nil
}

func joinWord(s string) bool { return strings.EqualFold(s, "and") || strings.EqualFold(s, "y") }

// part reads one number and the unit behind it.
func (m *measurer) part() (part, *Reason) {
	switch t := m.peek(0); {
	case t.sort == word && !otherKind("", t.text):
		return part{}, because(UnitUnknown, "unit", t.text)
	case t.sort != number:
		return part{}, because(NumberForm, "seen", t.text)
	}
	amount, text, bad := m.amount()
	if bad != nil {
		return part{}, bad
	}
	p := part{amount: amount, text: text, bare: true}
	t := m.peek(0)
	if t.sort != word || joinWord(t.text) {
		return p, nil
	}
	if after := m.peek(1); t.tight && codeLike(t.text) && (after.tight || after.sort == end) {
		return part{}, because(NumberForm, "seen", text+t.text+after.text)
	}
	u, ok := unitOf(m.kind, t.text)
	if !ok && otherKind(m.kind, t.text) {
		return part{}, because(UnitOther, "unit", t.text, "number", text)
	}
	if !ok {
		return part{}, because(UnitUnknown, "unit", t.text, "number", text)
	}
	m.tokens = m.tokens[1:]
	p.unit, p.bare = u, false
	return p, nil
}

// codeLike reports whether letters stuck to a number are of the spellings of
// numbers that programs take and people do not mean: 1e5, 0x1f, 0b1, 1p3.
func codeLike(s string) bool {
	return slices.Contains([]string{"e", "x", "xf", "b", "o", "p"}, strings.ToLower(s))
}

// amount reads 10, 10.5, 1/2, 2 1/2 or 2-1/2.
func (m *measurer) amount() (*big.Rat, string, *Reason) {
	first := m.peek(0).text
	if m.fractionAt(0) {
		return m.ratioAt(0)
	}
	r, doubts, bad := decimal(first)
	if bad != nil {
		return nil, "", bad
	}
	m.doubts = append(m.doubts, doubts...)
	m.tokens = m.tokens[1:]
	at := 0
	if dash := m.peek(0); dash.text == "-" && dash.tight && m.peek(1).tight {
		at = 1
	}
	if !m.fractionAt(at) {
		return r, first, nil
	}
	if strings.ContainsAny(first, ".,") {
		return nil, "", because(NumberForm, "seen", first+" "+m.peek(at).text+"/"+m.peek(at+2).text)
	}
	rest, text, bad := m.ratioAt(at)
	if bad != nil {
		return nil, "", bad
	}
	return r.Add(r, rest), first + " " + text, nil
}

func (m *measurer) fractionAt(i int) bool {
	return m.peek(i).sort == number && m.peek(i+1).text == "/" && m.peek(i+2).sort == number
}

func (m *measurer) ratioAt(i int) (*big.Rat, string, *Reason) {
	over, under := m.peek(i).text, m.peek(i+2).text
	r, doubts, bad := ratio(over, under)
	if bad != nil {
		return nil, "", bad
	}
	m.doubts = append(m.doubts, doubts...)
	m.tokens = m.tokens[i+3:]
	return r, over + "/" + under, nil
}
