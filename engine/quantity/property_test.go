package quantity_test

import (
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	. "firstrod/engine/quantity"

	"pgregory.net/rapid"
)

// Lengths that are sixteenths of an inch come back from what Print shows.
func TestPrintedLengthsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sixteenths := rapid.Int64Range(0, 16*12*5000).Draw(t, "sixteenths")
		v := OfRat(Length, big.NewRat(sixteenths*25_400, 16))
		lang := rapid.SampledFrom([]string{"en", "es"}).Draw(t, "lang")
		got := Read(PrintIn(v, lang, nil), Want{Kind: Length})
		if got.Outcome != Exact || !got.Value.Equal(v) {
			t.Fatalf("%s um shown as %q is read as %d %s %q", v.Exact(), PrintIn(v, lang, nil),
				got.Outcome, got.Value.Exact(), got.Reason.Code)
		}
	})
}

// What Print shows for the other kinds comes back, when it is a number of at
// most six decimals in the unit shown.
func TestPrintedValuesReadBack(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	kinds := []Kind{Frequency, Voltage, Duration, Percent, Decibel, Count, Date, Time}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(kinds).Draw(t, "kind")
		base := rapid.Int64Range(0, 900_000_000).Draw(t, "base")
		w := Want{Kind: k, Zone: zone, Now: time.Unix(1_700_000_000, 0)}
		if k == Date {
			base = base%36_000 + 7305 // from 1990 on
		}
		if k == Time {
			base += 1_000_000_000
		}
		if signed := k == Percent || k == Decibel; signed && rapid.Bool().Draw(t, "minus") {
			base, w.Min = -base, limit(k, -1_000_000_000)
		}
		v := Of(k, base)
		shown := PrintIn(v, "en", zone)
		if k == Time && strings.Contains(shown, "C") {
			t.Skip("an hour that comes twice is asked about")
		}
		got := Read(shown, w)
		if got.Outcome != Exact || !got.Value.Equal(v) {
			t.Fatalf("%s %s shown as %q is read as %d %s %q", k, v.Exact(), shown, got.Outcome, got.Value.Exact(), got.Reason.Code)
		}
	})
}

// shownNumbers gives the exact values, in base units, of all that is shown:
// both sides of a length, one number otherwise. It is written on its own, so
// that Read and Print cannot agree on the same mistake.
func shownNumbers(t *rapid.T, shown string) []*big.Rat {
	sizes := map[string]int64{
		"ft": 304_800, "in": 25_400, "m": 1_000_000, "cm": 10_000, "Hz": 1, "kHz": 1000, "V": 1000, "kV": 1_000_000,
		"%": 10_000, "dB": 1000, "h": 3600, "min": 60, "s": 1, "d": 86_400, "count": 1,
	}
	var sums []*big.Rat
	for _, side := range strings.Split(strings.TrimSuffix(shown, ")"), " (") {
		minus := strings.HasPrefix(side, "-")
		sum, number := new(big.Rat), new(big.Rat)
		fields := strings.Fields(strings.TrimPrefix(side, "-"))
		if len(fields) > 0 && strings.Trim(fields[len(fields)-1], "0123456789./") == "" {
			fields = append(fields, "count")
		}
		for _, f := range fields {
			if size, ok := sizes[f]; ok {
				sum.Add(sum, number.Mul(number, new(big.Rat).SetInt64(size)))
				number = new(big.Rat)
				continue
			}
			r, ok := new(big.Rat).SetString(f)
			if !ok {
				t.Fatalf("%q in %q is neither a number nor a unit", f, shown)
			}
			number.Add(number, r)
		}
		if minus {
			sum.Neg(sum)
		}
		sums = append(sums, sum)
	}
	return sums
}

// Whatever the value and the limit, near each other or equal or far: all that
// is shown stands to the limit as the value does.
func TestPrintNeverCrossesALimit(t *testing.T) {
	kinds := []Kind{Length, Length, Length, Frequency, Voltage, Duration, Percent, Decibel, Count}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(kinds).Draw(t, "kind")
		under := rapid.Int64Range(1, 1000).Draw(t, "under")
		apart := rapid.OneOf(rapid.Int64Range(-3, 3), rapid.Int64Range(-20_000_000, 20_000_000)).Draw(t, "apart")
		edge := rapid.OneOf(
			rapid.Int64Range(-50, 50).AsAny(), rapid.Int64Range(-60_000_000, 60_000_000).AsAny(),
			rapid.SampledFrom([]int64{9_144_000, 3_048_000, 1_524_000, 25_400, 850_000}).AsAny(),
		).Draw(t, "edge").(int64)
		a := big.NewRat(edge, rapid.SampledFrom([]int64{1, 1, 2, 3, 16}).Draw(t, "edge under"))
		if k == Count {
			under, a = 1, big.NewRat(edge, 1)
		}
		v, l := OfRat(k, new(big.Rat).Add(a, big.NewRat(apart, under))), OfRat(k, a)
		lang := "en"
		shown := PrintIn(v, lang, nil, l, Of(Date, 3))
		for _, r := range shownNumbers(t, shown) {
			if r.Cmp(l.Rat()) != v.Rat().Cmp(l.Rat()) {
				t.Fatalf("%s %s against %s is shown as %q", k, v.Exact(), l.Exact(), shown)
			}
			if r.Sign() != v.Rat().Sign() {
				t.Fatalf("%s %s is shown as %q", k, v.Exact(), shown)
			}
		}
	})
}

func TestRecordFormComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyValue().Draw(t, "value")
		got, err := Parse(v.Kind(), v.Exact(), v.Items())
		if err != nil || !got.Equal(v) || got.Exact() != v.Exact() || !slices.Equal(got.Items(), v.Items()) {
			t.Fatalf("%s %q %v: %v", v.Kind(), v.Exact(), v.Items(), err)
		}
	})
}

// anyValue draws a valid value of any kind.
func anyValue() *rapid.Generator[Value] {
	return rapid.Custom(func(t *rapid.T) Value {
		number := big.NewRat(rapid.Int64().Draw(t, "over"), rapid.Int64Range(1, 1<<40).Draw(t, "under"))
		text := rapid.StringN(1, 60, 200).Draw(t, "text")
		kind := rapid.SampledFrom([]Kind{
			Length, Frequency, Voltage, Duration, Percent, Decibel, Count, Date, Time,
			YesNo, Choice, Text, Serial, Frequencies, Names, Lengths, Pitches,
		}).Draw(t, "kind")
		var v Value
		switch kind {
		case Count:
			v = Of(kind, number.Num().Int64())
		case Date:
			v = Of(kind, number.Num().Int64()%2_900_000)
		case Time:
			v = Of(kind, number.Num().Int64()%60_000_000_000)
		case YesNo:
			v = OfYes(number.Sign() > 0)
		case Choice, Text:
			v = OfText(kind, text)
		case Serial:
			v = OfText(kind, rapid.StringMatching(`[a-z0-9][A-Z0-9./-]{0,39}`).Draw(t, "serial"))
		case Frequencies:
			v = OfList(kind, Of(Frequency, number.Num().Int64()), OfRat(Frequency, big.NewRat(1, 3)))
		case Names:
			v = OfList(kind, OfText(Text, "Ana"), OfText(Text, text))
		case Lengths:
			v = OfList(kind, OfRat(Length, number), OfRat(Length, number))
		case Pitches:
			v = OfList(kind, OfRat(Percent, number), Of(Percent, 0), OfRat(Percent, number))
		default:
			v = OfRat(kind, number)
		}
		if !v.Valid() {
			t.Skip("this draw is not a value")
		}
		return v
	})
}
