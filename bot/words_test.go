package bot

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

func locale(t *testing.T, lang string) map[string]any {
	t.Helper()
	raw, err := locales.ReadFile("locale/" + lang + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := yaml.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// needed lists every message that the bot can come to say: those that its code
// names, and one for each code of the packages it speaks for.
func needed(t *testing.T) []string {
	t.Helper()
	ids := []string{}
	add := func(prefix string, names ...string) {
		for _, n := range names {
			ids = append(ids, prefix+n)
		}
	}
	for _, c := range quantity.Codes() {
		add("reason.", string(c))
	}
	add("fault.", engine.FaultIDs()...)
	add("void.", engine.Voids()...)
	add("event.", engine.Events()...)
	add("event.words.", engine.Events()...)
	add("role.", engine.Roles()...)
	add("role.words.", engine.Roles()...)
	for _, v := range engine.Verdicts() {
		add("verdict.", string(v))
	}
	for _, s := range engine.States() {
		add("state.", string(s))
	}
	for _, v := range verbs() {
		add("verb.", v.id)
	}
	return append(ids, namedInCode(t)...)
}

var named = regexp.MustCompile(`(?:say|sayN|text|count)\((?:r|lang), "([a-z_.]+[a-z_])"[,)]`)

func namedInCode(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatal("no code to look through", err)
	}
	var ids []string
	for _, f := range files {
		raw, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range named.FindAllStringSubmatch(string(raw), -1) {
			ids = append(ids, m[1])
		}
	}
	if len(ids) < 60 {
		t.Fatalf("only %d messages found in the code; the pattern is wrong", len(ids))
	}
	return ids
}

func TestEveryMessageInEveryLanguage(t *testing.T) {
	ids := needed(t)
	for _, lang := range Languages() {
		have := locale(t, lang)
		for _, id := range ids {
			if _, ok := have[id]; !ok {
				t.Errorf("%s lacks %s", lang, id)
			}
		}
		for id := range locale(t, "en") {
			if _, ok := have[id]; !ok {
				t.Errorf("%s lacks %s, which English has", lang, id)
			}
		}
	}
}

// No verb has a word that another verb has, or that starts another's.
func TestVerbsAreTellable(t *testing.T) {
	seen := map[string]string{}
	for _, v := range verbs() {
		for _, w := range v.words {
			if fold(w) != w {
				t.Errorf("%q of %s is not folded", w, v.id)
			}
			if other, ok := seen[w]; ok {
				t.Errorf("%q is of %s and of %s", w, v.id, other)
			}
			seen[w] = v.id
		}
	}
}

func TestBlanksAreTheSameInEveryLanguage(t *testing.T) {
	blank := regexp.MustCompile(`\{\{\s*\.(\w+)\s*\}\}`)
	blanks := func(v any) []string {
		raw, err := yaml.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for _, m := range blank.FindAllStringSubmatch(string(raw), -1) {
			all = append(all, m[1])
		}
		slices.Sort(all)
		return slices.Compact(all)
	}
	es := locale(t, "es")
	for id, text := range locale(t, "en") {
		if a, b := blanks(text), blanks(es[id]); !slices.Equal(a, b) {
			t.Errorf("%s fills in %v in English and %v in Spanish", id, a, b)
		}
	}
}
