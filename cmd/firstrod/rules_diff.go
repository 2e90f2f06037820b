package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

func (a *app) rulesDiff() *cobra.Command {
	var w where
	return a.jsonFlag(w.flags(&cobra.Command{
		Use:   "diff BEFORE AFTER",
		Short: "Say in words what one rule pack changes about another",
		Long: `diff names the checks that were added, taken away or changed, and the limits
that became stricter or looser, with their values, and the places where they did.
BEFORE and AFTER are folders, or "base" for the base inside this program, without
local packs. With --place only the rules of that place are compared: "rules diff
base DIR --place US-VA" says what the packs of that place change.`,
		Args: cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if w.place == "" && w.day == "" {
				return a.diffEverywhere(cmd.Context(), args[0], args[1])
			}
			before, err := draftOf(cmd.Context(), args[0], &w)
			if err != nil {
				return err
			}
			after, err := draftOf(cmd.Context(), args[1], &w)
			if err != nil {
				return err
			}
			d, err := rules.Compare(before, after)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(a.diffJSON(d, after.Catalogue()))
			}
			if d.None() {
				a.printf("Both say the same.\n")
			}
			a.printDiff(d, after.Catalogue())
			return nil
		},
	}))
}

func (a *app) diffEverywhere(ctx context.Context, before, after string) error {
	old, err := draftBook(ctx, before)
	if err != nil {
		return err
	}
	now, err := draftBook(ctx, after)
	if err != nil {
		return err
	}
	c, err := a.changesOf(old, now)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(a.changesJSON(c))
	}
	c.print(a)
	return nil
}

func (a *app) printDiff(d rules.Difference, after *engine.Catalogue) {
	lang := a.config.Lang
	a.printPacks(d)
	for _, c := range d.Added {
		a.printf("stricter: new check %s: %s\n", c.ID, c.Title.In(lang))
	}
	for _, c := range d.Removed {
		a.printf("looser: check %s is gone: %s\n", c.ID, c.Title.In(lang))
	}
	for _, l := range d.Limits {
		a.printf("%s\n", a.limitWords(l))
		for _, line := range metalLines(after, l, lang) {
			a.printf("    %s\n", line)
		}
		a.printDetails(l.What)
		a.printReaders(l.Readers)
	}
	for _, e := range d.Eased {
		a.printEased(e)
	}
	for _, c := range d.Changed {
		a.printf("changed: check %s: %s\n", c.After.ID, c.After.Title.In(lang))
		a.printRules("before", c.Gone)
		a.printRules("now", c.New)
		a.printDetails(c.What)
	}
}

// limitWords is one limit's change in one sentence.
func (a *app) limitWords(l rules.LimitChange) string {
	lang := a.config.Lang
	switch {
	case l.Before == nil:
		return "changed: new limit " + l.After.Name + ": " + inWords(l.After, lang) + "; " + direction(l.After)
	case l.After == nil:
		return "changed: limit " + l.Before.Name + " is gone; it was " + inWords(l.Before, lang)
	case l.Before.Value.Equal(l.After.Value):
		return "changed: limit " + l.After.Name + " is " + inWords(l.After, lang) + " as before"
	}
	was, is := apart(l.Before, l.After, lang)
	return string(l.Way) + ": limit " + l.After.Name + " was " + was + " and is now " + is + "; " + direction(l.After)
}

func (a *app) printReaders(readers []*engine.Check) {
	if len(readers) == 0 {
		a.printf("    no check reads it\n")
		return
	}
	ids := make([]string, len(readers))
	for i, c := range readers {
		ids[i] = c.ID
	}
	a.printf("    read by %s\n", strings.Join(ids, ", "))
}

func (a *app) printDetails(all []rules.Detail) {
	for _, d := range all {
		way := ""
		if d.Way != rules.Other {
			way = string(d.Way) + ": "
		}
		switch {
		case d.Before == "" && d.After == "":
			a.printf("    %s%s: in other words\n", way, d.Name)
		default:
			a.printf("    %s%s: was %s, is now %s\n", way, d.Name, orNothing(d.Before), orNothing(d.After))
		}
	}
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

func (a *app) printRules(heading string, texts []string) {
	for _, text := range texts {
		a.printf("    the rule %s:\n        %s\n", heading, strings.ReplaceAll(text, "\n", "\n        "))
	}
}
