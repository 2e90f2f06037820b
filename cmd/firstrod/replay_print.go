package main

import (
	"fmt"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// shownReleases is how many releases are listed in words; JSON has them all.
const shownReleases = 10

func (a *app) printReplay(out engine.Outcome, diffs changes, cat *engine.Catalogue) {
	a.printf("%s, %s, of these %s.\n\n", count(out.Bores, "bore"), count(out.Decisions, "decision"), count(out.Releases, "release"))
	diffs.print(a)
	a.printf("\n")
	if len(out.Checks) > 0 {
		a.printf("%-34s %11s %11s %11s %7s %6s\n", "CHECK", "newly fails", "newly holds", "would need", "breaks", "bores")
	}
	for _, c := range out.Checks {
		a.printf("%-34s %11d %11d %11d %7d %6d\n", c.Check.ID, c.Fails, c.Holds, c.Asks, c.Breaks, c.Bores)
		for _, e := range c.Worst {
			a.printf("    %s\n", a.exampleWords(e, cat))
		}
	}
	switch {
	case len(diffs.all) > 0 && !diffs.met(out.Places):
		a.printf("No bore on record lay where these rules differ, so the records cannot say what they would do there.\n")
	case len(out.Checks) == 0:
		a.printf("No finding would have come out another way.\n")
	}
	for _, n := range out.Needs {
		a.printf("would need: %s, at %s\n", askWords(cat, n.Ask, a.config.Lang), count(n.Decisions, "decision"))
	}
	a.printReleases(out)
}

func (a *app) printReleases(out engine.Outcome) {
	a.printf("\n%d of %s would not have been given.\n", len(out.Refused), count(out.Releases, "release"))
	a.printReleaseChanges(out.Refused)
	if n := len(out.Wanting); n > 0 {
		a.printf("%s could not be said: the records lack an answer that would be asked.\n", count(n, "release"))
		a.printReleaseChanges(out.Wanting)
	}
	if n := len(out.Passable); n > 0 {
		a.printf("%s would newly have nothing in the way of a release; there was then:\n", count(n, "decision"))
		a.printReleaseChanges(out.Passable)
	}
}

func (a *app) printReleaseChanges(all []engine.ReleaseChange) {
	for _, c := range all[:min(len(all), shownReleases)] {
		a.printf("    %s, record %d on %s: %s\n", c.Bore, c.Record, c.At.Format(time.DateOnly), strings.Join(c.Stops, ", "))
	}
	if n := len(all) - shownReleases; n > 0 {
		a.printf("    and %d more; --json lists all\n", n)
	}
}

// exampleWords is one finding with its value against the limit.
func (a *app) exampleWords(e engine.Example, cat *engine.Catalogue) string {
	lang := a.config.Lang
	line := fmt.Sprintf("%s, record %d on %s", e.Bore, e.Record, e.At.Format(time.DateOnly))
	if id, subject := engine.SplitKey(e.Key); subject != "" && id != e.Key {
		line += ", " + subjectWords(cat, id, subject)
	}
	line += ": " + string(e.Is) + wasWords(e.Was)
	if s := e.Sight; s != nil {
		line += fmt.Sprintf("; %s %s, limit %s", leafWords(s.Name), quantity.PrintIn(s.Value, lang, nil, s.Is), quantity.PrintIn(s.Is, lang, nil, s.Value))
		if s.Was.Valid() && !s.Was.Equal(s.Is) {
			line += ", was " + quantity.PrintIn(s.Was, lang, nil, s.Value)
		}
	}
	var asks []string
	for _, key := range e.Missing {
		ask, _ := engine.SplitKey(key)
		asks = append(asks, askWords(cat, ask, lang))
	}
	if len(asks) > 0 {
		line += "; would need " + strings.Join(asks, ", ")
	}
	return line
}

func wasWords(was engine.Status) string {
	if was == "" {
		return ", a new check"
	}
	return ", was " + string(was)
}

// subjectWords is the item a finding is about, as people write it.
func subjectWords(cat *engine.Catalogue, check, subject string) string {
	if ch, ok := cat.Check(check); ok && ch.Each == engine.PerFrequency {
		if v, err := quantity.Parse(quantity.Frequency, subject, nil); err == nil {
			return quantity.Print(v)
		}
	}
	return subject
}

// askWords is what a question is about, in a few words.
func askWords(cat *engine.Catalogue, ask, lang string) string {
	if a, ok := cat.Ask(ask); ok {
		return a.Name(lang)
	}
	return strings.ReplaceAll(ask, "_", " ")
}
