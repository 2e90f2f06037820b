package main

import (
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// explainJSON is all that stands behind a check.
type explainJSON struct {
	checkJSON
	Demands   string       `json:"demands"`
	AppliesBy []readJSON   `json:"applies_by"` // empty: it always applies
	HoldsBy   []readJSON   `json:"holds_by"`
	Sources   []sourceJSON `json:"sources"`
	MayWaive  string       `json:"may_waive"`
	Why       string       `json:"why"`
	Remedy    string       `json:"remedy"`
	File      string       `json:"file"`
}

// readJSON is one value that a check reads, and the questions behind it.
type readJSON struct {
	Value string   `json:"value"`
	Asks  []string `json:"asks"`
}

// sourceJSON is where a rule comes from. Status "" is a published text.
type sourceJSON struct {
	Ref    string `json:"ref"`
	Name   string `json:"name"`
	Status string `json:"status"`
}

func (a *app) rulesExplain() *cobra.Command {
	var w where
	cmd := &cobra.Command{
		Use:   "explain CHECK|LIMIT",
		Short: "Say what stands behind one check or one limit",
		Long: `explain shows what a check reads and which questions are behind it, where the
rule comes from, the limits as they are now, who may waive it, why it is there
and what to do when it does not hold. --lang es gives its texts in Spanish. With
--place it also says which pack has set a limit and why, and until when it is
loosened. Of a limit, such as ground.standoff, it shows the value, who set it, where
it comes from and why, and which checks read it.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			book, err := a.bookInUse(cmd.Context())
			if err != nil {
				return err
			}
			set, err := w.set(book)
			if err != nil {
				return err
			}
			if p, ok := limitNamed(set.Catalogue(), args[0]); ok {
				return a.explainLimit(set.Catalogue(), p)
			}
			c, err := findCheck(set.Catalogue(), book, args[0])
			if err != nil {
				return err
			}
			demands, err := rules.Demands(set.Catalogue())
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(a.explainJSON(set.Catalogue(), c, demands[c.ID]))
			}
			a.printExplain(set.Catalogue(), c, demands[c.ID])
			return nil
		},
	}
	return a.jsonFlag(w.flags(cmd))
}

func (a *app) explainJSON(cat *engine.Catalogue, c *engine.Check, demand string) explainJSON {
	about, lang := rules.About(cat, c), a.config.Lang
	e := explainJSON{
		checkJSON: checkJSON{c.ID, c.Area, c.Layer, c.Title.In(lang), perWhat(c.Each), string(c.Gate), c.Waivable, reasoned(cat, about.Limits, lang)},
		Demands:   demand, AppliesBy: readsJSON(about.Exempt), HoldsBy: readsJSON(about.Pass), Sources: []sourceJSON{},
		MayWaive: mayWaive(c), Why: filled(cat, c.Why, lang), Remedy: filled(cat, c.Remedy, lang), File: c.File,
	}
	for _, s := range c.Sources {
		e.Sources = append(e.Sources, sourceJSON{s.Ref, s.Name, s.Status})
	}
	return e
}

func readsJSON(reads []rules.Reading) []readJSON {
	all := []readJSON{}
	for _, r := range reads {
		one := readJSON{Value: r.Leaf, Asks: []string{}}
		for _, ask := range asksOf(r) {
			one.Asks = append(one.Asks, ask.ID)
		}
		all = append(all, one)
	}
	return all
}

// asksOf lists the questions behind a value, its own included.
func asksOf(r rules.Reading) []*engine.Ask {
	if r.Ask != nil {
		return []*engine.Ask{r.Ask}
	}
	return r.From
}

func (a *app) printExplain(cat *engine.Catalogue, c *engine.Check, demand string) {
	about, lang := rules.About(cat, c), a.config.Lang
	a.printf("%s  %s\n\n", c.ID, c.Title.In(lang))
	a.printf("demands      %s\n", demand)
	a.printf("made         once for each %s, %s\n", perWhat(c.Each), standsBefore(c.Gate))
	a.printReads("applies by", about.Exempt)
	a.printReads("holds by", about.Pass)
	for i, s := range c.Sources {
		a.printf("%-12s %s\n", first(i, "source"), sourceLine(s))
	}
	for i, p := range about.Limits {
		fixed := ""
		if p.Fixed {
			fixed = ", fixed"
		}
		a.printf("%-12s %s is %s%s; %s%s\n", first(i, "limits"), p.Name, inWords(p, lang), setBy(cat, p, lang), direction(p), fixed)
		a.printf("%-12s   %s\n", "", sourceLine(p.Source))
		if why := filled(cat, p.Reason, lang); why != "" {
			a.printf("%-12s   %s\n", "", why)
		}
		if words := metalWords(cat, p, lang); words != "" {
			a.printf("%-12s   %s\n", "", words)
		}
		for _, l := range cat.Ended {
			if l.Name == p.Name {
				a.printf("%-12s   %s\n", "", a.endedWords(l))
			}
		}
	}
	if len(about.Limits) == 0 {
		a.printf("%-12s none\n", "limits")
	}
	a.printf("%-12s %s\n", "may waive", mayWaive(c))
	a.printf("%-12s %s\n", "why", filled(cat, c.Why, lang))
	a.printf("%-12s %s\n", "remedy", filled(cat, c.Remedy, lang))
	a.printf("%-12s %s\n", "file", c.File)
}

// setBy says which pack set a limit, in place of what, and until when it is loosened.
func setBy(cat *engine.Catalogue, p *engine.Param, lang string) string {
	if !p.Base.Valid() {
		if packName(p) == basePack {
			return ""
		}
		return ", a limit of " + p.Pack
	}
	say := ", set by " + p.Pack + " (base: " + quantity.PrintIn(p.Base, lang, nil, p.Base, p.Value) + ")"
	for _, l := range cat.Loose {
		if l.Name == p.Name && l.Pack == p.Pack {
			say += ", loosened until " + quantity.PrintIn(quantity.Of(quantity.Date, l.Until), lang, nil)
		}
	}
	return say
}

// first is a heading on the first of several lines.
func first(i int, heading string) string {
	if i == 0 {
		return heading
	}
	return ""
}

func (a *app) printReads(heading string, reads []rules.Reading) {
	for i, r := range reads {
		a.printf("%-12s %s\n", first(i, heading), a.readWords(r))
	}
}

// readWords is one value in words: a question as it is put to a crew, or what a
// value is computed from.
func (a *app) readWords(r rules.Reading) string {
	lang := a.config.Lang
	if r.Ask != nil {
		return r.Ask.ID + ": " + placeInText.ReplaceAllString(r.Ask.Prompt.In(lang), "...")
	}
	var asks []string
	for _, ask := range r.From {
		asks = append(asks, ask.ID)
	}
	if len(asks) == 0 {
		return leafWords(r.Leaf) + ": known to the program"
	}
	return leafWords(r.Leaf) + ": worked out from " + strings.Join(asks, ", ")
}
