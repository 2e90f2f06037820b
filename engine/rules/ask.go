package rules

import (
	"slices"
	"time"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// kinds lists what an ask can be about.
func kinds() []string {
	all := []quantity.Kind{
		quantity.Length, quantity.Frequency, quantity.Voltage, quantity.Duration, quantity.Percent,
		quantity.Decibel, quantity.Count, quantity.Date, quantity.Time, quantity.YesNo,
		quantity.Choice, quantity.Text, quantity.Serial, quantity.Frequencies, quantity.Names,
		quantity.Lengths, quantity.Pitches,
	}
	words := make([]string, len(all))
	for i, k := range all {
		words[i] = string(k)
	}
	return words
}

// ask reads one entry of "asks".
func (r *reader) ask(n *yaml.Node, c *engine.Check) engine.Ask {
	got := r.fields(n, "*id", "*kind", "unit", "min", "max", "outside", "together", "lead", "carry",
		"good_for", "redo_after", "means", "ends", "who", "options", "label", "*prompt")
	a := engine.Ask{
		ID: r.label(got["id"]), Check: c.ID, Scope: c.Each,
		Kind:      quantity.Kind(r.word(got["kind"], kinds()...)),
		Soft:      r.word(got["outside"], "ask", "refuse") == "ask",
		Together:  r.label(got["together"]),
		Carry:     r.word(got["carry"], "gear", "place"),
		RedoAfter: r.words(got["redo_after"], events()...),
		Means:     r.word(got["means"], engine.Events()...),
		Ends:      r.flag(got["ends"]),
		Who:       r.words(got["who"], engine.Roles()...),
		Label:     r.text(got["label"]),
		Prompt:    r.text(got["prompt"]),
		Lead:      r.text(got["lead"]),
	}
	r.limits(&a, got)
	r.options(&a, got["options"], n)
	r.lifetime(&a, got)
	if a.Lead != nil && a.Together == "" {
		r.fault(got["lead"], "a lead is for asks that come together; there is no \"together\" here")
	}
	return a
}

// limits reads the unit and the range, which are of the kind of the items
// where the ask is for a list.
func (r *reader) limits(a *engine.Ask, got map[string]*yaml.Node) {
	kind := a.Kind
	if item, ok := kind.Item(); ok {
		kind = item
	}
	if got["unit"] != nil {
		a.Unit = r.phrase(got["unit"])
		if _, err := quantity.ParseHuman(kind, "1 "+a.Unit); kind != "" && err != nil {
			r.fault(got["unit"], "%q is not a unit of %s", a.Unit, kind)
		}
	}
	a.Min, a.Max = r.limit(kind, got["min"]), r.limit(kind, got["max"])
	if a.Min != nil && a.Max != nil && a.Min.Rat().Cmp(a.Max.Rat()) > 0 {
		r.fault(got["min"], "the smallest value %q is more than the largest %q", got["min"].Value, got["max"].Value)
	}
	if a.Soft && a.Min == nil && a.Max == nil {
		r.fault(got["outside"], "\"outside\" says what to do outside min and max, and neither is given")
	}
}

func (r *reader) limit(kind quantity.Kind, n *yaml.Node) *quantity.Value {
	if n == nil || kind == "" {
		return nil
	}
	if !kind.Numeric() {
		r.fault(n, "a %s has no smallest or largest value", kind)
		return nil
	}
	v, ok := r.amount(kind, n)
	if !ok {
		return nil
	}
	return &v
}

// options reads the answers of a choice.
func (r *reader) options(a *engine.Ask, n, whole *yaml.Node) {
	if a.Kind != quantity.Choice {
		if n != nil {
			r.fault(n, "options are for asks of kind choice, and this is %s", a.Kind)
		}
		return
	}
	if n == nil {
		r.fault(whole, "a choice must list its options")
		return
	}
	taken := map[string]bool{}
	for _, item := range r.items(n) {
		got := r.fields(item, "*id", "*label", "words")
		o := engine.AskOption{ID: r.label(got["id"]), Label: r.text(got["label"])}
		if taken[o.ID] {
			r.fault(item, "the option %q stands here twice", o.ID)
		}
		taken[o.ID] = true
		for _, w := range r.items(got["words"]) {
			o.Words = append(o.Words, r.sentence(w))
		}
		a.Options = append(a.Options, o)
	}
	r.apart(a, n)
}

// apart refuses a word that means two options: whoever typed it would be asked again
// and again which is meant.
func (r *reader) apart(a *engine.Ask, n *yaml.Node) {
	w := quantity.Want{Kind: quantity.Choice}
	for _, o := range a.Options {
		words := slices.Clone(o.Words)
		for _, lang := range sortedKeys(o.Label) {
			words = append(words, o.Label[lang])
		}
		w.Options = append(w.Options, quantity.Option{ID: o.ID, Words: words})
	}
	for i, o := range w.Options {
		for _, word := range append([]string{o.ID}, o.Words...) {
			if got := quantity.Read(word, w); i > 0 && got.Reason.Code == quantity.ChoiceUnclear {
				r.fault(n.Content[i], "%q means more than one option here (%s); give each option words of its own", word, got.Reason.Args["choices"])
				return
			}
		}
	}
}

// lifetime reads what ends the life of an answer, or of a release with it.
func (r *reader) lifetime(a *engine.Ask, got map[string]*yaml.Node) {
	if a.Ends && a.Kind != quantity.Time && a.Kind != quantity.Date {
		r.fault(got["ends"], "only a time or a date can end a release, and this is %s", a.Kind)
	}
	s := r.phrase(got["good_for"])
	if s == "" {
		return
	}
	v, err := quantity.ParseHuman(quantity.Duration, s)
	if err != nil || v.Base() <= 0 {
		r.fault(got["good_for"], "%q is not a time such as \"12 h\"", s)
		return
	}
	a.GoodFor = time.Duration(v.Base()) * time.Second
}
