package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstrod/engine"
	"firstrod/engine/depth"
)

func TestTablesThatAreFine(t *testing.T) {
	var long strings.Builder
	long.WriteString("x,y\n")
	for i := range 20_000 {
		fmt.Fprintf(&long, "%d,%g\n", i, 3+2*float64(i))
	}
	for name, table := range map[string]string{
		"other order and columns": "note,X, y \na,0,3\n\"b, quoted\",1,5\nc,2,7\n",
		"byte order mark":         "\ufeffx,y\n0,3\n1,5\n2,7\n",
		"carriage returns":        "x,y\r\n0,3\r\n1,5\r\n2,7\r\n",
		"remarks and gaps":        "# from a notebook\nx,y\n\n0,3\n# a rest\n1,5\n2,7",
		"exponents":               "x,y\n0e0,3.0\n+1,.5e1\n2.,7E+0\n",
		"thousands of rows":       long.String(),
	} {
		got := calculate(t, table, "fit", "-")
		near(t, name+": slope", got["slope"], 2, 1e-12)
		if v := got["intercept"].(float64); math.Abs(v-3) > 1e-7 {
			t.Errorf("%s: intercept %g", name, v)
		}
	}
}

func TestTablesThatAreNot(t *testing.T) {
	big := "x,y\n" + strings.Repeat("1,2\n", mostTableRows+1)
	for name, c := range map[string]struct{ table, say string }{
		"empty":            {"", "standard input is empty"},
		"remarks only":     {"# nothing\n", "standard input is empty"},
		"column missing":   {"# one\nx,z\n1,2\n", "standard input line 2: there is no column y"},
		"column twice":     {"x,y,X\n1,2,3\n", `line 1: the column "x" comes twice`},
		"semicolons":       {"x;y\n1;2\n", "line 1: there is no column y"},
		"words":            {"x,y\n1,1\n2,two\n", `line 3: y is "two", which is not a number`},
		"NaN":              {"x,y\nnan,1\n", `line 2: x is "nan", which is not a number`},
		"infinity":         {"x,y\n1,-Inf\n", `line 2: y is "-Inf", which is not a number`},
		"too large":        {"x,y\n1,1e999\n", `line 2: y is "1e999", which is not a number`},
		"hexadecimal":      {"x,y\n0x10,1\n", `line 2: x is "0x10", which is not a number`},
		"decimal comma":    {"x,y\n1,5,2\n", "line 2: it has another number of columns than the first line"},
		"units":            {"x,y\n5 ft,5\n", `line 2: x is "5 ft", which is not a number`},
		"absurd":           {"x,y\n1,1\n2,2\n3,1e7\n", "line 4: y: 1e+07 is outside"},
		"quote left open":  {"x,y\n1,\"2\n3,4\n", "line 2: extraneous or missing"},
		"one row":          {"x,y\n1,2\n", "standard input, all rows: at least 3 are needed"},
		"a place twice":    {"x,y\n1,2\n1,3\n1,4\n", "standard input, all rows: are all at one place"},
		"too many rows":    {big, fmt.Sprintf("line %d: more than %d rows", mostTableRows+2, mostTableRows)},
		"too many letters": {"x,y\n1," + strings.Repeat("1", mostTableBytes), "is longer than 16 MiB"},
		"binary":           {"x,y\n\x00\xff,1\n", "line 2: x is"},
	} {
		code, out, errs := runDepth(c.table, "fit", "-")
		if code != exitUsage || out != "" || !strings.Contains(errs, c.say) || len(errs) > 300 {
			t.Errorf("%s: exit %d, %q %q; want %q", name, code, out, errs, c.say)
		}
	}
}

func TestDiagnoseRefuses(t *testing.T) {
	gear := []string{"--baseline", "10 ft", "--tape", "0.25 in", "--datum", "0.25 in", "--step", "0.1 ft"}
	for name, c := range map[string]struct {
		table, say string
		gear       []string
	}{
		"one mark":           {"x,y\n5,5\n", "standard input, marks: at least two besides", gear},
		"no rows":            {"x,y\n", "standard input, all rows: readings there are none", gear},
		"negative":           {"x,y\n5,5\n15,-15\n", "standard input line 3, y: -4.572 is outside", gear},
		"far":                {"x,y\n5,5\n15000,15\n", "standard input line 3, x: 4572 is outside", gear},
		"too near":           {"x,y\n5,5\n5.001,5\n15,15\n", "line 3, x: is the place of another mark", gear},
		"fresh":              {"x,y,fresh\n5,5,maybe\n", `line 2: fresh is "maybe"; write yes or no`, gear},
		"half a constant":    {"x,y,constant,constant_u\n5,5,3,\n", "line 2: constant and constant_u go together", gear},
		"two constants":      {"x,y,constant,constant_u\n5,5,3,1\n15,15,4,1\n", "line 3: constant is another", gear},
		"two margins":        {"x,y,margin\n5,5,30\n15,15,31\n", "line 3: margin is another", gear},
		"margin absurd":      {"x,y,margin\n5,5,3000\n15,15,\n", "line 2, margin: 3000 is outside", gear},
		"constant certain":   {"x,y,constant,constant_u\n5,5,3,0\n15,15,,\n", "line 2, constant_u: 0 is outside", gear},
		"no unit":            {"x,y\n5,5\n15,15\n", "--baseline: give it a unit", []string{"--baseline", "10", "--tape", "1", "--datum", "1", "--step", "1"}},
		"tape left out":      {"x,y\n5,5\n15,15\n", "--tape is missing", gear[:2]},
		"step zero, no hand": {"x,y\n5,5\n15,15\n", "--step: step and hand together", append(gear[:6:6], "--step", "0 ft")},
	} {
		code, out, errs := runDepth(c.table, append([]string{"diagnose", "-"}, c.gear...)...)
		if code != exitUsage || out != "" || !strings.Contains(errs, c.say) {
			t.Errorf("%s: exit %d, %q %q; want %q", name, code, out, errs, c.say)
		}
	}
}

func TestTableOnDisk(t *testing.T) {
	for _, path := range []string{filepath.Join(t.TempDir(), "none.csv"), t.TempDir()} {
		code, _, errs := runDepth("", "fit", path)
		if code != exitUsage || !strings.Contains(errs, "read") {
			t.Errorf("%s: exit %d, %s", path, code, errs)
		}
	}
	path := filepath.Join(t.TempDir(), "a.csv")
	if err := os.WriteFile(path, []byte("y,x\n1,1\n2,2\nthree,3\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, errs := runDepth("", "fit", path); !strings.Contains(errs, `a.csv line 4: y is "three"`) {
		t.Error(errs)
	}
}

func TestNumbersForPeople(t *testing.T) {
	for _, c := range []struct{ v, u, value, doubt any }{
		{-0.2623, 0.2328, "-0.26", "0.24"}, {1.00211682, 0.00042979, "1.00212", "0.00043"},
		{500.796, 0.1515, "500.80", "0.16"}, {1234.5, 123.4, "1230", "130"}, {-0.001, 0.5, "0.00", "0.50"},
		{2, 1.0, "2.0", "1.0"}, {2, 0.0, "2", "0"},
	} {
		if v, u := withDoubt(toFloat(c.v), toFloat(c.u)); v != c.value || u != c.doubt {
			t.Errorf("%v +- %v: %s, %s; want %v, %v", c.v, c.u, v, u, c.value, c.doubt)
		}
	}
	for p, want := range map[float64]string{0.99999999: "> 99.9 %", 0.9989: "99.8 %", 0.5: "50.0 %", 0: "< 0.1 %", 1: "> 99.9 %"} {
		if got := chance(p); got != want {
			t.Errorf("chance(%g) = %s, want %s", p, got, want)
		}
	}
	if got := plainUp(20.40871790902); got != "20.4088" {
		t.Error(got)
	}
	// 20 ft 4 15/16 in is 6.2214125 m: one hundredth of a millimetre more is not
	// shown as that.
	l := &lengths{unit: "ft", size: 0.3048}
	if a, b := l.sayUp(6.2214125), l.sayUp(6.2214225); !strings.HasPrefix(a, "20 ft 4 15/16 in") || !strings.HasPrefix(b, "20 ft 5 in") {
		t.Error(a, b)
	}
}

func toFloat(v any) float64 {
	if n, ok := v.(int); ok {
		return float64(n)
	}
	return v.(float64)
}

// Whatever stands in a table, there is a line with finite numbers or a sentence.
func FuzzTable(f *testing.F) {
	for _, s := range []string{"x,y\n1,2\n2,3\n3,5\n", "y,x,u\n1,1,0.1\n2,2,0.1\n", "", "x,y\n1,NaN\n", "x,y\n\"", "\ufeffx,y\n1e308,-1e308\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		a := &app{streams: streams{in: strings.NewReader(string(raw))}}
		line, _, err := a.fitLine("-")
		if err != nil {
			if e, ok := errors.AsType[*engine.Error](err); !ok || e.Kind != engine.Usage || e.Say == "" || line != (depth.Line{}) {
				t.Fatalf("%+v, %v", line, err)
			}
			return
		}
		for _, v := range []float64{line.Intercept, line.Slope, line.UIntercept, line.USlope, line.Correlation, line.ResidualSD, line.ChiSquared} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", line)
			}
		}
	})
}
