package quantity_test

import (
	"testing"

	. "firstrod/engine/quantity"
)

func length() Want { return Want{Kind: Length, Unit: "ft"} }
func yesno() Want  { return Want{Kind: YesNo} }

// checkAll compares outcome, record form and code of each reading.
func checkAll(t *testing.T, text string, ws []Want, want ...reading) {
	t.Helper()
	got := ReadAll(text, ws)
	if len(got) != len(ws) {
		t.Fatalf("ReadAll(%q): %d readings for %d wants", text, len(got), len(ws))
	}
	if len(want) == 1 {
		for len(want) < len(ws) {
			want = append(want, want[0])
		}
	}
	for i, w := range want {
		g := got[i]
		if g.Outcome != w.outcome || g.Value.Exact() != w.exact || g.Reason.Code != w.code {
			t.Errorf("ReadAll(%q)[%d]: got %d %q %q %v, want %d %q %q", text, i,
				g.Outcome, g.Value.Exact(), g.Reason.Code, g.Reason.Args, w.outcome, w.exact, w.code)
		}
	}
}

func exact(s string) reading          { return reading{outcome: Exact, exact: s} }
func ask(s string, code Code) reading { return reading{outcome: Ask, exact: s, code: code} }
func refuse(code Code) reading        { return reading{code: code} }

func TestLengthsTogether(t *testing.T) {
	two := []Want{length(), length()}
	for _, text := range []string{
		`4' 9 1/2", 14' 9 1/2"`, `4' 9 1/2" and 14' 9 1/2"`, `4' 9 1/2" y 14' 9 1/2"`, "4' 9½\"\n14' 9½\"",
		`4' 9 1/2" 14' 9 1/2"`, `4 ft 9 1/2 in; 14 ft 9 1/2 in`, `4 ft 9.5 in / 14 ft 9.5 in`, "4 pies 9 1/2 pulg 14 pies 9 1/2 pulg",
		"57.5 in 177.5 in", "4' 9 1/2\", 14' 9 1/2\",",
	} {
		checkAll(t, text, two, exact("1460500"), exact("4508500"))
	}
	checkAll(t, "5 ft 0 in, 15 ft 1", two, exact("1524000"), ask("4597400", PartUnitMissing))
	checkAll(t, `5' 0" 15' 1"`, two, exact("1524000"), exact("4597400"))
	checkAll(t, `5' 15' 1"`, two, exact("1524000"), exact("4597400"))
	checkAll(t, "3,05 m, 4,57 m", two, ask("3050000", CommaDecimal), ask("4570000", CommaDecimal))
	checkAll(t, "26, 34 ft", two, ask("7924800", UnitMissing), exact("10363200"))
	checkAll(t, "26, 34 m", two, ask("26000000", UnitMissing), exact("34000000"))
	checkAll(t, "5 ft, minus", two, exact("1524000"), refuse(NotANumber))
	checkAll(t, "4' 9 1/2\", 14' 9 1/2\", 10'", []Want{length(), length(), length()},
		exact("1460500"), exact("4508500"), exact("3048000"))

	for _, text := range []string{
		"3,05 m", "5 ft 2 in", "26", "26 34", `5' 2 15' 1"`, "5 ft, 15 ft, 25 ft", "", "5 ft,,15 ft",
	} {
		for i, g := range ReadAll(text, two) {
			if g.Outcome != Refuse || (g.Reason.Code != PartCount && g.Reason.Code != Empty) || g.Value.Valid() {
				t.Errorf("ReadAll(%q)[%d] must refuse the count: got %+v", text, i, g)
			}
		}
	}
	args := ReadAll("5 ft, 15 ft, 25 ft", two)[0].Reason.Args
	if args["wanted"] != "2" || args["seen"] != "3" {
		t.Errorf("count args: %v", args)
	}
}

func TestOtherValuesTogether(t *testing.T) {
	date := at(t, Date, "2026-11-24 08:00")
	checkAll(t, "OTR-1, 2026-11-20, 2026-12-05", []Want{{Kind: Text}, date, date},
		exact("OTR-1"), exact("20777"), exact("20792"))
	checkAll(t, "Nov 20, 2026; Dec 5, 2026", []Want{date, date}, exact("20777"), exact("20792"))
	checkAll(t, "Nov 20, 2026, Dec 5, 2026", []Want{date, date}, refuse(PartCount))
	three := []Want{{Kind: Decibel}, {Kind: Decibel}, {Kind: Decibel}}
	checkAll(t, "72 71 75", three, exact("72000"), exact("71000"), exact("75000"))
	checkAll(t, "72, 71 y 75 dB", three, exact("72000"), exact("71000"), exact("75000"))
	checkAll(t, "72 71", three, refuse(PartCount))
	khz := Want{Kind: Frequency, Unit: "khz"}
	checkAll(t, "9.5k 22k", []Want{khz, khz}, exact("9500"), exact("22000"))
	checkAll(t, "26 ft, yes", []Want{length(), yesno()}, exact("7924800"), exact("yes"))
	checkAll(t, "26 ft, y", []Want{length(), yesno()}, exact("7924800"), exact("yes"))
	checkAll(t, "sí y 26 pies", []Want{yesno(), length()}, exact("yes"), exact("7924800"))
	list := []Want{{Kind: Names}, length()}
	checkAll(t, "Ana, Luis; 26 ft", list, exact("2"), exact("7924800"))
	checkAll(t, "Ana, 26 ft", list, refuse(PartCount)) // Ana and what else
	if got := ReadAll("26 ft", nil); got != nil {
		t.Errorf("nothing wanted: %v", got)
	}
	checkAll(t, "10 ft, 2 in", []Want{length()}, exact("3098800"))
}

func TestYesNoTogether(t *testing.T) {
	two, three := []Want{yesno(), yesno()}, []Want{yesno(), yesno(), yesno()}
	yes, no := exact("yes"), exact("no")
	for _, text := range []string{"yes yes no", "y y n", "y, y, n", "y/y/n", "s s n", "sí, sí y no", "yes, yes and no", "Yes. Yes. No."} {
		checkAll(t, text, three, yes, yes, no)
	}
	checkAll(t, "sí y no", two, yes, no)
	checkAll(t, "sí y no", three, refuse(PartCount)) // the y is no yes here
	checkAll(t, "s y n", two, yes, no)
	checkAll(t, "yes ok", two, yes, ask("yes", OkUnclear))
	checkAll(t, "yes 10-4", two, yes, refuse(NotYesNo))
	for _, text := range []string{"all yes", "todo sí", "TODO SI", "yes to all"} {
		checkAll(t, text, three, yes)
	}
	for _, text := range []string{"all no", "todo no"} {
		checkAll(t, text, three, no)
	}
	checkAll(t, "no todo", three, refuse(PartCount)) // "not all"
	checkAll(t, "not all", three, refuse(PartCount))
	for _, text := range []string{"yes", "sí", "y", "no", "ok"} {
		checkAll(t, text, two, refuse(OneForMany))
	}
	checkAll(t, "yes no", three, refuse(PartCount))
	checkAll(t, "all yes", []Want{yesno(), length()}, refuse(PartCount))
}
