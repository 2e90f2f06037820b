package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// outside reads a table of testdata/outside; SOURCES.md there names where it is from.
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
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = l[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// calculated types a calculator's command line and gives its JSON.
func calculated(t *testing.T, args ...string) map[string]any {
	t.Helper()
	return fed(t, "", args...)
}

// fed is calculated with something on standard input.
func fed(t *testing.T, in string, args ...string) map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(context.Background(), append(append([]string{"depth"}, args...), "--json"), streams{strings.NewReader(in), &out, &errs})
	if code != exitFine {
		t.Fatalf("%v: exit %d: %s", args, code, errs.String())
	}
	var all map[string]any
	if err := json.Unmarshal(out.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// agrees holds one number of an answer against one of a table.
func agrees(t *testing.T, got any, want string, tolerance float64, what string) {
	t.Helper()
	g, ok := got.(float64)
	var w float64
	if err := json.Unmarshal([]byte(strings.TrimSuffix(want, "\r")), &w); err != nil {
		t.Fatalf("%s: %q: %v", what, want, err)
	}
	if !ok || math.Abs(g-w) > tolerance {
		t.Errorf("%s: %v, want %s", what, got, want)
	}
}

// Every row of the tables that a calculator can be asked for, by its command line.
func TestCalculatorsAgainstTheTables(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	for _, r := range outside(t, "dipole_field.csv") { // derived, dipole formula
		got := calculated(t, "signal", "--signal", "0", "--baseline", "10", "--depth", r["d_ft"],
			"--ahead="+r["x_ft"], "--aside="+r["y_ft"], "--pitch="+r["pitch_pct"]+" %")
		agrees(t, got["reads"], r["depth_from_Btot_ft"], 1e-12, "dipole row")
		signal, _ := got["signal"].(float64)
		agrees(t, math.Pow(10, signal/20), r["Btot"], 1e-13, "dipole row, signal")
	}
	for _, r := range outside(t, "pitch_nulls.csv") { // derived, two ways
		got := calculated(t, "nulls", "--spacing", r["L_over_d"], "--pitch="+r["pitch_pct"]+" %")
		agrees(t, got["depth"], "1", 1e-12, "nulls row "+r["pitch_pct"])
	}
	for _, r := range outside(t, "standoff_bound.csv") { // derived
		got := calculated(t, "standoff", "--baseline", r["r_ft"], "--error", r["depth_error_limit"])
		agrees(t, got["standoff"], r["s_min_ft"], 1e-11, "standoff row")
		got = calculated(t, "standoff", "--baseline", r["r_ft"], "--standoff", r["s_min_ft"])
		agrees(t, got["error"], r["depth_error_limit"], 1e-13, "standoff row, back")
	}
	for _, r := range outside(t, "conformity_jcgm106.csv") { // JCGM 106, see the column source_status
		if r["estimate"] == "" { // at the limit less U = 2u, whatever these are
			r["upper"], r["estimate"], r["u"] = "0.5", "0.3", "0.1"
		}
		args := []string{"conform", "--value=" + r["estimate"], "--u", r["u"]}
		for _, side := range []string{"lower", "upper"} {
			if r[side] != "" {
				args = append(args, "--"+side+"="+r[side])
			}
		}
		agrees(t, calculated(t, args...)["p"], r["pc"], 1e-11, r["example"])
	}
	for _, r := range outside(t, "t_factors.csv") { // Student's t to 12 digits, derived
		for column, coverage := range map[string]string{"p95": "95 %", "p95.45": "95.45 %", "p99": "99 %"} {
			got := fed(t, "name,u,dof,sensitivity\na,1,"+r["nu"]+",1\n", "budget", "-", "--coverage", coverage)
			agrees(t, got["k"], r[column], 1e-8, "k for "+r["nu"]+" at "+coverage)
		}
	}
}
