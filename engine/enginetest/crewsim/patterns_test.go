package crewsim

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// pattern is one line of error_patterns.csv: feet, and the fault in its own unit.
type pattern struct {
	name                   string
	param, at5, at15, at30 float64
}

func patterns(t *testing.T) []pattern {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "outside", "error_patterns.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []pattern
	for _, l := range lines[1:] {
		p := pattern{name: l[0]}
		for i, v := range map[int]*float64{1: &p.param, 2: &p.at5, 4: &p.at15, 5: &p.at30} {
			if *v, err = strconv.ParseFloat(l[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		list = append(list, p)
	}
	return list
}
