package paper

import (
	"embed"
	"fmt"
	"strings"
	"sync"

	"go.yaml.in/yaml/v3"
)

//go:embed words/*.yaml
var wordFiles embed.FS

// Languages lists the languages a document can be in.
func Languages() []string { return []string{"en", "es"} }

// words is everything that this package itself says, in one language.
type words struct {
	lang string
	by   map[string]string
}

// catalogues are read once and never changed.
var catalogues = sync.OnceValue(func() map[string]words {
	all := map[string]words{}
	for _, lang := range Languages() {
		raw, err := wordFiles.ReadFile("words/" + lang + ".yaml")
		if err != nil {
			panic("paper: " + err.Error()) // compiled in: a test would have met it
		}
		w := words{lang, map[string]string{}}
		if err := yaml.Unmarshal(raw, &w.by); err != nil {
			panic("paper: " + err.Error())
		}
		all[lang] = w
	}
	return all
})

// wordsIn is the catalogue of a language, English for one that is not there.
func wordsIn(lang string) words {
	if w, ok := catalogues()[lang]; ok {
		return w
	}
	return catalogues()["en"]
}

// say words one message; what follows are names and values of its blanks, in turn. A
// message that is not there shows its id, and fails the tests.
func (w words) say(id string, blanks ...any) string {
	s, ok := w.by[id]
	if !ok {
		return id
	}
	var pairs []string
	for i := 0; i+1 < len(blanks); i += 2 {
		pairs = append(pairs, fmt.Sprintf("{%v}", blanks[i]), fmt.Sprint(blanks[i+1]))
	}
	return strings.TrimSpace(strings.NewReplacer(pairs...).Replace(s))
}

// name is a word for a code of which the list may grow: its words, or the code.
func (w words) name(kind, code string) string {
	if s, ok := w.by[kind+"."+code]; ok {
		return s
	}
	return strings.ReplaceAll(code, "_", " ")
}
