package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func rows(t *testing.T) []row {
	t.Helper()
	f, err := os.Open("../../" + table)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := read(f)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Every test that the table names is in the tree, in the folder it says.
func TestEveryNamedTestIsThere(t *testing.T) {
	n := 0
	for _, r := range rows(t) {
		for _, name := range r.tests {
			n++
			folder, test, ok := strings.Cut(name, ":")
			files, err := filepath.Glob(filepath.Join("../..", folder, "*_test.go"))
			found := false
			for _, f := range files {
				raw, err := os.ReadFile(f)
				if err != nil {
					t.Fatal(err)
				}
				found = found || strings.Contains(string(raw), "\nfunc "+test+"(t *testing.T)")
			}
			if !ok || err != nil || !found {
				t.Errorf("%s: there is no test %s", r.rule, name)
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d tests are named", n)
	}
}

// No paragraph is left out. 11.10 was read in the Code of Federal Regulations; the
// other sections and ISO/IEC 17025 are from memory.
func TestEveryParagraphIsThere(t *testing.T) {
	want := strings.Fields("11.10(a) 11.10(b) 11.10(c) 11.10(d) 11.10(e) 11.10(f) 11.10(g) 11.10(h) 11.10(i) 11.10(j) 11.10(k) " +
		"11.50(a) 11.50(b) 11.70 11.200(a)(1) 11.200(a)(2) 11.200(a)(3) 11.200(b) 11.300(a) 11.300(b) 11.300(c) 11.300(d) 11.300(e) 7.5.1 7.5.2")
	all := rows(t)
	if len(all) != len(want) {
		t.Errorf("%d demands, want %d", len(all), len(want))
	}
	for i, w := range want {
		if i < len(all) && !strings.HasSuffix(all[i].rule, " "+w) {
			t.Errorf("demand %d is %s, want %s", i, all[i].rule, w)
		}
	}
}

func TestPageIsFresh(t *testing.T) {
	old, err := os.ReadFile("../../" + page)
	if err != nil {
		t.Fatal(err)
	}
	now, err := renewed(string(old), rows(t))
	if err != nil || now != string(old) {
		t.Errorf("%s is stale: go run ./deploy/records (%v)", page, err)
	}
	if !regexp.MustCompile(`(?m)^\| 21 CFR 11\.200\(a\)\(1\) .*\| no \|`).MatchString(now) {
		t.Error("the page hides what is not met")
	}
}

func TestReadRefuses(t *testing.T) {
	const head = "rule,asks,met,shown_by,note\n"
	for name, text := range map[string]string{
		"empty": "", "only a head": head, "other columns": "rule,met\nx,yes\n", "another word": head + "a,b,mostly,x:TestY,n\n",
		"yes without a test": head + "a,b,yes,,n\n", "no with a test": head + "a,b,no,x:TestY,n\n", "no without a reason": head + "a,b,no,,\n",
		"partly without a reason": head + "a,b,partly,x:TestY,\n", "a cell too few": head + "a,b,no\n",
	} {
		if _, err := read(strings.NewReader(text)); err == nil {
			t.Errorf("%s: read", name)
		}
	}
	if _, err := renewed("a page without marks", nil); err == nil {
		t.Error("a page without marks was renewed")
	}
}
