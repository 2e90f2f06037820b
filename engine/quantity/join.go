package quantity

import (
	"math/big"
	"strings"
)

// join adds the parts up to base units, noting what is doubtful.
func (m *measurer) join(parts []part, w Want) (*big.Rat, *Reason) {
	if len(parts) == 1 && parts[0].bare {
		u, bad := m.suppose(parts[0], w)
		if bad != nil {
			return nil, bad
		}
		parts[0].unit = u
	}
	sum := parts[0].base()
	for i := 1; i < len(parts); i++ {
		if bad := m.follows(parts[i-1], &parts[i], i == len(parts)-1); bad != nil {
			return nil, bad
		}
		sum.Add(sum, parts[i].base())
	}
	return sum, nil
}

// suppose is the unit for a number without one. It is a doubt unless the kind
// has one unit only.
func (m *measurer) suppose(p part, w Want) (unit, *Reason) {
	u, ok := unitOf(w.Kind, w.Unit)
	switch {
	case w.Kind.oneUnit() && ok:
		return u, nil
	case w.Kind.oneUnit():
		return soleUnit(w.Kind), nil
	case !ok:
		return unit{}, because(UnitMissing, "number", p.text)
	}
	// In front: it is the question to ask first.
	m.doubts = append([]Reason{*because(UnitMissing, "number", p.text, "unit", u.symbol)}, m.doubts...)
	return u, nil
}

// follows checks that p may stand behind before, and gives a last bare p the
// unit it most likely has.
func (m *measurer) follows(before part, p *part, last bool) *Reason {
	switch {
	case before.bare:
		return because(TwoNumbers, "first", before.text, "second", p.text)
	case p.bare && before.unit.system == apart:
		return because(UnitMiddle, "first", before.text, "unit", before.unit.symbol, "second", p.text)
	case p.bare:
		return m.supposeBelow(before, p, last)
	case before.unit.symbol == p.unit.symbol:
		return because(UnitTwice, "unit", p.unit.symbol)
	case before.unit.system != p.unit.system || p.unit.system == apart:
		return because(UnitMixed, "first", before.unit.symbol, "second", p.unit.symbol)
	case before.unit.size < p.unit.size:
		return because(UnitOrder, "first", before.unit.symbol, "second", p.unit.symbol)
	}
	if !before.amount.IsInt() {
		m.doubts = append(m.doubts, *because(PartFraction, "number", before.text, "unit", before.unit.symbol))
	}
	if most := before.unit.size / p.unit.size; p.atLeast(most) {
		m.doubts = append(m.doubts, *because(PartOver, "number", p.text, "unit", p.unit.symbol,
			"most", big.NewInt(most).String()))
	}
	return nil
}

func (m *measurer) supposeBelow(before part, p *part, last bool) *Reason {
	u, ok := unitOf(m.kind, before.unit.below)
	if !ok || !last || !before.amount.IsInt() || p.atLeast(before.unit.size/u.size) {
		return because(TwoNumbers, "first", before.text+" "+before.unit.symbol, "second", p.text)
	}
	p.unit = u
	m.doubts = append(m.doubts, *because(PartUnitMissing, "number", p.text, "unit", u.symbol))
	return nil
}

func (p part) atLeast(n int64) bool { return p.amount.Cmp(new(big.Rat).SetInt64(n)) >= 0 }

func (p part) base() *big.Rat {
	return new(big.Rat).Mul(p.amount, new(big.Rat).SetInt64(p.unit.size))
}

// readBothSides reads a length as Print writes it, "26 ft (7.92 m)": crews
// paste it back. The two must say the same within what was rounded off.
func readBothSides(text string, w Want) draft {
	outer, inner, ok := strings.Cut(strings.TrimSuffix(text, ")"), "(")
	if !ok || strings.ContainsAny(inner, "()") {
		return refused(NumberForm, "seen", text)
	}
	free := Want{Kind: Length}
	a, b := readMeasure(outer, free), readMeasure(inner, free)
	for _, side := range []draft{a, b} {
		if side.refuse != nil {
			return side
		}
	}
	// 1/32 in is the rounding of the inches, half of the last place that of
	// the other side.
	slack := new(big.Rat).SetFrac64(25_400, 32)
	slack.Add(slack, halfPlace(inner))
	gap := new(big.Rat).Sub(a.value.rat, b.value.rat)
	if len(a.doubts)+len(b.doubts) > 0 || gap.Abs(gap).Cmp(slack) > 0 {
		return refused(SidesDiffer, "first", strings.TrimSpace(outer), "second", strings.TrimSpace(inner))
	}
	return a
}

// halfPlace is half a step of the last digit of a length such as "7.92 m", in
// micrometres.
func halfPlace(s string) *big.Rat {
	tokens, bad := scan(strings.TrimSpace(s))
	if bad != nil || len(tokens) != 2 {
		return new(big.Rat)
	}
	u, _ := unitOf(Length, tokens[1].text)
	_, after, _ := strings.Cut(tokens[0].text, ".")
	places := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(after))), nil)
	step := new(big.Rat).SetFrac(big.NewInt(u.size), places)
	return step.Mul(step, big.NewRat(1, 2))
}
