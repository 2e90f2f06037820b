package quantity

import (
	"math/big"
	"strings"
)

// Most digits before or after the point, and in either half of a fraction.
const (
	maxDigits   = 9
	maxFraction = 6
)

// decimal reads digits with at most one point, or one comma that can only be
// a decimal one (which is a doubt).
func decimal(s string) (*big.Rat, []Reason, *Reason) {
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	var doubts []Reason
	switch {
	case commas > 1 || (commas == 1 && points > 0):
		return nil, nil, because(CommaUnclear, "seen", s)
	case points > 1:
		return nil, nil, because(NumberForm, "seen", s)
	case commas == 1:
		before, after, _ := strings.Cut(s, ",")
		if len(after) == 3 && strings.Trim(before, "0") != "" {
			return nil, nil, because(CommaUnclear, "seen", s)
		}
		doubts = append(doubts, *because(CommaDecimal, "seen", s, "number", before+"."+after))
		s = before + "." + after
	}
	before, after, _ := strings.Cut(s, ".")
	if len(before) > maxDigits || len(after) > maxDigits {
		return nil, nil, because(NumberLong, "seen", s)
	}
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(after))), nil)
	return new(big.Rat).SetFrac(integer(before+after), ten), doubts, nil
}

// ratio reads a fraction of two plain digit strings. An improper one is a
// doubt: 21/2 in may be 10 1/2 in or a 2 1/2 in typed in a hurry.
func ratio(over, under string) (*big.Rat, []Reason, *Reason) {
	seen := over + "/" + under
	if strings.ContainsAny(seen, ".,") {
		return nil, nil, because(NumberForm, "seen", seen)
	}
	if len(over) > maxFraction || len(under) > maxFraction {
		return nil, nil, because(NumberLong, "seen", seen)
	}
	if strings.Trim(under, "0") == "" {
		return nil, nil, because(ZeroBelow, "seen", seen)
	}
	r := new(big.Rat).SetFrac(integer(over), integer(under))
	if r.Cmp(big.NewRat(1, 1)) >= 0 {
		return r, []Reason{*because(FractionOver, "seen", seen)}, nil
	}
	return r, nil, nil
}

// integer is the number that s, a few ASCII digits, spells in base ten. The
// base is given because big.Rat takes a leading zero for octal.
func integer(s string) *big.Int {
	n, ok := new(big.Int).SetString(s, 10)
	if !ok {
		return new(big.Int)
	}
	return n
}
