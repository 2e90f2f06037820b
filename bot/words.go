package bot

import (
	"embed"
	"errors"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"go.yaml.in/yaml/v3"
	"golang.org/x/text/language"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

//go:embed locale/*.yaml
var locales embed.FS

// Languages lists the languages the bot speaks.
func Languages() []string { return []string{"en", "es"} }

// words is everything the bot itself can say, per language.
type words struct {
	by map[string]*i18n.Localizer
}

func loadWords() (*words, error) {
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("yaml", yaml.Unmarshal)
	w := &words{by: map[string]*i18n.Localizer{}}
	for _, lang := range Languages() {
		if _, err := bundle.LoadMessageFileFS(locales, "locale/"+lang+".yaml"); err != nil {
			return nil, err
		}
	}
	for _, lang := range Languages() {
		w.by[lang] = i18n.NewLocalizer(bundle, lang)
	}
	return w, nil
}

// text words one message. A message that is missing in a language comes in
// English; one that is missing altogether shows its id, and fails the tests.
func (w *words) text(lang, id string, data map[string]any) string {
	s, err := w.by[lang].Localize(&i18n.LocalizeConfig{MessageID: id, TemplateData: data})
	if s == "" && err != nil {
		return id
	}
	return strings.TrimSpace(s)
}

// count words one message about n things.
func (w *words) count(lang, id string, n int, data map[string]any) string {
	if data == nil {
		data = map[string]any{}
	}
	data["N"] = n
	s, err := w.by[lang].Localize(&i18n.LocalizeConfig{MessageID: id, TemplateData: data, PluralCount: n})
	if s == "" && err != nil {
		return id
	}
	return strings.TrimSpace(s)
}

func (b *Bot) say(r *room, id string, data map[string]any) string {
	return b.words.text(r.lang, id, data)
}

func (b *Bot) sayN(r *room, id string, n int, data map[string]any) string {
	return b.words.count(r.lang, id, n, data)
}

// flatten lists our own errors inside err, the outermost first. It looks at
// each error itself, not through it: that is the point.
//
//nolint:errorlint // walks the chain by hand
func flatten(err error) []*engine.Error {
	var all []*engine.Error
	var walk func(error)
	walk = func(e error) {
		if ours, ok := e.(*engine.Error); ok {
			all = append(all, ours)
		}
		switch u := e.(type) {
		case interface{ Unwrap() error }:
			if inner := u.Unwrap(); inner != nil {
				walk(inner)
			}
		case interface{ Unwrap() []error }:
			for _, inner := range u.Unwrap() {
				walk(inner)
			}
		}
	}
	walk(err)
	if len(all) == 0 {
		all = append(all, &engine.Error{Kind: engine.Internal, Say: err.Error(), Err: errors.Unwrap(err)})
	}
	return all
}

// reason words why something could not be read, or what is unsure about it.
func (b *Bot) reason(r *room, why quantity.Reason) string {
	data := map[string]any{}
	for k, v := range why.Args {
		data[k] = v
	}
	return b.say(r, "reason."+string(why.Code), data)
}

// fault words an error of the engine that a person can mend.
func (b *Bot) fault(r *room, e *engine.Error) string {
	if e.ID == "" {
		return strings.TrimSpace(e.Say + " " + e.Hint)
	}
	data := map[string]any{}
	for k, v := range e.Args {
		data[k] = v
	}
	return b.say(r, "fault."+e.ID, data)
}
