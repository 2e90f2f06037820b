package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// checkedJSON says whether a pack can be used.
type checkedJSON struct {
	Usable   bool            `json:"usable"`
	Revision string          `json:"revision"`
	Checks   int             `json:"checks"`
	Faults   []packFaultJSON `json:"faults"`
	Notes    []string        `json:"notes"`
	Local    []layerJSON     `json:"local"`
}

// layerJSON is a local pack.
type layerJSON struct {
	Code  string `json:"code"`
	Holds string `json:"holds"`
}

type packFaultJSON struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Say  string `json:"say"`
	Hint string `json:"hint"`
}

func (a *app) rulesCheck() *cobra.Command {
	var w where
	cmd := &cobra.Command{
		Use:   "check [DIR]",
		Short: "Look for faults in rule packs, as a bot that starts with them would",
		Long: `check reads the base and every local pack and prints every fault with its file and
line, and what to do about it. Faults that hide others come first: when they are
gone, check again. It runs no tests; "rules test" does. With --place it says what
holds there.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := packsNamed(a.packOf(args))
			if err != nil {
				return a.orFaults(packs{name: a.packOf(args)}, err)
			}
			b, err := p.book(cmd.Context())
			if err != nil {
				return a.orFaults(p, err)
			}
			if err := wary(cmd.Context(), p.layers, b); err != nil {
				return a.orFaults(p, err)
			}
			set, err := w.set(b)
			if err != nil {
				return err
			}
			return a.sayUsable(b, set)
		},
	}
	return a.jsonFlag(w.flags(cmd))
}

// orFaults prints the faults that an error knows of, or gives it back.
func (a *app) orFaults(p packs, err error) error {
	faults := rules.Faults(err)
	if len(faults) == 0 {
		return err
	}
	return errors.Join(a.sayFaults(p, faults), unusable(len(faults)))
}

// unusable ends a verb whose output has named the faults already.
func unusable(n int) error {
	say, hint := "1 fault; a bot would not start with these rules", "put it right and check again"
	if n > 1 {
		say = fmt.Sprintf("%d faults; a bot would not start with these rules", n)
		hint = "put them right and check again; one may be hiding another"
	}
	return &engine.Error{Kind: engine.Rules, Say: say, Hint: hint}
}

func (a *app) sayUsable(b *rules.Book, set *rules.Set) error {
	cat := set.Catalogue()
	if a.json {
		v := checkedJSON{Usable: true, Revision: cat.Revision, Checks: len(cat.Checks), Faults: []packFaultJSON{}, Notes: append([]string{}, b.Notes()...)}
		v.Local = []layerJSON{}
		for _, l := range b.Packs() {
			v.Local = append(v.Local, layerJSON{l.Code, l.Holds})
		}
		return a.printJSON(v)
	}
	for _, n := range b.Notes() {
		a.printf("note: %s\n", n)
	}
	a.printf("These rules can be used: %d checks, %d questions, %d limits; revision %.16s.\n",
		len(cat.Checks), len(cat.Asks), len(cat.Params), cat.Revision)
	for _, l := range b.Packs() {
		a.printf("Local pack %s holds in %s: %s.\n", l.Code, l.Holds, l.Title.In(a.config.Lang))
	}
	a.printLayers(cat)
	a.printEnded(b)
	return nil
}

func (a *app) sayFaults(p packs, faults []rules.Fault) error {
	if a.json {
		v := checkedJSON{Faults: make([]packFaultJSON, len(faults)), Notes: []string{}, Local: []layerJSON{}}
		for i, f := range faults {
			v.Faults[i] = packFaultJSON{strings.TrimPrefix(f.File, p.cut()), f.Line, f.Say, f.Hint}
		}
		return a.printJSON(v)
	}
	for _, f := range faults {
		if at := p.located(f); at != "" {
			a.printf("%s: ", at)
		}
		a.printf("%s\n", f.Say)
		if f.Hint != "" {
			a.printf("    %s\n", f.Hint)
		}
	}
	return nil
}
