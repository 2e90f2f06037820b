package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// tester is what tests and property tests share.
type tester interface {
	Helper()
	Fatalf(string, ...any)
}

// calculate runs a depth calculator with --json and reads its answer.
func calculate(t tester, in string, args ...string) map[string]any {
	t.Helper()
	code, out, errs := runDepth(in, append(args, "--json")...)
	if code != exitFine {
		t.Fatalf("depth %q: exit %d: %s", args, code, errs)
	}
	var answer map[string]any
	if err := json.Unmarshal([]byte(out), &answer); err != nil {
		t.Fatalf("depth %q: %v in %s", args, err, out)
	}
	return answer
}

func runDepth(in string, args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = run(context.Background(), append([]string{"depth"}, args...), streams{strings.NewReader(in), &o, &e})
	return code, o.String(), e.String()
}

func near(t *testing.T, what string, got any, want, rel float64) {
	t.Helper()
	v, ok := got.(float64)
	if !ok || math.Abs(v-want) > rel*math.Max(math.Abs(want), 1e-300) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// outsideRows are the rows of a table from outside by column name. Where the
// tables come from stands in SOURCES.md beside them.
func outsideRows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("../../testdata/outside", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 3 {
		t.Fatalf("%s: %d rows, %v", name, len(all), err)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		row := map[string]string{}
		for i, cell := range r {
			row[all[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

func value(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatalf("%s: %v", column, err)
	}
	return v
}

// NIST Statistical Reference Datasets, Norris: the certified digits, as far as
// double precision allows.
func TestFitNorris(t *testing.T) {
	got := calculate(t, "", "fit", "../../testdata/outside/norris.csv", "--at", "0")
	near(t, "intercept", got["intercept"], -0.262323073774029, 1e-11)
	near(t, "intercept_u", got["intercept_u"], 0.232818234301152, 1e-12)
	near(t, "slope", got["slope"], 1.00211681802045, 5e-15)
	near(t, "slope_u", got["slope_u"], 0.429796848199937e-03, 1e-12)
	near(t, "residual_sd", got["residual_sd"], 0.884796396144373, 1e-12)
	near(t, "dof", got["dof"], 34, 0)
	near(t, "predicted", got["predicted"], -0.262323073774029, 1e-11)
	near(t, "predicted_u", got["predicted_u"], 0.232818234301152, 1e-12)
}

// Null spacing for every pitch of the table (derived): spacing 1 over the table's
// spacing per depth is a depth of 1.
func TestNullsTable(t *testing.T) {
	for _, row := range outsideRows(t, "pitch_nulls.csv") {
		got := calculate(t, "", "nulls", "--pitch="+row["pitch_pct"]+" %", "--spacing", row["L_over_d"], "--height", "0.25")
		near(t, "depth at "+row["pitch_pct"]+" %", got["depth"], 1, 1e-12)
		near(t, "cover at "+row["pitch_pct"]+" %", got["cover"], 0.75, 1e-12)
	}
}

// The standoff bound, both ways (derived).
func TestStandoffTable(t *testing.T) {
	for _, row := range outsideRows(t, "standoff_bound.csv") {
		r, e, s := row["r_ft"], row["depth_error_limit"], row["s_min_ft"]
		there := calculate(t, "", "standoff", "--baseline", r+" ft", "--error", e)
		near(t, "standoff", there["standoff"], value(t, row, "s_min_ft"), 1e-12)
		back := calculate(t, "", "standoff", "--baseline", r, "--standoff", s)
		near(t, "error", back["error"], value(t, row, "depth_error_limit"), 1e-12)
	}
}

// JCGM 106:2012, examples (two digits from memory, further ones derived).
func TestConformTable(t *testing.T) {
	for _, row := range outsideRows(t, "conformity_jcgm106.csv") {
		if row["estimate"] == "" {
			continue // not an example but a value of the normal distribution
		}
		args := []string{"conform", "--value=" + row["estimate"], "--u", row["u"]}
		for _, side := range []string{"lower", "upper"} {
			if row[side] != "" {
				args = append(args, "--"+side+"="+row[side])
			}
		}
		near(t, row["example"], calculate(t, "", args...)["p"], value(t, row, "pc"), 1e-11)
	}
}

// Student's factors for one part with so many degrees of freedom (derived; GUM
// table G.2 has the same to two decimals).
func TestBudgetTable(t *testing.T) {
	for _, row := range outsideRows(t, "t_factors.csv") {
		dof := row["nu"]
		if strings.HasPrefix(dof, "inf") {
			dof = ""
		}
		for _, p := range []string{"68.27", "95", "95.45", "99"} {
			table := "name,u,dof,sensitivity\none,0.5," + dof + ",-2\n"
			got := calculate(t, table, "budget", "-", "--coverage", p+" %")
			near(t, "k at "+dof+", "+p, got["k"], value(t, row, "p"+p), 1e-8)
			near(t, "u", got["u"], 1, 1e-15)
			near(t, "U at "+dof+", "+p, got["U"], value(t, row, "p"+p), 1e-8)
		}
	}
}

// The readings that a known fault makes (derived) come back as that fault, or the
// program says that it cannot tell.
func TestDiagnosePatterns(t *testing.T) {
	causes := map[string]depth.CauseID{
		"scale_tape_only_at_cal": depth.CauseBaseline, "datum_offset_all_marks": depth.CauseDatum,
		"const_offset_in_absorbed": depth.CauseViewAbsorbed, "const_offset_in_not_absorbed": depth.CauseView,
		"noise_coherent_plus": depth.CauseInterference, "noise_incoherent": depth.CauseBackground,
	}
	seen := map[depth.CauseID]int{}
	for _, row := range outsideRows(t, "error_patterns.csv") {
		want, known := causes[row["pattern"]]
		miss := math.Max(math.Abs(value(t, row, "read_at_5")-5), math.Abs(value(t, row, "read_at_15")-15))
		if !known || miss < 0.2 { // a smaller one drowns in the tape and the display
			continue
		}
		seen[want]++
		table := fmt.Sprintf("x,y\n5,%s\n15,%s\n", row["read_at_5"], row["read_at_15"])
		got := calculate(t, table, "diagnose", "-", "--baseline", "10 ft", "--tape", "0.02 ft", "--datum", "0.02 ft", "--step", "0.01 ft")
		first := got["causes"].([]any)[0].(map[string]any)
		if first["id"] != string(want) && got["apart"] == true {
			t.Errorf("%s %s: %v for certain", row["pattern"], row["param"], first["id"])
		}
		named := false
		for i := range int(got["rivals"].(float64)) {
			named = named || got["causes"].([]any)[i].(map[string]any)["id"] == string(want)
		}
		if !named {
			t.Errorf("%s %s: %s is not among the first %v", row["pattern"], row["param"], want, got["rivals"])
		}
	}
	if len(seen) != len(causes) {
		t.Errorf("only %v were tried", seen)
	}
}

// Units do not change what comes out.
func TestUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet := func(name string) int { return rapid.IntRange(1, 400).Draw(t, name) }
		flags := []string{"bore-depth", "bore-u", "utility-depth", "utility-u", "utility-diameter", "reamer", "code"}
		metric, imperial := []string{"clearance"}, []string{"clearance"}
		for _, f := range flags {
			n := feet(f)
			// 5 ft are 1.524 m exactly.
			imperial = append(imperial, "--"+f, fmt.Sprintf("%d ft", 5*n))
			metric = append(metric, "--"+f, strconv.FormatFloat(1.524*float64(n), 'f', 3, 64)+" m")
		}
		a, b := calculate(t, "", imperial...), calculate(t, "", metric...)
		for _, key := range []string{"planned", "needed_linear", "needed_rss"} {
			x, y := a[key].(float64)*0.3048, b[key].(float64)
			if math.Abs(x-y) > 1e-9*(1+math.Abs(y)) {
				t.Fatalf("%s: %g and %g m", key, x, y)
			}
		}
		if p, q := a["p"].(float64), b["p"].(float64); math.Abs(p-q) > 1e-9 {
			t.Fatalf("p: %g and %g", p, q)
		}
	})
}

// Two even limits about zero are what package depth decides.
func TestVerdictAgreesWithTheEngine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Halves of powers of two, so that no sum is rounded and edges are met.
		draw := func(name string, low int) float64 { return float64(rapid.IntRange(low, 64).Draw(t, name)) / 16 }
		miss, u, tolerance := draw("miss", -64), draw("u", 1), draw("tolerance", 1)
		guard := rapid.SampledFrom([]float64{0, 0.5, 1, 1.5}).Draw(t, "guard")
		want, err := depth.Decide(miss, 2*u, tolerance, guard)
		if err != nil {
			t.Fatal(err)
		}
		lower := -tolerance
		got := limits{&lower, &tolerance, miss, u}.verdict(guard * 2 * u)
		if got != want {
			t.Fatalf("%s, the engine says %s", got, want)
		}
	})
}
