package depth_test

import (
	"regexp"
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
		cause, do, err := depth.ScatterWords(lang)
		one(cause, err)
		one(do, err)
		if s, err := depth.StandoffWords(lang, "9 mi", depth.StandoffEffect{Far: 1e-14}); err != nil || !strings.Contains(s, " 0.1 %") {
			t.Errorf("far away: %q, %v", s, err)
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
	_, _, err = depth.ScatterWords("xx")
	refused(t, err, "lang")
	_, _, err = depth.CauseWords("es", "x")
	refused(t, err, "id")
}

// After "lo más probable es que" Spanish wants the subjunctive; an indicative there is
// read as a mistake (Real Academia Española, Nueva gramática, 25.4, from memory).
func TestSpanishOfTheLikely(t *testing.T) {
	indicative := regexp.MustCompile(`\b(está|hay|es otra|va|medía|se (puso|calibró|escribió))\b`)
	for _, id := range depth.CauseIDs() {
		cause, _, err := depth.CauseWords("es", id)
		if err != nil {
			t.Fatal(err)
		}
		_, likely, ok := strings.Cut(cause, "lo más probable es que ")
		likely, _, _ = strings.Cut(likely, ", que ") // what follows is a fact about views
		if ok && indicative.MatchString(likely) {
			t.Errorf("%s: %q", id, likely)
		}
	}
}
