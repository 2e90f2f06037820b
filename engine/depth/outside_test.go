package depth_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"firstrod/engine/depth"
)

// Feet and inches as exact lengths in metres (international foot of 1959).
const (
	ft = 0.3048
	in = 0.0254
)

// failer is what the checks below need of a test, ordinary or random.
type failer interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// row is one line of a table, by column name.
type row map[string]string

// table reads a table of outside values; SOURCES.md beside it must name its
// source.
func table(t testing.TB, name string) []row {
	t.Helper()
	folder := filepath.Join("..", "..", "testdata", "outside")
	sources, err := os.ReadFile(filepath.Join(folder, "SOURCES.md"))
	if err != nil || !strings.Contains(string(sources), "`"+name+"`") {
		t.Fatalf("SOURCES.md does not name %s: %v", name, err)
	}
	f, err := os.Open(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, line := range lines[1:] {
		r := row{}
		for i, cell := range line {
			r[lines[0][i]] = cell
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return rows
}

func (r row) num(t failer, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return v
}

// near fails the test unless got lies within tol of want.
func near(t failer, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %.15g, want %.15g within %g", what, got, want, tol)
	}
}

// must is the value of a call that has to succeed.
func must(t failer) func(float64, error) float64 {
	t.Helper()
	return func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// refused fails the test unless err is a FieldError that names the field.
func refused(t failer, err error, field string) {
	t.Helper()
	fe, ok := errors.AsType[*depth.FieldError](err)
	if !ok {
		t.Errorf("got %v, want a FieldError on %s", err, field)
		return
	}
	if fe.Field != field || fe.Why == "" || fe.Error() != fe.Field+": "+fe.Why {
		t.Errorf("got %q, want a reason on %s", fe, field)
	}
}
