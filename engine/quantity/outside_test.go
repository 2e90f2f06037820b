package quantity_test

import (
	"encoding/csv"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	. "firstrod/engine/quantity"
)

// outside reads a table of testdata/outside, one map a line.
func outside(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "outside", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func rat(t *testing.T, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is not a number", s)
	}
	return r
}

// Source: GNU Units 2.22, see the head of each table.
func TestAgainstTableOfGNUUnits(t *testing.T) {
	rows := outside(t, "quantity_units.csv")
	if len(rows) < 40 {
		t.Fatalf("only %d lines", len(rows))
	}
	for _, row := range rows {
		got := Read(row["input"], Want{Kind: Length})
		if got.Outcome != Exact || got.Value.Rat().Cmp(rat(t, row["micrometres"])) != 0 {
			t.Errorf("%q: got %d %s (%s), GNU units %s", row["input"], got.Outcome, got.Value.Exact(), got.Reason.Code, row["micrometres"])
		}
	}
	for _, row := range outside(t, "quantity_units_other.csv") {
		got := Read(row["input"], Want{Kind: Kind(row["kind"])})
		if got.Outcome != Exact || got.Value.Rat().Cmp(rat(t, row["base"])) != 0 {
			t.Errorf("%q: got %d %s (%s), GNU units %s", row["input"], got.Outcome, got.Value.Exact(), got.Reason.Code, row["base"])
		}
	}
}

// gnuUnits converts with the installed program. Where every real part must be
// present its absence is a failure.
func gnuUnits(t *testing.T) func(from, to string) *big.Rat {
	t.Helper()
	program, err := exec.LookPath("units")
	if err != nil && os.Getenv("FIRSTROD_REAL") == "1" {
		t.Fatal("GNU units is not installed (Debian package units)")
	}
	if err != nil {
		t.Skip("GNU units is not installed (Debian package units)")
	}
	return func(from, to string) *big.Rat {
		t.Helper()
		cmd := exec.Command(program, "-t", "-o", "%.15g", from, to)
		cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("units %q %q: %v\n%s", from, to, err, out)
		}
		return rat(t, strings.TrimSpace(string(out)))
	}
}

// Both ways: the table's expressions again, and what Print shows for the
// result, whose feet and inches must be the value and whose metres must be it
// within half of the last place.
func TestAgainstGNUUnits(t *testing.T) {
	convert := gnuUnits(t)
	for _, row := range outside(t, "quantity_units.csv") {
		v := Read(row["input"], Want{Kind: Length}).Value
		if got := convert(row["source"], "um"); v.Rat() == nil || got.Cmp(v.Rat()) != 0 {
			t.Errorf("%q is %s, GNU units say %s", row["input"], v.Exact(), got.RatString())
			continue
		}
		feet, metres, _ := strings.Cut(strings.TrimSuffix(Print(v), ")"), " (")
		sixteenths := new(big.Rat).Quo(v.Rat(), big.NewRat(25_400, 16))
		slack := new(big.Rat)
		if !sixteenths.IsInt() {
			slack.SetFrac64(25_400, 32)
		}
		near(t, feet, convert(expression(feet), "um"), v.Rat(), slack)
		number, unit, _ := strings.Cut(metres, " ")
		_, decimals, _ := strings.Cut(number, ".")
		half := rat(t, "0.5e-"+big.NewInt(int64(len(decimals))).String())
		near(t, metres, convert(metres, "um"), v.Rat(), half.Mul(half, convert("1 "+unit, "um")))
	}
	for _, row := range outside(t, "quantity_units_other.csv") {
		v := Read(row["input"], Want{Kind: Kind(row["kind"])}).Value
		near(t, row["input"], convert(row["source"], row["unit"]), v.Rat(), new(big.Rat))
		near(t, Print(v), convert(expression(Print(v)), row["unit"]), v.Rat(), new(big.Rat))
	}
}

// expression writes "4 ft 9 1/2 in" as GNU units take it: "4 ft + 9 in + 1|2 in".
func expression(printed string) string {
	fields := strings.Fields(printed)
	var terms, numbers []string
	for _, f := range fields {
		if strings.Trim(f, "0123456789./") == "" {
			numbers = append(numbers, strings.Replace(f, "/", "|", 1))
			continue
		}
		// Days and minutes have the same symbols there; ours for an hour is
		// their Planck constant.
		unit := strings.Replace(strings.Replace(f, "d", "day", 1), "h", "hour", 1)
		if f != "d" && f != "h" {
			unit = f
		}
		for _, n := range numbers {
			terms = append(terms, n+" "+unit)
		}
		numbers = nil
	}
	return strings.Join(terms, " + ")
}

func near(t *testing.T, what string, got, want, slack *big.Rat) {
	t.Helper()
	apart := new(big.Rat).Sub(got, want)
	if apart.Abs(apart).Cmp(slack) > 0 {
		t.Errorf("%q: GNU units give %s, want %s within %s", what, got.RatString(), want.RatString(), slack.RatString())
	}
}
