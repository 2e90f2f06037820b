package quantity_test

import (
	"math/big"
	"testing"
	"time"

	. "firstrod/engine/quantity"
)

func TestPrint(t *testing.T) {
	ft30 := Of(Length, 9_144_000)
	for _, c := range []struct {
		v      Value
		limits []Value
		en, es string
	}{
		{Of(Length, 7_924_800), nil, "26 ft (7.92 m)", "26 pies (7.92 m)"},
		{Of(Length, 10_363_200), nil, "34 ft (10.36 m)", "34 pies (10.36 m)"},
		{Of(Length, 1_460_500), nil, "4 ft 9 1/2 in (1.461 m)", "4 pies 9 1/2 pulg (1.461 m)"},
		{Of(Length, 4_508_500), nil, "14 ft 9 1/2 in (4.509 m)", "14 pies 9 1/2 pulg (4.509 m)"},
		{Of(Length, 304_800), nil, "1 ft (0.30 m)", "1 pie (0.30 m)"},
		{Of(Length, 25_400), nil, "1 in (2.5 cm)", "1 pulg (2.5 cm)"},
		{Of(Length, -63_500), nil, "-2 1/2 in (-6.4 cm)", "-2 1/2 pulg (-6.4 cm)"},
		{Of(Length, -1_536_700), nil, "-5 ft 1/2 in (-1.537 m)", "-5 pies 1/2 pulg (-1.537 m)"},
		{Of(Length, 0), nil, "0 ft (0.0 cm)", "0 pies (0.0 cm)"},
		{Of(Length, 9_140_825), []Value{ft30}, "29 ft 11 7/8 in (9.141 m)", "29 pies 11 7/8 pulg (9.141 m)"},
		{Of(Length, 9_143_500), nil, "30 ft (9.14 m)", "30 pies (9.14 m)"},
		{Of(Length, 9_143_500), []Value{ft30}, "29 ft 11 31/32 in (9.1435 m)", ""},
		{Of(Length, 9_143_999), []Value{ft30}, "29 ft 11.99996 in (9.143999 m)", ""},
		{Of(Length, 9_144_001), []Value{ft30}, "30 ft 0.00004 in (9.144001 m)", ""},
		{ft30, []Value{ft30}, "30 ft (9.144 m)", "30 pies (9.144 m)"},
		{Of(Length, 3_050_000), []Value{Of(Length, 3_048_000)}, "10 ft 1/16 in (3.050 m)", ""},
		{Of(Length, 1), nil, "0.00004 in (0.0001 cm)", ""}, // never nothing
		{OfRat(Length, big.NewRat(25_400, 3)), []Value{OfRat(Length, big.NewRat(25_400, 3))}, "1/3 in (127/150 cm)", ""},
		{Of(Frequency, 9_500), nil, "9.5 kHz", "9.5 kHz"},
		{Of(Frequency, 50), nil, "50 Hz", "50 Hz"},
		{Of(Voltage, 50_000_000), nil, "50 kV", "50 kV"},
		{Of(Voltage, 3_600), nil, "3.6 V", "3.6 V"},
		{Of(Percent, 850_000), nil, "85 %", "85 %"},
		{Of(Percent, -15_000), nil, "-1.5 %", "-1.5 %"},
		{OfRat(Percent, big.NewRat(50_000, 3)), nil, "1.667 %", "1.667 %"},
		{OfRat(Percent, big.NewRat(29_999_999, 1500)), []Value{Of(Percent, 20_000)}, "1.9999999 %", ""},
		{Of(Decibel, -12_100), nil, "-12.1 dB", "-12.1 dB"},
		{Of(Count, 3), nil, "3", "3"},
		{Of(Duration, 43_200), nil, "12 h", "12 h"},
		{Of(Duration, 86_400), nil, "24 h", "24 h"},
		{Of(Duration, 1_209_600), nil, "14 d", "14 d"},
		{Of(Duration, 5_400), nil, "1 h 30 min", "1 h 30 min"},
		{Of(Duration, 90), nil, "1 min 30 s", "1 min 30 s"},
		{Of(Duration, 3_605), nil, "1 h 5 s", "1 h 5 s"},
		{Of(Duration, 0), nil, "0 min", "0 min"},
		{Of(Date, 20_787), nil, "2026-11-30", "2026-11-30"},
		{OfYes(true), nil, "yes", "sí"},
		{OfYes(false), nil, "no", "no"},
		{OfText(Text, "Otter Run"), nil, "Otter Run", "Otter Run"},
		{OfList(Names), nil, "none", "ninguno"},
		{OfList(Names, OfText(Text, "Ana"), OfText(Text, "Luis")), nil, "Ana, Luis", "Ana, Luis"},
		{OfList(Frequencies, Of(Frequency, 9_500), Of(Frequency, 22_000)), nil, "9.5 kHz, 22 kHz", "9.5 kHz, 22 kHz"},
		{Value{}, nil, "", ""},
	} {
		if got := Print(c.v, c.limits...); got != c.en {
			t.Errorf("Print(%s %s): got %q, want %q", c.v.Kind(), c.v.Exact(), got, c.en)
		}
		if got := PrintIn(c.v, "es", nil, c.limits...); c.es != "" && got != c.es {
			t.Errorf("PrintIn(%s %s, es): got %q, want %q", c.v.Kind(), c.v.Exact(), got, c.es)
		}
	}
}

func TestPrintTime(t *testing.T) {
	w := at(t, Time, "2026-11-24 19:30")
	v := Of(Time, w.Now.Unix())
	if got := PrintIn(v, "en", w.Zone); got != "2026-11-24 19:30" {
		t.Errorf("in the zone of the site: %q", got)
	}
	if got := Print(v); got != "2026-11-25 01:30 UTC" {
		t.Errorf("without a zone: %q", got)
	}
	back := time.Date(2026, 11, 1, 7, 30, 0, 0, time.UTC) // 01:30 CST, the second
	if got := PrintIn(Of(Time, back.Unix()), "es", w.Zone); got != "2026-11-01 01:30 CST" {
		t.Errorf("an hour that comes twice: %q", got)
	}
}

func TestParseHuman(t *testing.T) {
	for _, c := range []struct {
		kind        Kind
		text, exact string
	}{
		{Length, "30 ft", "9144000"}, {Length, "0.5 in", "12700"}, {Length, "304.8 cm", "3048000"}, {Length, "-2.5 in", "-63500"},
		{Decibel, "12.1 dB", "12100"}, {Decibel, "-3 dB", "-3000"}, {Percent, "5 %", "50000"}, {Percent, "350 ppm", "350"},
		{Duration, "12 h", "43200"}, {Duration, "14 d", "1209600"}, {Voltage, "50 kV", "50000000"}, {Voltage, "3.6 V", "3600"},
		{Voltage, "0.0001 mV", "1/10000"}, {Frequency, "9.5 kHz", "9500"}, {Count, "3", "3"}, {Count, "-3", "-3"},
		{Date, "2026-11-30", "20787"}, {Time, "1970-01-02T00:00:00-06:00", "108000"}, {Date, "1969-12-31", "-1"},
		{YesNo, "yes", "yes"}, {Text, "Otter Run", "Otter Run"}, {Serial, "RX1", "RX1"}, {Choice, "clay", "clay"},
		{Frequencies, "9.5 kHz, 22 kHz", "2"}, {Names, "none", "0"}, {Names, "Ana, Luis", "2"},
	} {
		v, err := ParseHuman(c.kind, c.text)
		if err != nil || v.Kind() != c.kind || v.Exact() != c.exact {
			t.Errorf("ParseHuman(%s, %q): %v %q, want %q", c.kind, c.text, err, v.Exact(), c.exact)
		}
	}
	for _, c := range []struct {
		kind Kind
		text string
	}{
		{Length, "30"}, {Length, "30ft"}, {Length, "30  ft"}, {Length, "30 feet"}, {Length, "30 FT"}, {Length, "30 '"},
		{Length, "3,05 m"}, {Length, "1e3 ft"}, {Length, "+3 ft"}, {Length, "--3 ft"}, {Length, ".5 in"}, {Length, "5. in"},
		{Length, "1/2 in"}, {Length, "10 ft 2 in"}, {Length, "1.2.3 in"}, {Length, "0x1 ft"}, {Length, ""}, {Length, " 3 ft"},
		{Length, "3 ft "}, {Length, "1234567890 ft"}, {Length, "3 kHz"}, {Voltage, "3 MV"}, {Count, "3.5"}, {Count, "3 "},
		{Count, "3 ft"}, {Percent, "5"}, {Date, "11/30/2026"}, {Date, "2026-02-30"}, {Time, "19:30"}, {YesNo, "sí"},
		{Time, "2026-11-30T19:30:00.5Z"}, {Serial, "rx1"}, {Frequencies, "9.5, 22 kHz"}, {Frequencies, "9.5 kHz, 9.5 kHz"},
		{Frequencies, "9.5 kHz,22 kHz"}, {Names, ""}, {"colour", "red"},
	} {
		if v, err := ParseHuman(c.kind, c.text); err == nil || v.Valid() {
			t.Errorf("ParseHuman(%s, %q) must refuse: got %q", c.kind, c.text, v.Exact())
		}
	}
}
