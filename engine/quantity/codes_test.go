package quantity_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"

	. "firstrod/engine/quantity"
)

// Each code can come out of something typed, so that no words are written for
// nothing.
func TestEveryCodeIsReachable(t *testing.T) {
	feet, when := Want{Kind: Length, Unit: "ft"}, at(t, Time, "2026-10-31 15:00")
	day := Want{Kind: Date, Zone: when.Zone, Now: when.Now}
	low, count := limit(Length, 9_144_000), Want{Kind: Count}
	freqs, freq := Want{Kind: Frequencies, Unit: "khz"}, Want{Kind: Frequency, Unit: "khz"}
	choice := Want{Kind: Choice, Options: []Option{{ID: "sand"}, {ID: "sandstone"}}}
	names, serial, text := Want{Kind: Names}, Want{Kind: Serial}, Want{Kind: Text}
	type source struct {
		text string
		want Want
	}
	sources := map[Code]source{
		Empty: {" ", feet}, TooLong: {strings.Repeat("x", 5000), feet}, NotUTF8: {"\xff", feet}, Hidden: {"\x00", feet},
		BadQuestion: {"1", Want{}}, NotANumber: {"NaN", feet}, NumberMissing: {"ft", feet}, NumberForm: {"1e5", feet},
		NumberLong: {"1234567890 ft", feet}, Negative: {"-5 ft", feet}, NotWhole: {"3.5", count}, ZeroBelow: {"1/0 in", feet},
		CommaUnclear: {"3,050", feet}, CommaDecimal: {"3,05 m", feet}, FractionOver: {"21/2 in", feet}, TwoNumbers: {"10-2", feet},
		WordsAround: {"moved it, 34 ft", feet}, UnitMissing: {"26", feet}, UnitUnknown: {"5 rods", feet}, UnitOther: {"5 kHz", feet},
		UnitMiddle: {"12k5", freq}, UnitOrder: {"2 in 10 ft", feet}, UnitTwice: {"2 ft 3 ft", feet}, UnitMixed: {"2 ft 3 cm", feet},
		PartUnitMissing: {"10 ft 2", feet}, PartOver: {"10 ft 14 in", feet}, PartFraction: {"10.5 ft 3 in", feet},
		SidesDiffer: {"26 ft (9 m)", feet}, BelowMin: {"26 ft", Want{Kind: Length, Min: low}}, AboveMax: {"34 ft", Want{Kind: Length, Max: low}},
		NotADate: {"soon", day}, NoSuchDay: {"Nov 31", day}, YearFar: {"0206-11-30", day}, YearAssumed: {"Mar 3", day}, DayMonth: {"11/05", day},
		NotATime: {"later", when}, HalfDay: {"7:30", when}, CompactTime: {"1930", when}, Midnight: {"Nov 30 midnight", when},
		NoSuchTime: {"2026-03-08 02:30", when}, TwiceThatDay: {"01:30", when}, NotYesNo: {"10-4", yesno()}, OkUnclear: {"ok", yesno()},
		NoSuchChoice: {"rock", choice}, ChoiceUnclear: {"san", choice}, SerialSigns: {"#", serial}, SerialLength: {strings.Repeat("9", 41), serial},
		TextLength: {strings.Repeat("x", 201), text}, TextSigns: {"\U0003FFFE", text}, NameLength: {strings.Repeat("x", 61), names},
		Duplicate: {"9.5k, 9.5k", freqs}, TooMany: {strings.Repeat("a,", 21) + "a", names}, ItemMissing: {"a,,b", names}, NamesWanted: {"yes", names},
	}
	for _, code := range Codes() {
		s, ok := sources[code]
		if got := Read(s.text, s.want).Reason.Code; ok && got != code {
			t.Errorf("%q gives %q, want %q", s.text, got, code)
		}
		if several := code == PartCount || code == OneForMany || code == ListCut; ok == several {
			t.Errorf("%q: in the table %v", code, ok)
		}
	}
	checkAll(t, "yes", []Want{yesno(), yesno()}, refuse(OneForMany))
	checkAll(t, "yes yes yes", []Want{yesno(), yesno()}, refuse(PartCount))
}

// Every constant of codes.go is in Codes, so that the bot's words for them can
// be checked to be complete.
func TestCodesAreComplete(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	listed := map[Code]bool{}
	for _, c := range Codes() {
		if listed[c] {
			t.Errorf("%q is listed twice", c)
		}
		listed[c] = true
	}
	declared := 0
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		for i, v := range spec.Values {
			text, err := strconv.Unquote(v.(*ast.BasicLit).Value)
			if err != nil || !listed[Code(text)] {
				t.Errorf("%s is not listed", spec.Names[i].Name)
			}
			declared++
		}
		return true
	})
	if declared != len(listed) {
		t.Errorf("%d declared, %d listed", declared, len(listed))
	}
}
