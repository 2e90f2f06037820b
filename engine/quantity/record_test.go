package quantity_test

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	. "firstrod/engine/quantity"
)

func TestUnits(t *testing.T) {
	for k, unit := range map[Kind]string{
		Length: "um", Frequency: "hz", Voltage: "mv", Duration: "s", Percent: "ppm", Decibel: "mdb",
		Date: "day", Time: "s", Count: "", YesNo: "", Choice: "", Text: "", Serial: "", Frequencies: "", Names: "", Lengths: "", Pitches: "",
	} {
		if k.Unit() != unit {
			t.Errorf("%s is in %q, want %q", k, k.Unit(), unit)
		}
		if want := unit != "" || k == Count; k.Numeric() != want {
			t.Errorf("%s numeric: %v", k, k.Numeric())
		}
	}
}

func TestValues(t *testing.T) {
	half := OfRat(Length, big.NewRat(3175, 2))
	if half.Exact() != "3175/2" || half.Base() != 1587 || OfRat(Length, big.NewRat(-3175, 2)).Base() != -1587 {
		t.Errorf("half a micrometre: %s, %d", half.Exact(), half.Base())
	}
	half.Rat().SetInt64(7)
	if half.Exact() != "3175/2" {
		t.Error("Rat must give a copy")
	}
	list := OfList(Names, OfText(Text, "Ana"), OfText(Text, "Luis"))
	list.List()[0] = OfText(Text, "Eva")
	if !slices.Equal(list.Items(), []string{"Ana", "Luis"}) {
		t.Error("List must give a copy")
	}
	for name, v := range map[string]Value{
		"zero":              {},
		"number of a text":  Of(Text, 1),
		"text of a length":  OfText(Length, "1"),
		"no list":           OfList(Length),
		"wrong item":        OfList(Frequencies, Of(Length, 1)),
		"zero item":         OfList(Names, Value{}),
		"same item":         OfList(Frequencies, Of(Frequency, 1), Of(Frequency, 1)),
		"same name":         OfList(Names, OfText(Text, "José"), OfText(Text, "jose")),
		"half a rod":        OfRat(Count, big.NewRat(1, 2)),
		"no rat":            OfRat(Length, nil),
		"too large":         OfRat(Length, new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), 63))),
		"too fine":          OfRat(Length, new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Lsh(big.NewInt(1), 320))),
		"year 10000":        Of(Date, 2_932_897),
		"empty text":        OfText(Text, " "),
		"signs of a serial": OfText(Serial, "#"),
	} {
		if v.Valid() || v.Kind() != "" || v.Exact() != "" || v.Equal(v) || Print(v) != "" {
			t.Errorf("%s must not be valid: %+v", name, v)
		}
	}
	finest := new(big.Rat).SetFrac(new(big.Int).Lsh(big.NewInt(1), 319), new(big.Int).Add(new(big.Int).Lsh(big.NewInt(1), 319), big.NewInt(1)))
	if v := OfRat(Length, finest); !v.Valid() {
		t.Error("the finest value")
	} else if back, err := Parse(Length, v.Exact(), nil); err != nil || !back.Equal(v) {
		t.Errorf("the finest value has %d characters: %v", len(v.Exact()), err)
	}
	for _, pair := range [][2]Value{
		{Of(Length, 1), Of(Length, 2)}, {Of(Length, 1), Of(Frequency, 1)}, {OfYes(true), OfYes(false)},
		{OfText(Text, "a"), OfText(Choice, "a")}, {OfList(Names), OfList(Frequencies)},
		{OfList(Names, OfText(Text, "a")), OfList(Names, OfText(Text, "b"))},
	} {
		if pair[0].Equal(pair[1]) || !pair[0].Equal(pair[0]) {
			t.Errorf("%v and %v", pair[0].Exact(), pair[1].Exact())
		}
	}
	if OfText(Serial, "rx 1").Str() != "RX1" || !OfYes(true).Yes() || OfYes(false).Yes() || OfYes(true).Rat() != nil {
		t.Error("accessors")
	}
}

func TestRecordForm(t *testing.T) {
	for _, c := range []struct {
		kind  Kind
		exact string
		items []string
	}{
		{Length, "3175/2", nil}, {Length, "0", nil}, {Length, "-63500", nil}, {Decibel, "-3000", nil},
		{Count, "3", nil}, {Date, "20787", nil}, {Time, "1795000000", nil}, {YesNo, "yes", nil}, {YesNo, "no", nil},
		{Choice, "clay", nil}, {Text, "Otter Run OR-4", nil}, {Serial, "RX204", nil},
		{Frequencies, "2", []string{"9500", "22000"}}, {Frequencies, "0", nil}, {Names, "0", nil}, {Names, "1", []string{"Ana"}},
		{Lengths, "3", []string{"1524000", "1524000", "3175/2"}}, {Pitches, "2", []string{"-180000", "0"}},
	} {
		v, err := Parse(c.kind, c.exact, c.items)
		if err != nil || v.Kind() != c.kind || v.Exact() != c.exact || !slices.Equal(v.Items(), c.items) {
			t.Errorf("Parse(%s, %q, %v): %v %q %v", c.kind, c.exact, c.items, err, v.Exact(), v.Items())
		}
	}
}

func TestRecordFormIsStrict(t *testing.T) {
	for _, c := range []struct {
		kind  Kind
		exact string
		items []string
	}{
		{Length, "", nil}, {Length, "+1", nil}, {Length, "01", nil}, {Length, "-0", nil}, {Length, "1.5", nil},
		{Length, "1e3", nil}, {Length, "1e999999999", nil}, {Length, "0x1", nil}, {Length, "2/4", nil}, {Length, "4/2", nil},
		{Length, "3/1", nil}, {Length, "1/0", nil}, {Length, "1/-2", nil}, {Length, " 1", nil}, {Length, "1 ", nil},
		{Length, "010/3", nil}, {Length, strings.Repeat("9", 300), nil}, {Length, "9223372036854775808", nil},
		{Length, "1", []string{"1"}}, {Count, "1/2", nil}, {Date, "1/2", nil}, {YesNo, "Yes", nil}, {YesNo, "", nil},
		{YesNo, "sí", nil}, {Text, " a", nil}, {Text, "a  b", nil}, {Text, "", nil}, {Text, "a\nb", nil}, {Serial, "rx1", nil},
		{Serial, "RX 1", nil}, {Names, "2", []string{"Ana"}}, {Names, "01", []string{"Ana"}}, {Names, "", nil},
		{Names, "2", []string{"Ana", "ana"}}, {Names, "1", []string{" Ana"}}, {Names, "1", []string{strings.Repeat("n", 61)}},
		{Frequencies, "1", []string{"9.5"}}, {Lengths, "0", nil}, {Pitches, "0", nil}, {Lengths, "2", []string{"1"}}, {"colour", "1", nil}, {"", "", nil},
	} {
		if v, err := Parse(c.kind, c.exact, c.items); err == nil || v.Valid() {
			t.Errorf("Parse(%s, %q, %v) must refuse: got %q", c.kind, c.exact, c.items, v.Exact())
		}
	}
}
