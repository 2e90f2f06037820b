package quantity_test

import (
	"testing"

	. "firstrod/engine/quantity"
)

func TestMessagesRefused(t *testing.T) {
	long := make([]byte, 4097)
	for i := range long {
		long[i] = '1'
	}
	for _, k := range []Kind{Length, Count, Text, Serial, Names, YesNo, Date, Frequencies} {
		checkReadings(t, Want{Kind: k, Unit: unitFor(k)}, []reading{
			{"", Refuse, "", Empty},
			{" \t\n", Refuse, "", Empty},
			{string(long), Refuse, "", TooLong},
			{"26 ft\xff", Refuse, "", NotUTF8},
			{"26\x00ft", Refuse, "", Hidden},
			{"26\x1b[31m ft", Refuse, "", Hidden},
			{"26\u202e ft", Refuse, "", Hidden},
			{"26\u200b ft", Refuse, "", Hidden},
		})
	}
}

func unitFor(k Kind) string {
	switch k {
	case Length:
		return "ft"
	case Frequencies:
		return "khz"
	default:
		return ""
	}
}

func TestLimits(t *testing.T) {
	hard := Want{Kind: Length, Unit: "ft", Min: limit(Length, 9_144_000), Max: limit(Length, 30_480_000)}
	checkReadings(t, hard, []reading{
		{"30 ft", Exact, "9144000", ""},
		{"100 ft", Exact, "30480000", ""},
		{"29 ft 11 7/8 in", Refuse, "", BelowMin},
		{"101 ft", Refuse, "", AboveMax},
		{"26", Refuse, "", UnitMissing}, // "26 what?" helps more than "too near"
		{"34", Ask, "10363200", UnitMissing},
		{"3,05 m", Refuse, "", BelowMin},
	})
	soft := hard
	soft.Soft = true
	checkReadings(t, soft, []reading{
		{"29 ft 11 7/8 in", Ask, "9140825", BelowMin},
		{"101 ft", Ask, "30784800", AboveMax},
		{"26", Ask, "7924800", UnitMissing},
		{"0 ft", Refuse, "", BelowMin}, // nobody can mean it, not even upon a yes
		{"0.0 in", Refuse, "", BelowMin},
	})
	list := soft
	list.Kind = Lengths
	checkReadings(t, list, []reading{{"31 ft, 0 ft", Refuse, "", BelowMin}})
	from := soft
	from.Min = limit(Length, 0)
	checkReadings(t, from, []reading{{"0 ft", Exact, "0", ""}})
	got := Read("26", soft).Reason.Args
	want := map[string]string{
		"number": "26", "unit": "ft", "also": "below_min",
		"value": "26 ft (7.92 m)", "limit": "30 ft (9.144 m)",
	}
	for k, v := range want {
		if got[k] != v {
			t.Errorf("args of a soft limit: %q is %q, want %q", k, got[k], v)
		}
	}
}

func TestLimitsInSpanish(t *testing.T) {
	w := Want{Kind: Length, Min: limit(Length, 9_144_000), Lang: "es"}
	if got := Read("26 pies", w).Reason.Args; got["value"] != "26 pies (7.92 m)" || got["limit"] != "30 pies (9.144 m)" {
		t.Errorf("args: %v", got)
	}
}

func TestQuestionsThatMakeNoSense(t *testing.T) {
	yes := OfYes(true)
	for name, w := range map[string]Want{
		"no kind":         {},
		"unknown kind":    {Kind: "colour"},
		"unit":            {Kind: Length, Unit: "khz"},
		"limit":           {Kind: Length, Min: limit(Frequency, 3)},
		"zero limit":      {Kind: Length, Max: &Value{}},
		"text limit":      {Kind: YesNo, Max: &yes},
		"no options":      {Kind: Choice},
		"time and place":  {Kind: Time},
		"limit of a list": {Kind: Frequencies, Min: limit(Length, 1)},
	} {
		if got := Read("26 ft", w); got.Outcome != Refuse || got.Reason.Code != BadQuestion {
			t.Errorf("%s: got %+v", name, got)
		}
	}
}
