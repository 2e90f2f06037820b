package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// checkJSON is one line of the list of checks.
type checkJSON struct {
	Check    string      `json:"check"`
	Area     string      `json:"area"`
	Layer    string      `json:"layer"`
	Title    string      `json:"title"`
	Each     string      `json:"each"`
	Gate     string      `json:"gate"`
	Waivable bool        `json:"waivable"`
	Limits   []limitJSON `json:"limits"`
}

// limitJSON is a limit as it is now.
type limitJSON struct {
	Limit    string `json:"limit"`
	Value    string `json:"value"`
	Exact    string `json:"exact"` // in base units
	Stricter string `json:"stricter"`
	Fixed    bool   `json:"fixed"`
	Pack     string `json:"pack"`             // that set it
	Base     string `json:"base"`             // its value in the base, where that is another
	Reason   string `json:"reason,omitempty"` // why it is there, or why that pack has set it
}

func limitsJSON(limits []*engine.Param, lang string) []limitJSON {
	all := make([]limitJSON, len(limits))
	for i, p := range limits {
		all[i] = limitJSON{p.Name, inWords(p, lang), exactly(p.Value), p.Stricter, p.Fixed, packName(p), "", ""}
		if p.Base.Valid() {
			all[i].Base = quantity.PrintIn(p.Base, lang, nil, p.Base)
		}
	}
	return all
}

// reasoned is the limits with the reason for each.
func reasoned(cat *engine.Catalogue, limits []*engine.Param, lang string) []limitJSON {
	all := limitsJSON(limits, lang)
	for i, p := range limits {
		all[i].Reason = filled(cat, p.Reason, lang)
	}
	return all
}

func (a *app) rulesList() *cobra.Command {
	var w where
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the checks in the order of the work",
		Long: `list shows each check, how often it is made, what it stands in front of, whether
it may be waived, and the limits it reads, also by way of a computed value. With
--place it lists what holds there.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			set, err := a.setOf(cmd.Context(), &w)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(a.listJSON(set.Catalogue()))
			}
			if err := a.printList(set.Catalogue()); err != nil {
				return err
			}
			a.printLayers(set.Catalogue())
			return nil
		},
	}
	return a.jsonFlag(w.flags(cmd))
}

func (a *app) listJSON(cat *engine.Catalogue) []checkJSON {
	all := make([]checkJSON, len(cat.Checks))
	for i, c := range cat.Checks {
		all[i] = checkJSON{
			Check: c.ID, Area: c.Area, Layer: c.Layer, Title: c.Title.In(a.config.Lang), Each: perWhat(c.Each),
			Gate: string(c.Gate), Waivable: c.Waivable, Limits: reasoned(cat, rules.About(cat, c).Limits, a.config.Lang),
		}
	}
	return all
}

func (a *app) printList(cat *engine.Catalogue) error {
	w := tabwriter.NewWriter(a.out, 0, 8, 2, ' ', 0)
	fmt.Fprintln(w, "CHECK\tAREA\tEACH\tGATE\tWAIVABLE\tLIMITS")
	for _, c := range cat.Checks {
		var limits []string
		for _, p := range rules.About(cat, c).Limits {
			limits = append(limits, p.Name+" "+inWords(p, a.config.Lang))
		}
		waivable := "no"
		if c.Waivable {
			waivable = "yes"
		}
		if len(limits) == 0 {
			limits = []string{"-"}
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", c.ID, c.Area, perWhat(c.Each), c.Gate, waivable, strings.Join(limits, ", "))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, p := range cat.Params {
		if words := metalWords(cat, p, a.config.Lang); words != "" {
			a.printf("%s: %s\n", p.Name, words)
		}
	}
	return nil
}
