package policies

import (
	"encoding/csv"
	"encoding/json"
	"io/fs"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// limits gives the shipped limits by area and name, in base units.
func limits(t *testing.T) map[string]map[string]int64 {
	t.Helper()
	text, err := Base.ReadFile("base/params.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Params map[string]map[string]any }
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	all := map[string]map[string]int64{}
	for area, names := range doc.Params {
		all[area] = map[string]int64{}
		for name, v := range names {
			if n, ok := v.(float64); ok { // lists are no numbers
				all[area][name] = int64(n)
			}
		}
	}
	return all
}

// TestOverheadTable holds the shipped rows to 29 CFR 1926.1408 Table A: minimum
// clearance in feet by voltage in kV, the upper voltage of a row included. One
// foot is 304800 um and one kV is 1000000 mV exactly.
func TestOverheadTable(t *testing.T) {
	rows := []struct {
		kv   string
		mv   int64
		feet int64
	}{
		{"50", 50_000_000, 10}, {"200", 200_000_000, 15}, {"350", 350_000_000, 20},
		{"500", 500_000_000, 25}, {"750", 750_000_000, 35}, {"1000", 1_000_000_000, 45},
	}
	crew := limits(t)["crew"]
	if len(crew) != 2*len(rows) {
		t.Errorf("%d limits for overhead lines, want two for each of %d rows", len(crew), len(rows))
	}
	for _, row := range rows {
		if got := crew["voltage_"+row.kv+"kv_mv"]; got != row.mv {
			t.Errorf("row to %s kV ends at %d mV, want %d", row.kv, got, row.mv)
		}
		if got := crew["clearance_to_"+row.kv+"kv_um"]; got != row.feet*304_800 {
			t.Errorf("clearance to %s kV is %d um, want %d ft", row.kv, got, row.feet)
		}
	}
}

// TestLimits holds single limits to what they are said to come from.
func TestLimits(t *testing.T) {
	all := limits(t)
	tests := []struct {
		area, name string
		want       int64
		from       string
	}{
		{"calibration", "baseline_um", 3_048_000, "10 ft are 304.8 cm, by the foot of 0.3048 m"},
		{"verification", "near_mark_um", 1_524_000, "5 ft are 152.4 cm"},
		{"verification", "far_mark_um", 4_572_000, "15 ft are 457.2 cm"},
		{"verification", "cover_ppm", 2_000_000, "JCGM 106:2012, U = 2 u"},
		{"verification", "guard_ppm", 1_000_000, "JCGM 106:2012, guard band w = U"},
		{"verification", "tolerance_ppm", 50_000, "common practice, no source: 5 percent"},
		{"crossings", "clearance_um", 304_800, "49 CFR 192.325, 12 in, from memory"},
		{"ground", "standoff_um", 9_144_000, "common practice, no source: 30 ft"},
		{"signoff", "people", 2, "common practice, no source: two people"},
	}
	for _, test := range tests {
		if got := all[test.area][test.name]; got != test.want {
			t.Errorf("%s.%s is %d, want %d: %s", test.area, test.name, got, test.want, test.from)
		}
	}
	// Derived: noise that adds in power leaves a depth of d*(1+n^2)^(-1/6), which
	// is 1 percent short at 12.07 dB, tolerance 0.01 dB.
	if got := all["ground"]["noise_margin_mdb"]; got < 12_080 {
		t.Errorf("ground.noise_margin is %d mdB, want at least 12.07 dB and its tolerance", got)
	}
}

// TestEveryCheckIsTested sees to it that no check is shipped without its tests.
func TestEveryCheckIsTested(t *testing.T) {
	checks := 0
	err := fs.WalkDir(Base, "base", func(name string, d fs.DirEntry, err error) error {
		stem, rego := strings.CutSuffix(name, ".rego")
		if err != nil || !rego || strings.HasSuffix(stem, "_test") || name == "base/schemas.rego" {
			return err
		}
		checks++
		if _, err := fs.Stat(Base, stem+"_test.rego"); err != nil {
			t.Errorf("%s has no tests beside it: %v", name, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if checks == 0 {
		t.Error("the pack has no checks in it")
	}
}

// TestOneCallTable holds the shipped table to the table that it was made of: the
// same states, every width that a row of it names, and the same status. Rows
// there write widths with remarks in words: "18 or 24 (sources conflict)".
func TestOneCallTable(t *testing.T) {
	outside := table(t, "../testdata/outside/one_call_states.csv", "")
	shipped := table(t, "base/one_call.csv", "# version ")
	if len(shipped) != len(outside) || len(shipped) != 52 {
		t.Fatalf("%d rows of %d", len(shipped), len(outside))
	}
	number := regexp.MustCompile(`\b\d{2}\b`)
	for i, row := range outside[1:] {
		got := shipped[i+1]
		width, _, _ := strings.Cut(row[1], "(")
		widths := strings.Join(number.FindAllString(width, -1), " or ")
		half := map[bool]string{true: "yes", false: "no"}[strings.Contains(row[1], "plus half")]
		status, _, _ := strings.Cut(row[2], " ")
		if got[0] != row[0] || got[1] != widths || got[2] != half || got[3] != status {
			t.Errorf("%v is shipped as %v", row, got)
		}
	}
	// Derived: the base must have the widest width of any row, for it holds where
	// nobody knows; an inch is 25.4 mm exactly.
	widest := int64(0)
	for _, row := range shipped[1:] {
		for _, w := range strings.Split(row[1], " or ") {
			n, _ := strconv.ParseInt(w, 10, 64)
			widest = max(widest, n*25_400)
		}
	}
	if got := limits(t)["crossings"]["tolerance_zone_um"]; got != widest {
		t.Errorf("the base has %d um, the widest row %d", got, widest)
	}
}

// table reads a CSV file behind a first line of another kind.
func table(t *testing.T, name, first string) [][]string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if first != "" {
		line, rest, _ := strings.Cut(string(text), "\n")
		if !strings.HasPrefix(line, first) {
			t.Fatalf("%s begins with %q", name, line)
		}
		text = []byte(rest)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
