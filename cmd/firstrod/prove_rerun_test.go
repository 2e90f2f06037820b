package main

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
)

// TestRerun: the rules kept with a ledger say of a bore what they said then; and
// something else when a value is another.
func TestRerun(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	data := filepath.Join(t.TempDir(), "d")
	lines, err := demoLines(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	var says []string
	for _, l := range lines {
		if strings.HasPrefix(l, "# While drilling") {
			break
		}
		if !strings.HasPrefix(l, "#") {
			says = append(says, l)
		}
	}
	typed(t, data, strings.Join(says, "\n")+"\n")
	records, packs := boreOf(t, data, "OR-4")

	j := &rerunner{sets: map[string]*rules.Set{}}
	last := records[len(records)-1]
	found, err := j.Rerun(context.Background(), last.Rules, ledger.Pack{}, packs, records)
	if err != nil {
		t.Fatal(err)
	}
	holds := 0
	for key, status := range found.Findings {
		switch status {
		case "pass", "exempt", "waived":
			holds++
		case "fail", "broken", "":
			t.Errorf("%s is %q on a released bore", key, status)
		}
	}
	if last.Release == nil || holds < last.Release.Checks {
		t.Errorf("%d findings hold, the release rests on %+v", holds, last.Release)
	}
	changed := 0
	for i, r := range records {
		for n, f := range r.Facts {
			if f.Key == "metal_distance" {
				records[i].Facts[n].Value, changed = "304800", changed+1 // a foot
			}
		}
	}
	found, err = j.Rerun(context.Background(), last.Rules, ledger.Pack{}, packs, records)
	if err != nil || changed == 0 || found.Findings["ground.metal_baseline"] != "fail" {
		t.Errorf("metal a foot away: %v, %v, %d changed", found.Findings["ground.metal_baseline"], err, changed)
	}
	if _, err := j.Rerun(context.Background(), "another", ledger.Pack{}, packs, records); err == nil || !strings.Contains(err.Error(), "another revision") {
		t.Errorf("packs of another revision: %v", err)
	}
	if _, err := j.Rerun(context.Background(), "none", ledger.Pack{}, []byte("hello"), records); err == nil {
		t.Error("packs that are none")
	}
}

// boreOf reads a bore's records, and the rule packs of the last one.
func boreOf(t *testing.T, data, bore string) (records []ledger.Record, packs []byte) {
	t.Helper()
	r, err := boltstore.OpenReader(data)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	read := func(index, key string) (out []ledger.Record) {
		numbers, err := r.Numbers(index, key)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range numbers {
			rows, err := r.Records(n, 1)
			if err != nil {
				t.Fatal(err)
			}
			rec, err := ledger.Decode(rows[0].Data)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, rec)
		}
		return out
	}
	records = read(ledger.IndexBore, bore)
	if len(records) == 0 {
		t.Fatal("the bore has no records")
	}
	rulesOf := read(ledger.IndexRules, "")
	packs, err = r.Blob(rulesOf[len(rulesOf)-1].Pack.Blob)
	if err != nil {
		t.Fatal(err)
	}
	return records, packs
}
