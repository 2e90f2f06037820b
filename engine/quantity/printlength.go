package quantity

import "math/big"

const microPerFoot = 304_800

// printLength writes feet and inches and, in brackets, metres, or centimetres
// for what is shorter than a foot. Lengths that are no sixteenths are rounded
// to them; whole inches get two places of metres, others three. Limits make
// either side finer, see Print.
func printLength(v Value, lang string, limits []Value) string {
	edges := bounds(Length, limits)
	inches := new(big.Rat).Quo(v.rat, big.NewRat(25_400, 1))
	shown, decimals := nearInches(inches, v.rat, edges)
	places := 3
	if shown.IsInt() {
		places = 2
	}
	metric := showDecimal(v.rat, 1_000_000, places, edges) + " m"
	if new(big.Rat).Abs(v.rat).Cmp(big.NewRat(microPerFoot, 1)) < 0 {
		metric = showDecimal(v.rat, 10_000, 1, edges) + " cm"
	}
	return feetAndInches(shown, decimals, lang) + " (" + metric + ")"
}

// nearInches is the coarsest fraction of an inch near v that stays on the
// right side of the edges; failing that, a number of decimals that does;
// failing that, v itself as a fraction.
func nearInches(inches, v *big.Rat, edges []*big.Rat) (shown *big.Rat, decimals int) {
	ok := func(r *big.Rat) bool {
		return keeps(new(big.Rat).Mul(r, big.NewRat(25_400, 1)), v, edges)
	}
	for _, step := range []int64{16, 32, 64} {
		steps := new(big.Rat).Mul(inches, new(big.Rat).SetInt64(step))
		rounded := parsed(steps.FloatString(0))
		if rounded.Quo(rounded, new(big.Rat).SetInt64(step)); ok(rounded) {
			return rounded, 0
		}
	}
	for places := roundPlaces; places <= mostPlaces; places++ {
		if r := parsed(inches.FloatString(places)); ok(r) {
			return r, places
		}
	}
	return new(big.Rat).Set(inches), 0
}

// feetAndInches writes shown inches; with decimals if there are any, with a
// fraction otherwise.
func feetAndInches(shown *big.Rat, decimals int, lang string) string {
	minus := ""
	if shown.Sign() < 0 {
		minus = "-"
	}
	all := new(big.Rat).Abs(shown)
	twelfth := new(big.Rat).Quo(all, big.NewRat(12, 1))
	feet := new(big.Int).Quo(twelfth.Num(), twelfth.Denom())
	rest := all.Sub(all, new(big.Rat).SetInt(new(big.Int).Mul(feet, big.NewInt(12))))
	footWord, inchWord := "ft", "in"
	if lang == "es" {
		footWord, inchWord = "pies", "pulg"
		if feet.IsInt64() && feet.Int64() == 1 {
			footWord = "pie"
		}
	}
	text := feet.String() + " " + footWord
	if rest.Sign() == 0 && (feet.Sign() != 0 || minus == "") {
		return minus + text
	}
	small := showFraction(rest)
	if decimals > 0 {
		small = rest.FloatString(decimals)
	}
	if feet.Sign() == 0 {
		return minus + small + " " + inchWord
	}
	return minus + text + " " + small + " " + inchWord
}
