package depth_test

import (
	"strings"
	"testing"

	"firstrod/engine/depth"
)

// Every cause and every extra reading has its sentences in every language, and
// each is one sentence.
func TestWordsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	one := func(s string, err error) {
		t.Helper()
		if err != nil || !strings.HasSuffix(s, ".") || strings.Count(s, ". ") > 0 || len(s) < 8 || seen[s] {
			t.Errorf("%q, %v", s, err)
		}
		seen[s] = true
	}
	for _, lang := range depth.Langs() {
		for _, id := range depth.CauseIDs() {
			cause, do, err := depth.CauseWords(lang, id)
			one(cause, err)
			one(do, err)
		}
		for _, id := range depth.ExtraIDs() {
			one(depth.ExtraWords(lang, id))
		}
	}
	e := evidence(5, 15)
	e.Bands[0].Constant = &depth.Value{U: 1}
	if d := diagnose(t, e); len(d.Ranked) != len(depth.CauseIDs()) {
		t.Errorf("%d causes ranked, %d have words", len(d.Ranked), len(depth.CauseIDs()))
	}
	_, _, err := depth.CauseWords("xx", depth.CauseNone)
	refused(t, err, "lang")
	_, err = depth.ExtraWords("en", "x")
	refused(t, err, "id")
	_, err = depth.ExtraWords("xx", depth.ExtraView)
	refused(t, err, "lang")
	_, _, err = depth.CauseWords("es", "x")
	refused(t, err, "id")
}
