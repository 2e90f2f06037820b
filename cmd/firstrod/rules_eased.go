package main

import (
	"fmt"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// printPacks says which packs came, went, or are called otherwise, and what becomes
// of releases given before.
func (a *app) printPacks(d rules.Difference) {
	lang := a.config.Lang
	for _, p := range d.Packs {
		switch {
		case p.Before == nil:
			a.printf("new pack %s: %s\n", p.Code, p.After.In(lang))
		case p.After == nil:
			a.printf("the pack %s is gone: %s\n", p.Code, p.Before.In(lang))
		default:
			a.printf("the pack %s was called %q and is now %q\n", p.Code, p.Before.In(lang), p.After.In(lang))
		}
	}
	if r := d.Releases; r != nil {
		a.printf("%s: %s\n", r.Way, map[string]string{
			engine.PublishRecheck: "a release given before is void where these rules do not hold (on_publish: recheck)",
			engine.PublishKeep:    "a release given before stands to its end (on_publish: keep)",
		}[r.After])
	}
}

// printEased says what is loosened for a time, or no longer, or for another time.
func (a *app) printEased(e rules.EaseChange) {
	if e.After == nil {
		a.printf("%s: %s is no longer loosened by %s; it was until %s\n", e.Way, e.Before.Name, e.Before.Pack, a.dateWords(e.Before.Until))
		return
	}
	l, off := e.After, ""
	if l.How == "off" {
		off = "the check is off: "
	}
	was := ""
	if e.Before != nil && e.Before.Until != l.Until {
		was = ", was until " + a.dateWords(e.Before.Until)
	}
	a.printf("%s: %s%s is loosened by %s until %s%s%s\n", e.Way, off, l.Name, l.Pack, a.dateWords(l.Until), spanWords(l.Until), was)
	a.printf("    approved by %s: %s\n", l.By, l.Why.In(a.config.Lang))
}

func (a *app) dateWords(day int64) string {
	return quantity.PrintIn(quantity.Of(quantity.Date, day), a.config.Lang, nil)
}

// spanWords makes plain that a day is far away: nobody looks again before it.
func spanWords(until int64) string {
	days := until - today()
	if days <= 400 {
		return ""
	}
	return fmt.Sprintf(", more than %s from now", count(int(days/365), "year"))
}

// printEnded says what a pack would loosen if its last day were not over. An author
// who has forgotten the day would take it to hold.
func (a *app) printEnded(b *rules.Book) {
	told := map[string]bool{}
	for _, place := range b.Places() {
		for _, l := range b.Set(place, today()).Catalogue().Ended {
			if key := l.Pack + " " + l.Name; !told[key] {
				told[key] = true
				a.printf("%s\n", a.endedWords(l))
			}
		}
	}
}

func (a *app) endedWords(l engine.Loosened) string {
	holds := "it is made again"
	if l.How == "" {
		holds = quantity.PrintIn(l.Was, a.config.Lang, nil, l.Was, l.Is) + " holds again"
	}
	return fmt.Sprintf("over: %s is loosened by %s no more since %s, so %s. Take the entry away, or have it approved anew with a later day.",
		l.Name, l.Pack, a.dateWords(l.Until+1), holds)
}

// approvedBy refuses what is newly loosened with the approval of whoever publishes it:
// two people, or it is nobody's check on the other.
func (c changes) approvedBy(publisher string) error {
	for _, one := range c.all {
		for _, e := range one.Eased {
			if e.After != nil && strings.EqualFold(strings.TrimSpace(e.After.By), strings.TrimSpace(publisher)) {
				return &engine.Error{Kind: engine.Rules, Say: e.After.Name + " would be loosened with the approval of " + publisher + ", who publishes it",
					Hint: "have somebody else approve it, and name them under approved_by"}
			}
		}
	}
	return nil
}
