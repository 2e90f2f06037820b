package paper_test

import (
	"flag"
	stdhtml "html"
	"os"
	"regexp"
	"strings"
	"testing"

	"firstrod/engine/paper"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	styles = regexp.MustCompile(`(?s)<style>.*?</style>|<svg.*?</svg>`)
	tags   = regexp.MustCompile(`<[^>]*>`)
	cells  = regexp.MustCompile(`</(td|th|dt)>`)
)

// closed.json is the record of the demo's bore as this program once wrote it. That it
// still reads, and what comes of it, holds the promise that fields are only added.
func TestARecordOfOldStillReads(t *testing.T) {
	raw, err := os.ReadFile("testdata/closed.json")
	if err != nil {
		t.Fatal(err)
	}
	d, err := paper.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	again, err := paper.JSON(d)
	if err != nil || len(again) < len(raw) {
		t.Errorf("%d bytes of %d came back: %v", len(again), len(raw), err)
	}
	golden(t, "testdata/closed.en.txt", lettersOf(html(t, d)))
	d.Lang = "es" // what this package itself says; the values stay as they were written
	golden(t, "testdata/closed.es.txt", lettersOf(html(t, d)))
}

// lettersOf is the text of a page, a line each, cells apart by a bar.
func lettersOf(page string) string {
	page = cells.ReplaceAllString(styles.ReplaceAllString(page, ""), " | ")
	page = stdhtml.UnescapeString(tags.ReplaceAllString(page, ""))
	var lines []string
	for _, l := range strings.Split(page, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil || string(want) != got {
		t.Errorf("%s differs (%v); -update writes it anew:\n%s", path, err, got)
	}
}
