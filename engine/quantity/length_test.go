package quantity_test

import (
	"math/big"
	"testing"

	. "firstrod/engine/quantity"
)

// reading is one line of a table: what is typed, and what must become of it.
type reading struct {
	text    string
	outcome Outcome
	exact   string // record form of the value; "" for a refusal
	code    Code
}

func checkReadings(t *testing.T, w Want, table []reading) {
	t.Helper()
	for _, c := range table {
		got := Read(c.text, w)
		if got.Outcome != c.outcome || got.Value.Exact() != c.exact || got.Reason.Code != c.code {
			t.Errorf("Read(%q) for %s: got %d %q %q %v, want %d %q %q", c.text, w.Kind,
				got.Outcome, got.Value.Exact(), got.Reason.Code, got.Reason.Args, c.outcome, c.exact, c.code)
		}
	}
}

func limit(k Kind, base int64) *Value {
	v := Of(k, base)
	return &v
}

func TestLengthsExact(t *testing.T) {
	// Sums by hand from 25 400 um to the inch and 304 800 to the foot; the
	// table of GNU units in testdata/outside checks these and more.
	checkReadings(t, Want{Kind: Length, Unit: "ft"}, []reading{
		{`10' 2 1/2"`, Exact, "3111500", ""},
		{`10' 2-1/2"`, Exact, "3111500", ""},
		{`10'-2-1/2"`, Exact, "3111500", ""},
		{`10ft2.5in`, Exact, "3111500", ""},
		{`10 ft 2.5 in`, Exact, "3111500", ""},
		{"10\u00a0ft\u00a02.5\u00a0in", Exact, "3111500", ""},
		{"10\u2019 2\u00bd\u201d", Exact, "3111500", ""},
		{"10\u2032 2\u00bd\u2033", Exact, "3111500", ""},
		{"10' 2½''", Exact, "3111500", ""},
		{"10 FT. 2½ IN.", Exact, "3111500", ""},
		{"10 pies 2½ pulgadas", Exact, "3111500", ""},
		{"10 pies y 2.5 pulg.", Exact, "3111500", ""},
		{"10 feet, 2 1/2 inches", Exact, "3111500", ""},
		{"10 feet and 2 1/2 inches!", Exact, "3111500", ""},
		{"10'-2\"", Exact, "3098800", ""},
		{"10' - 2\"", Exact, "3098800", ""},
		{"10–2 ft", Refuse, "", TwoNumbers},
		{"120.5\"", Exact, "3060700", ""},
		{"305 cm", Exact, "3050000", ""},
		{"3.05m", Exact, "3050000", ""},
		{"3.05 metros", Exact, "3050000", ""},
		{"3 m 5 cm", Exact, "3050000", ""},
		{"26 ft.", Exact, "7924800", ""},
		{".5 in", Exact, "12700", ""},
		{"010/016 in", Exact, "15875", ""}, // a leading zero is no octal sign
		{"1/3 in", Exact, "25400/3", ""},
		{"¼ in", Exact, "6350", ""}, {"½ in", Exact, "12700", ""}, {"¾ in", Exact, "19050", ""},
		{"⅛ in", Exact, "3175", ""}, {"⅜ in", Exact, "9525", ""}, {"⅝ in", Exact, "15875", ""}, {"⅞ in", Exact, "22225", ""},
		{"⅓ ft", Exact, "101600", ""}, {"⅔ ft", Exact, "203200", ""}, {"3⁄8 in", Exact, "9525", ""},
		{"1 yd 2 ft", Exact, "1524000", ""},
		{"\t26 ft\r\n", Exact, "7924800", ""},
		{"26 ft (7.92 m)", Exact, "7924800", ""},
		{"0 ft", Exact, "0", ""},
	})
}

func TestLengthsToAskAbout(t *testing.T) {
	checkReadings(t, Want{Kind: Length, Unit: "ft"}, []reading{
		{"26", Ask, "7924800", UnitMissing},
		{"10 1/2", Ask, "3200400", UnitMissing},
		{"3,05 m", Ask, "3050000", CommaDecimal},
		{"3,5 m", Ask, "3500000", CommaDecimal},
		{"0,305 m", Ask, "305000", CommaDecimal},
		{"3,05", Ask, "929640", UnitMissing},
		{"10 ft 2", Ask, "3098800", PartUnitMissing},
		{"10'2", Ask, "3098800", PartUnitMissing},
		{"10' 2 1/2", Ask, "3111500", PartUnitMissing},
		{`10' 14"`, Ask, "3403600", PartOver},
		{`10' 12"`, Ask, "3352800", PartOver},
		{"10.5 ft 3 in", Ask, "3276600", PartFraction},
		{"21/2 in", Ask, "266700", FractionOver},
		{"moved the vac, 34 ft", Ask, "10363200", WordsAround},
		{"movimos el camión: 34 pies", Ask, "10363200", WordsAround},
	})
	got := Read("3,05", Want{Kind: Length, Unit: "ft"})
	if got.Reason.Args["also"] != string(CommaDecimal) || got.Reason.Args["unit"] != "ft" {
		t.Errorf("two doubts: got args %v", got.Reason.Args)
	}
	// The question's own unit is the one supposed.
	checkReadings(t, Want{Kind: Length, Unit: "in"}, []reading{{"26", Ask, "660400", UnitMissing}})
	checkReadings(t, Want{Kind: Length}, []reading{{"26", Refuse, "", UnitMissing}})
}

func TestLengthsRefused(t *testing.T) {
	checkReadings(t, Want{Kind: Length, Unit: "ft"}, []reading{
		{"10 2", Refuse, "", TwoNumbers},
		{"10-2", Refuse, "", TwoNumbers},
		{"10 - 2", Refuse, "", TwoNumbers},
		{`10 2"`, Refuse, "", TwoNumbers},
		{`10 2 1/2"`, Refuse, "", TwoNumbers},
		{"10 ft 14", Refuse, "", TwoNumbers},
		{"3 m 5", Refuse, "", TwoNumbers},
		{"3,050", Refuse, "", CommaUnclear},
		{"3,050 m", Refuse, "", CommaUnclear},
		{"1,234.5 ft", Refuse, "", CommaUnclear},
		{"1.234,5 m", Refuse, "", CommaUnclear},
		{"1,2,3 m", Refuse, "", CommaUnclear},
		{"2 in 10 ft", Refuse, "", UnitOrder},
		{`2" 10'`, Refuse, "", UnitOrder},
		{"10 ft 2 ft", Refuse, "", UnitTwice},
		{"10 ft 2 cm", Refuse, "", UnitMixed},
		{"-5 ft", Refuse, "", Negative},
		{"−5 ft", Refuse, "", Negative},
		{"-26", Refuse, "", Negative},
		{"- 26 ft", Refuse, "", Negative},
		{"+5 ft", Refuse, "", NumberForm},
	})
}

func TestNumbersThatAreNone(t *testing.T) {
	checkReadings(t, Want{Kind: Length, Unit: "ft"}, []reading{
		{"NaN", Refuse, "", NotANumber},
		{"nan ft", Refuse, "", NotANumber},
		{"Inf", Refuse, "", NotANumber},
		{"infinity ft", Refuse, "", NotANumber},
		{"about 26 ft", Refuse, "", NotANumber},
		{"less than 26 ft", Refuse, "", NotANumber},
		{"٢٦ ft", Refuse, "", NumberForm},
		{"ten feet", Refuse, "", NotANumber},
		{"ft", Refuse, "", NumberMissing},
		{"'", Refuse, "", NumberMissing},
		{"0x10 ft", Refuse, "", NumberForm},
		{"0b11 ft", Refuse, "", NumberForm},
		{"1e5 ft", Refuse, "", NumberForm},
		{"1E5", Refuse, "", NumberForm},
		{"1_000 ft", Refuse, "", NumberForm},
		{"1.2.3 ft", Refuse, "", NumberForm},
		{"10.5 1/2 in", Refuse, "", NumberForm},
		{"1/2/3 in", Refuse, "", NumberForm},
		{"26 ft?", Refuse, "", NumberForm},
		{"26 ft -", Refuse, "", NumberForm},
		{"26 * 2 ft", Refuse, "", NumberForm},
		{"1/0 in", Refuse, "", ZeroBelow},
		{"10' 2 1/0\"", Refuse, "", ZeroBelow},
		{"1234567890 ft", Refuse, "", NumberLong},
		{"0.1234567890 ft", Refuse, "", NumberLong},
		{"1.5/2 in", Refuse, "", NumberForm},
		{"26 ft (5 ft 2 m)", Refuse, "", UnitMixed},
		{"26 ft (5 ft 2)", Refuse, "", SidesDiffer},
		{"1/1234567 in", Refuse, "", NumberLong},
		{"5 parsecs", Refuse, "", UnitUnknown},
		{"26 ft away", Refuse, "", UnitUnknown},
		{"12 kHz", Refuse, "", UnitOther},
		{"26 ft (9 m)", Refuse, "", SidesDiffer},
		{"26 ft (7.92)", Refuse, "", UnitMissing},
		{"26 ft (7.92 m) (x)", Refuse, "", NumberForm},
		{"26 ft)", Refuse, "", NumberForm},
		{"10-4", Refuse, "", TwoNumbers},
	})
}

// The baseline is 10 ft; a tape laid out at 305 cm is 0.0656168 % too long.
func TestFootIsInternational(t *testing.T) {
	a := Read("305 cm", Want{Kind: Length}).Value
	b := Read("10 ft", Want{Kind: Length}).Value
	if b.Exact() != "3048000" {
		t.Errorf("10 ft is %s um, want 304.8 cm exactly", b.Exact())
	}
	ratio := new(big.Rat).Quo(a.Rat(), b.Rat())
	if got := ratio.FloatString(14); got != "1.00065616797900" {
		t.Errorf("305 cm is %s times 10 ft", got)
	}
}
