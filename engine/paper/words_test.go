package paper

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

var blankIn = regexp.MustCompile(`\{[a-z]+\}`)

func TestWordsAreCompleteInEveryLanguage(t *testing.T) {
	en := wordsIn("en")
	for _, lang := range Languages() {
		w := wordsIn(lang)
		for id, s := range en.by {
			other, ok := w.by[id]
			if !ok {
				t.Errorf("%s: no words for %s", lang, id)
			}
			want, got := blankIn.FindAllString(s, -1), blankIn.FindAllString(other, -1)
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(slices.Compact(want), slices.Compact(got)) {
				t.Errorf("%s: %s has the blanks %v, want %v", lang, id, got, want)
			}
			if other == "" && id != "kind.answer" && id != "sign.in_words" {
				t.Errorf("%s: %s is empty", lang, id)
			}
		}
		for id := range w.by {
			if _, ok := en.by[id]; !ok {
				t.Errorf("%s: %s is in no other language", lang, id)
			}
		}
	}
}

// Everything that the engine can say in a code has words here.
func TestEveryCodeHasWords(t *testing.T) {
	var ids []string
	for _, v := range engine.Verdicts() {
		ids = append(ids, "verdict."+string(v))
	}
	for _, v := range engine.Voids() {
		ids = append(ids, "void."+v)
	}
	for _, e := range engine.Events() {
		ids = append(ids, "event."+e)
	}
	for _, r := range engine.Roles() {
		ids = append(ids, "role."+r)
	}
	for _, s := range []engine.Status{engine.Pass, engine.Exempt, engine.Fail, engine.Needs, engine.Broken, engine.Waived} {
		ids = append(ids, "status."+string(s))
	}
	ofNoBore := []ledger.Kind{ledger.KindStart, ledger.KindRules, ledger.KindPerson, ledger.KindErased, ledger.KindRestored,
		ledger.KindRotated, ledger.KindLegalHold, ledger.KindRemoved}
	for _, k := range ledger.Kinds() {
		if !slices.Contains(ofNoBore, k) {
			ids = append(ids, "kind."+string(k))
		}
	}
	for _, id := range ids {
		if _, ok := wordsIn("en").by[id]; !ok {
			t.Errorf("no words for %s", id)
		}
	}
}

// No message is asked for that is not there, and none is there for nothing.
func TestWordsAndCodeAgree(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	code := ""
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		raw, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		code += string(raw)
	}
	en := wordsIn("en")
	for _, m := range regexp.MustCompile(`(?:say|heading)\("([a-z_.]+[a-z])"`).FindAllStringSubmatch(code, -1) {
		if _, ok := en.by[m[1]]; !ok {
			t.Errorf("no words for %s", m[1])
		}
	}
	made := []string{"verdict.", "void.", "event.", "role.", "status.", "kind.", "area.", "mark.", "loosened."}
	for id := range en.by {
		built := slices.ContainsFunc(made, func(prefix string) bool { return strings.HasPrefix(id, prefix) })
		if !built && !strings.Contains(code, `"`+id+`"`) {
			t.Errorf("%s is never said", id)
		}
	}
	if got := en.say("as_of", "record", 4, "at", "noon"); got != "As it stood at record 4, noon." {
		t.Errorf("%q", got)
	}
	// What was filled in is not filled in again.
	if got := en.say("as_of", "record", "{at}", "at", "noon"); got != "As it stood at record {at}, noon." {
		t.Errorf("%q", got)
	}
}
