// Command records writes the table of deploy/ELECTRONIC_RECORDS.md anew from
// testdata/electronic_records.csv: what two standards ask of electronic records, and
// the tests that show it, or why it is not met. Run it from the root of the tree:
//
//	go run ./deploy/records
//
// Call [section] for the text alone; a test holds the file against it.
package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
)

const (
	table = "testdata/electronic_records.csv"
	page  = "deploy/ELECTRONIC_RECORDS.md"
	begin = "<!-- generated: go run ./deploy/records -->\n"
	end   = "<!-- end of what is generated -->\n"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "records:", err)
		os.Exit(1)
	}
}

func run() error {
	f, err := os.Open(table)
	if err != nil {
		return err
	}
	defer f.Close()
	rows, err := read(f)
	if err != nil {
		return err
	}
	old, err := os.ReadFile(page)
	if err != nil {
		return err
	}
	text, err := renewed(string(old), rows)
	if err != nil {
		return err
	}
	return os.WriteFile(page, []byte(text), 0o644)
}

// row is one demand. Tests are "folder:TestName".
type row struct {
	rule, asks, met string
	tests           []string
	note            string
}

// answers lists what Met may be: no way to leave it open.
func answers() []string { return []string{"yes", "partly", "no", "procedural", "not applicable"} }

// read reads the table and refuses a demand that nothing shows and nothing explains.
func read(from io.Reader) ([]row, error) {
	all, err := csv.NewReader(from).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(all) < 2 || strings.Join(all[0], ",") != "rule,asks,met,shown_by,note" {
		return nil, fmt.Errorf("%s has no rows, or other columns", table)
	}
	var rows []row
	for _, f := range all[1:] {
		r := row{rule: f[0], asks: f[1], met: f[2], tests: strings.Fields(f[3]), note: f[4]}
		shown := r.met == "yes" || r.met == "partly"
		switch {
		case !slices.Contains(answers(), r.met):
			return nil, fmt.Errorf("%s: met is %q", r.rule, r.met)
		case shown != (len(r.tests) > 0):
			return nil, fmt.Errorf("%s is met %q and names %d tests", r.rule, r.met, len(r.tests))
		case r.met != "yes" && r.note == "":
			return nil, fmt.Errorf("%s is met %q and nobody says why", r.rule, r.met)
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// section is the table for people.
func section(rows []row) string {
	var b strings.Builder
	count := map[string]int{}
	for _, r := range rows {
		count[r.met]++
	}
	var sums []string
	for _, a := range answers() {
		if count[a] > 0 {
			sums = append(sums, fmt.Sprintf("%d %s", count[a], a))
		}
	}
	fmt.Fprintf(&b, "%d demands: %s.\n\n| demand | in short | met | shown by | and |\n|---|---|---|---|---|\n", len(rows), strings.Join(sums, ", "))
	for _, r := range rows {
		var tests []string
		for _, t := range r.tests {
			folder, name, _ := strings.Cut(t, ":")
			tests = append(tests, fmt.Sprintf("`%s` in `%s`", name, folder))
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", r.rule, r.asks, r.met, strings.Join(tests, ", "), r.note)
	}
	return b.String()
}

// renewed is the page with its generated section made anew.
func renewed(page string, rows []row) (string, error) {
	before, rest, ok := strings.Cut(page, begin)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		return "", fmt.Errorf("the page has lost the marks of what is generated")
	}
	return before + begin + section(rows) + end + after, nil
}
