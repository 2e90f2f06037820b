package quantity_test

import (
	"slices"
	"testing"
	"time"

	. "firstrod/engine/quantity"
)

// FuzzRead: no text panics; a refusal has a listed code and no value; anything
// else has a value of the kind that survives its record form; an Ask has a
// listed code; and what is shown for an exact length reads back to the same
// side of a limit.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		`10' 2 1/2"`, "10 ft 2.5 in", "3,05 m", "3,050", "10'-2-1/2\"", "26 ft (7.92 m)", "moved the vac, 34 ft", "26 (", "(,1",
		"9.5 and 22 kHz", "-18 -17.5 -15 %", "-10° 12 deg", "5 ft 1 in, 5 ft 0.5, 61 in; 15 ft", "12k5", "9,5 kHz y 22 kHz", "85 por ciento", "-3 dB", "1 h 30 min", "1/0 in", "0x10", "1e999999999",
		"2026-11-30 19:30", "Nov 30, 7 pm", "11/30", "mañana a las 7", "1930", "29 feb", "12 de la noche", "25:00", "0000-00-00",
		"sí", "ok", "10-4", "clay", "rx 204", "Ana, Luis y Bo", "none", "yes y no", "all yes", `5' 0" 15' 1"`, "26, 34 ft",
		"", "\x00", "\xff", "½½", "'''", "''", ".", ",", "-", "1.", ".1", "y", "and and", "\u0301", "1'\u0301", "K", "ſ", "İ",
		"999999999 m", "999999999 yd 2 ft 11.999999999 in", "0.000000001 mm", "1/999999 in", "30 ft (9.144 m)", "29.999999999 ft",
	} {
		for n := range uint8(17) {
			f.Add(seed, n)
		}
	}
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		f.Fatal(err)
	}
	edge := Of(Length, 9_144_000)
	f.Fuzz(func(t *testing.T, text string, n uint8) {
		w := wants(zone)[int(n)%17]
		got := Read(text, w)
		checkReading(t, text, w, got)
		for _, ws := range [][]Want{{w, w}, {w, w, w}, {w, {Kind: Text}}, {w, {Kind: YesNo}}} {
			all := ReadAll(text, ws)
			if len(all) != len(ws) {
				t.Fatalf("%d readings for %d wants of %q", len(all), len(ws), text)
			}
			for i, r := range all {
				checkReading(t, text, ws[i], r)
			}
		}
		// Further than a tenth of the way round the earth has more digits of
		// feet than are read.
		if got.Outcome == Exact && w.Kind == Length && got.Value.Base() < 4_000_000_000_000 {
			again := Read(Print(got.Value, edge), w)
			if got.Value.Rat().IsInt() && again.Outcome != Exact {
				t.Fatalf("%q: shown as %q, which is not read: %+v", text, Print(got.Value, edge), again)
			}
			if again.Outcome == Exact && again.Value.Rat().Cmp(edge.Rat()) != got.Value.Rat().Cmp(edge.Rat()) {
				t.Fatalf("%q: shown as %q, which is across the limit", text, Print(got.Value, edge))
			}
		}
	})
}

// wants is one question of each kind.
func wants(zone *time.Location) []Want {
	now := time.Unix(1_795_000_000, 0)
	low := Of(Percent, -100_000)
	return []Want{
		{Kind: Length, Unit: "ft"}, {Kind: Frequency, Unit: "khz"}, {Kind: Voltage, Unit: "v"}, {Kind: Duration, Unit: "h"},
		{Kind: Percent, Min: &low, Soft: true}, {Kind: Decibel}, {Kind: Count}, {Kind: Date, Zone: zone, Now: now},
		{Kind: Time, Zone: zone, Now: now}, {Kind: YesNo}, {Kind: Choice, Options: []Option{{ID: "clay", Words: []string{"arcilla"}}}},
		{Kind: Text}, {Kind: Serial}, {Kind: Frequencies, Unit: "khz"}, {Kind: Names},
		{Kind: Lengths, Unit: "ft"}, {Kind: Pitches, Min: &low, Soft: true},
	}
}

func checkReading(t *testing.T, text string, w Want, r Reading) {
	t.Helper()
	switch known := slices.Contains(Codes(), r.Reason.Code); {
	case r.Outcome == Refuse && (!known || r.Value.Valid()):
		t.Fatalf("%q for %s: a refusal without a code or with a value: %+v", text, w.Kind, r)
	case r.Outcome == Refuse:
		return
	case r.Outcome == Ask && !known, r.Outcome == Exact && r.Reason.Code != "":
		t.Fatalf("%q for %s: code %q with outcome %d", text, w.Kind, r.Reason.Code, r.Outcome)
	case r.Value.Kind() != w.Kind:
		t.Fatalf("%q for %s: value of kind %q", text, w.Kind, r.Value.Kind())
	}
	back, err := Parse(r.Value.Kind(), r.Value.Exact(), r.Value.Items())
	if err != nil || !back.Equal(r.Value) {
		t.Fatalf("%q for %s: record form %q %v does not come back: %v", text, w.Kind, r.Value.Exact(), r.Value.Items(), err)
	}
}

// FuzzParse: the strict readers take a text only as the one spelling of its
// value, and neither panics nor hangs on any other.
func FuzzParse(f *testing.F) {
	kinds := []Kind{Length, Count, Date, Time, YesNo, Choice, Text, Serial, Percent, Frequencies, Names, Lengths, Pitches}
	for _, seed := range []string{
		"3175/2", "-63500", "1e999999999", "0x1p-9", "1/0", "", "yes", "RX1", "Otter Run", "30 ft", "-1.5 %", "2026-11-30", "none", "9.5 kHz, 22 kHz",
	} {
		for n := range kinds {
			f.Add(seed, uint8(n))
		}
	}
	f.Fuzz(func(t *testing.T, text string, n uint8) {
		k := kinds[int(n)%len(kinds)]
		v, err := Parse(k, text, nil)
		if (err == nil) != v.Valid() || (err == nil && v.Exact() != text) {
			t.Fatalf("Parse(%s, %q): %v, %q", k, text, err, v.Exact())
		}
		h, err := ParseHuman(k, text)
		if (err == nil) != h.Valid() || (err == nil && h.Kind() != k) {
			t.Fatalf("ParseHuman(%s, %q): %v, %q", k, text, err, h.Exact())
		}
	})
}
