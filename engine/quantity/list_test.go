package quantity_test

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	. "firstrod/engine/quantity"

	"pgregory.net/rapid"
)

func readings() Want { return Want{Kind: Lengths, Unit: "ft"} }

func pitches() Want { return Want{Kind: Pitches, Unit: "%", Min: limit(Percent, -1_000_000)} }

// items compares the record form of each item.
func items(t *testing.T, text string, w Want, outcome Outcome, code Code, want ...string) {
	t.Helper()
	got := Read(text, w)
	if got.Outcome != outcome || got.Reason.Code != code || !slices.Equal(got.Value.Items(), want) {
		t.Errorf("Read(%q) for %s: %d %v %q %v, want %d %v %q", text, w.Kind,
			got.Outcome, got.Value.Items(), got.Reason.Code, got.Reason.Args, outcome, want, code)
	}
}

func TestReadingsOfOneThing(t *testing.T) {
	w := readings()
	for _, text := range []string{
		"5 ft 1 in, 5 ft 1/2 in, 61 in", `5' 1", 5' 1/2", 61"`, `5' 1" 5' 1/2" 5' 1"`, "5 ft 1 in; 5 ft 0.5 in\n61 in",
		"5 pies 1 pulg, 5 pies 1/2 pulg y 5 pies 1 pulg", "1.5494 m, 1.5367 m, 1.5494 m", "61, 60.5, 61 in",
		"5 ft 1 in (1.55 m), 5 ft 1/2 in (1.537 m), 5 ft 1 in (1.55 m)",
	} {
		items(t, text, w, Exact, "", "1549400", "1536700", "1549400")
	}
	items(t, "5 ft", w, Exact, "", "1524000")
	items(t, "5 ft, 5 ft, 5 ft", w, Exact, "", "1524000", "1524000", "1524000") // the same twice is no slip
	items(t, "5 ft 1 in, 5 ft 0.5, 61 in", w, Ask, PartUnitMissing, "1549400", "1536700", "1549400")
	items(t, "5, 5, 5.1", w, Ask, UnitMissing, "1524000", "1524000", "1554480")
	items(t, "5,1, 5 ft", w, Refuse, CommaUnclear)
	items(t, "5 ft,, 5 ft", w, Refuse, ItemMissing)
	items(t, "5 ft, none", w, Refuse, NotANumber)
	items(t, "5 ft, -5 ft", w, Refuse, Negative)
	items(t, strings.Repeat("5 ft,", 20)+"5 ft", w, Refuse, TooMany)
	if got := Read("5, 5, 5.1", w); got.Reason.Args["number"] != "5, 5, 5.1" {
		t.Errorf("the unit that is asked for belongs to all of them: %v", got.Reason.Args)
	}
	if got := Read("9.5, 22", Want{Kind: Frequencies, Unit: "khz"}); got.Reason.Args["number"] != "9.5, 22" {
		t.Errorf("the unit that is asked for belongs to both frequencies: %v", got.Reason.Args)
	}
	over := w
	over.Max = limit(Length, 9_144_000)
	items(t, "5 ft, 31 ft", over, Refuse, AboveMax)
}

// Two lists in one message: a semicolon or a line end parts them. With commas
// alone each has one reading, or it is asked which belong to which.
func TestReadingsOfTwoThings(t *testing.T) {
	two := []Want{readings(), readings()}
	checkAll(t, "5 ft, 5 ft 1 in, 5 ft; 15 ft, 15 ft, 15 ft", two, exact("3"))
	checkAll(t, "5 ft, 5 ft\n15 ft, 15 ft, 15 ft", two, exact("2"), exact("3"))
	checkAll(t, `5' 0", 15' 0 1/2"`, two, exact("1"))
	checkAll(t, `5' 0" 15' 0 1/2"`, two, exact("1"))
	checkAll(t, "5 ft, 5 ft, 5 ft, 15 ft, 15 ft, 15 ft", two, ask("3", ListCut))
	got := ReadAll("5 ft, 5 ft 1 in, 15 ft, 15 ft", two)
	if !slices.Equal(got[0].Value.Items(), []string{"1524000", "1549400"}) || !slices.Equal(got[1].Value.Items(), []string{"4572000", "4572000"}) {
		t.Errorf("%v and %v", got[0].Value.Items(), got[1].Value.Items())
	}
	checkAll(t, "5 ft, 5 ft, 15 ft", two, refuse(PartCount))
	checkAll(t, "5 ft, 5 ft", []Want{readings(), {Kind: Names}}, refuse(PartCount)) // names have commas of their own
	log := []Want{length(), {Kind: Percent, Min: limit(Percent, -1_000_000)}, pitches(), length()}
	checkAll(t, "10 ft, -20 %, -20 -16 -12 %, 5 ft 2 in", log, exact("3048000"), exact("-200000"), exact("3"), exact("1574800"))
	checkAll(t, "10 ft; -20 %; -20, -16, -12 %; 5 ft 2 in", log, exact("3048000"), exact("-200000"), exact("3"), exact("1574800"))
}

// Angles by a second source: 10 degrees is 17.632698070846 %, 12 degrees
// 21.255656167002 % (derived, tangent table to 25 digits).
func TestPitches(t *testing.T) {
	w := pitches()
	for _, text := range []string{
		"-18 -17.5 -15 0 4 %", "-18, -17.5, -15, 0, 4 %", "-18 % -17.5 % -15 % 0 % +4 %", "−18; −17.5; −15; 0; 4 por ciento",
		"-18 -17.5 -15 0 and 4%", "-18 -17.5 -15 0 y 4 pct",
	} {
		items(t, text, w, Exact, "", "-180000", "-175000", "-150000", "0", "40000")
	}
	items(t, "-10 12 deg", w, Exact, "", "-176327", "212557")
	items(t, "-10° 12°", w, Exact, "", "-176327", "212557")
	items(t, "-10 12 grados", w, Exact, "", "-176327", "212557")
	items(t, "-10 deg, 4 %", w, Exact, "", "-176327", "40000")
	items(t, "0.05 %", w, Exact, "", "500")
	items(t, "-18 -17.5", w, Ask, UnitMissing, "-180000", "-175000")
	items(t, "-18 % -17.5", w, Refuse, UnitMissing)
	items(t, "-17,5 -15 %", w, Refuse, CommaUnclear)
	items(t, "-18 ft", w, Refuse, NotANumber)
	items(t, "-18ft", w, Refuse, UnitUnknown)
	items(t, "86 deg", w, Refuse, AboveMax)
	items(t, "- 18 %", w, Refuse, NotANumber)
	items(t, "1e3 %", w, Refuse, UnitUnknown)
	items(t, "-18 %", Want{Kind: Pitches}, Refuse, Negative)
	items(t, "18 % 0 % 18 %", Want{Kind: Pitches}, Exact, "", "180000", "0", "180000")
	items(t, "101 %", Want{Kind: Pitches, Max: limit(Percent, 1_000_000)}, Refuse, AboveMax)
	items(t, strings.Repeat("1 ", 201)+"%", w, Refuse, TooMany)
	if got := Read(strings.Repeat("1 ", 200)+"%", w); got.Outcome != Exact || len(got.Value.List()) != 200 {
		t.Errorf("200 rods: %+v", got.Reason)
	}
}

// A length below zero is read only where the question allows one.
func TestLengthsBelowZero(t *testing.T) {
	w := Want{Kind: Length, Unit: "ft", Min: limit(Length, -9_144_000)}
	checkReadings(t, w, []reading{
		{"-2 ft", Exact, "-609600", ""}, {"+2 ft", Exact, "609600", ""}, {"−2 ft 6 in", Exact, "-762000", ""},
		{"-31 ft", Refuse, "", BelowMin},
	})
}

// Whatever readings and pitches are shown come back as they were, item by item.
func TestPrintedListsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]Kind{Lengths, Pitches}).Draw(t, "kind")
		var list []Value
		for range rapid.IntRange(1, 20).Draw(t, "n") {
			if kind == Lengths {
				list = append(list, OfRat(Length, big.NewRat(rapid.Int64Range(0, 16*12*500).Draw(t, "sixteenths")*25_400, 16)))
				continue
			}
			list = append(list, Of(Percent, rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "ppm")))
		}
		v := OfList(kind, list...)
		lang := rapid.SampledFrom([]string{"en", "es"}).Draw(t, "lang")
		got := Read(PrintIn(v, lang, nil), Want{Kind: kind, Min: limit(list[0].Kind(), -1_000_000)})
		if got.Outcome != Exact || !got.Value.Equal(v) {
			t.Fatalf("%v shown as %q is read as %d %v %q", v.Items(), PrintIn(v, lang, nil), got.Outcome, got.Value.Items(), got.Reason.Code)
		}
	})
}

// However readings are cut into lists, none is lost, made up or moved over another.
func TestNoReadingIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		var typed, want []string
		for range n {
			v := Of(Length, rapid.Int64Range(1, 200).Draw(t, "inches")*25_400)
			typed, want = append(typed, Print(v)), append(want, v.Exact())
		}
		by := rapid.SampledFrom([]string{", ", "; ", "\n"}).Draw(t, "by")
		var got []string
		for _, r := range ReadAll(strings.Join(typed, by), []Want{readings(), readings()}) {
			if r.Outcome == Refuse && r.Reason.Code != PartCount {
				t.Fatalf("%q: %s", typed, r.Reason.Code)
			}
			got = append(got, r.Value.Items()...)
		}
		if len(got) > 0 && !slices.Equal(got, want) {
			t.Fatalf("%q by %q is read as %v, want %v", typed, by, got, want)
		}
	})
}
