package quantity_test

import (
	"slices"
	"testing"

	. "firstrod/engine/quantity"
)

func TestFrequency(t *testing.T) {
	checkReadings(t, Want{Kind: Frequency, Unit: "khz"}, []reading{
		{"12 k", Exact, "12000", ""},
		{"12k", Exact, "12000", ""},
		{"12 K", Exact, "12000", ""},
		{"12 kilo", Exact, "12000", ""},
		{"12.5 kHz", Exact, "12500", ""},
		{"12.5 KHZ", Exact, "12500", ""},
		{"12500 Hz", Exact, "12500", ""},
		{"22 kilohercios", Exact, "22000", ""},
		{"12,5 kHz", Ask, "12500", CommaDecimal},
		{"12", Ask, "12000", UnitMissing},
		{"9.5", Ask, "9500", UnitMissing},
		{"12k5", Refuse, "", UnitMiddle},
		{"12 kHz 5 Hz", Refuse, "", UnitMixed},
		{"12 kHz 5 kHz", Refuse, "", UnitTwice},
		{"12,500 Hz", Refuse, "", CommaUnclear},
		{"-12 kHz", Refuse, "", Negative},
		{"12 MHz", Refuse, "", UnitUnknown},
		{"12 ft", Refuse, "", UnitOther},
		{"kHz", Refuse, "", NumberMissing},
	})
}

func TestFrequencies(t *testing.T) {
	w := Want{Kind: Frequencies, Unit: "khz"}
	for _, c := range []struct {
		text    string
		outcome Outcome
		items   []string
		code    Code
	}{
		{"9.5 and 22 kHz", Exact, []string{"9500", "22000"}, ""},
		{"9.5k, 22k", Exact, []string{"9500", "22000"}, ""},
		{"9.5k,22k", Exact, []string{"9500", "22000"}, ""},
		{"9.5 kHz y 22 kHz", Exact, []string{"9500", "22000"}, ""},
		{"9.5, 22, and 33 kHz", Exact, []string{"9500", "22000", "33000"}, ""},
		{"22 kHz; 9500 Hz", Exact, []string{"22000", "9500"}, ""},
		{"9.5 KHZ Y 22 KHZ", Exact, []string{"9500", "22000"}, ""},
		{"12 kHz", Exact, []string{"12000"}, ""},
		{"9,5 kHz y 22 kHz", Ask, []string{"9500", "22000"}, CommaDecimal},
		{"9.5, 22", Ask, []string{"9500", "22000"}, UnitMissing},
		{"9.5k, 22", Ask, []string{"9500", "22000"}, UnitMissing},
		{"9,22 kHz", Refuse, nil, CommaUnclear},
		{"12,5 kHz", Refuse, nil, CommaUnclear},
		{"9.5k, 9500 Hz", Refuse, nil, Duplicate},
		{"9.5k, , 22k", Refuse, nil, ItemMissing},
		{"9.5k 22k", Refuse, nil, UnitTwice},
		{"none", Refuse, nil, NotANumber},
		{"1k,2k,3k,4k,5k,6k,7k,8k,9k,10k,11k,12k,13k,14k,15k,16k,17k,18k,19k,20k,21k", Refuse, nil, TooMany},
	} {
		got := Read(c.text, w)
		if got.Outcome != c.outcome || !slices.Equal(got.Value.Items(), c.items) || got.Reason.Code != c.code {
			t.Errorf("Read(%q): got %d %v %q %v", c.text, got.Outcome, got.Value.Items(), got.Reason.Code, got.Reason.Args)
		}
	}
	w.Max = limit(Frequency, 20_000)
	if got := Read("9.5k, 22k", w); got.Reason.Code != AboveMax || got.Reason.Args["value"] != "22 kHz" {
		t.Errorf("a limit holds for each item: got %+v", got)
	}
}

func TestVoltage(t *testing.T) {
	checkReadings(t, Want{Kind: Voltage, Unit: "v"}, []reading{
		{"3.6 V", Exact, "3600", ""},
		{"50 kV", Exact, "50000000", ""},
		{"345kv", Exact, "345000000", ""},
		{"1000 kV", Exact, "1000000000", ""},
		{"3600 mV", Exact, "3600", ""},
		{"3600 milivoltios", Exact, "3600", ""},
		{"3600 MV", Refuse, "", UnitUnknown}, // mega or milli: a thousand million times
		{"3600 mv", Refuse, "", UnitUnknown},
		{"120 voltios", Exact, "120000", ""},
		{"3.6", Ask, "3600", UnitMissing},
		{"3,6 V", Ask, "3600", CommaDecimal},
		{"-50 kV", Refuse, "", Negative},
	})
}

func TestDuration(t *testing.T) {
	checkReadings(t, Want{Kind: Duration, Unit: "h"}, []reading{
		{"10 h", Exact, "36000", ""},
		{"10 hours", Exact, "36000", ""},
		{"10 horas", Exact, "36000", ""},
		{"1½ h", Exact, "5400", ""},
		{"90 min", Exact, "5400", ""},
		{"1 h 30 min", Exact, "5400", ""},
		{"1 hora y 30 minutos", Exact, "5400", ""},
		{"2 días", Exact, "172800", ""},
		{"1h30", Ask, "5400", PartUnitMissing},
		{"1 h 90 min", Ask, "9000", PartOver},
		{"10", Ask, "36000", UnitMissing},
		{"1:30", Refuse, "", NumberForm},
		{"90 m", Refuse, "", UnitOther},
		{"30 min 1 h", Refuse, "", UnitOrder},
	})
}

func TestKindsWithOneUnit(t *testing.T) {
	checkReadings(t, Want{Kind: Percent, Unit: "%"}, []reading{
		{"85 %", Exact, "850000", ""},
		{"85%", Exact, "850000", ""},
		{"85 pct", Exact, "850000", ""},
		{"85 por ciento", Exact, "850000", ""},
		{"85", Exact, "850000", ""},
		{"0.5", Exact, "5000", ""},
		{"85,5 %", Ask, "855000", CommaDecimal},
		{"-1 %", Refuse, "", Negative},
	})
	// Where no limit lies below zero, "-1" is no value to ask about either.
	checkReadings(t, Want{Kind: Percent, Min: limit(Percent, 0), Soft: true}, []reading{{"-1 %", Refuse, "", Negative}})
	checkReadings(t, Want{Kind: Percent, Min: limit(Percent, -1_000_000)}, []reading{
		{"-1.5 %", Exact, "-15000", ""},
		{"−1.5", Exact, "-15000", ""},
		{"+1.5 %", Exact, "15000", ""},
		{"-150 %", Refuse, "", BelowMin},
	})
	checkReadings(t, Want{Kind: Decibel, Min: limit(Decibel, -200_000)}, []reading{
		{"72", Exact, "72000", ""},
		{"72 dB", Exact, "72000", ""},
		{"72 decibelios", Exact, "72000", ""},
		{"-3 dB", Exact, "-3000", ""},
		{"--3 dB", Refuse, "", NotANumber},
		{"72 71", Refuse, "", TwoNumbers},
	})
	checkReadings(t, Want{Kind: Count}, []reading{
		{"3", Exact, "3", ""},
		{"003", Exact, "3", ""},
		{"3.0", Exact, "3", ""},
		{"3.5", Refuse, "", NotWhole},
		{"-3", Refuse, "", Negative},
		{"1,000", Refuse, "", CommaUnclear},
		{"three", Refuse, "", NotANumber},
		{"3 ft", Refuse, "", UnitOther},
		{"10-4", Refuse, "", TwoNumbers},
	})
}
