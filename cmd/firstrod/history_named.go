package main

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// noneEmpty refuses a filter with nothing in it, such as --person "$WHO" where WHO is
// not set: it would answer for everybody.
func noneEmpty(cmd *cobra.Command) error {
	var err error
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if cmd.InheritedFlags().Lookup(f.Name) == nil && f.Value.Type() == "string" && strings.TrimSpace(f.Value.String()) == "" {
			err = &engine.Error{Kind: engine.Usage, Say: "--" + f.Name + " is empty"}
		}
	})
	return err
}

var digits = regexp.MustCompile(`^[0-9a-f]+$`)

// spelt refuses what no record can have: to an auditor "0 records" means that it
// never happened, not that a word was mistyped.
func (q *asked) spelt() error {
	say := ""
	switch f := q.filter; {
	case f.Role != "" && !slices.Contains(engine.Roles(), f.Role):
		say = fmt.Sprintf("there is no role called %q; there are %s", f.Role, strings.Join(engine.Roles(), ", "))
	case q.void != "" && q.void != anyOne && !slices.Contains(engine.Voids(), q.void):
		say = fmt.Sprintf("no release is void for %q; the reasons are %s, or any", q.void, strings.Join(engine.Voids(), ", "))
	case f.Rules != "" && !digits.MatchString(f.Rules):
		say = fmt.Sprintf("a rule revision is digits and the letters a to f in small, and %q is not", f.Rules)
	case f.Place != "" && !engine.ValidJurisdiction(f.Place):
		say = fmt.Sprintf("%q is no jurisdiction; write it as US-VA or US-VA/alder", f.Place)
	}
	if say == "" {
		return nil
	}
	return &engine.Error{Kind: engine.Usage, Say: say}
}

// anyOne is what a filter takes for whatever there is.
const anyOne = "any"

// named refuses a check or a limit that neither the rules of today nor any on
// record know.
func named(ctx context.Context, s *site, q *asked) error {
	if check, _ := engine.SplitKey(q.filter.Check); check != "" {
		ok, err := checkKnown(ctx, s, check)
		if err == nil && !ok {
			err = &engine.Error{Kind: engine.NotFound, Say: fmt.Sprintf("no rules on record have a check called %q", check), Hint: "firstrod rules list has those of today"}
		}
		if err != nil {
			return err
		}
	}
	if q.loose == "" || q.loose == anyOne {
		return nil
	}
	ok, err := limitKnown(ctx, s, q.loose)
	if err == nil && !ok {
		err = &engine.Error{Kind: engine.NotFound, Say: fmt.Sprintf("no rules have a limit called %q, and none on record was loosened", q.loose), Hint: "firstrod rules explain CHECK names those it reads"}
	}
	return err
}

// catalogues are what the rules of today say everywhere.
func catalogues(e *engine.Engine) (all []*engine.Catalogue) {
	for _, place := range append([]string{""}, e.Places()...) {
		all = append(all, e.Catalogue(place))
	}
	return all
}

func checkKnown(ctx context.Context, s *site, id string) (bool, error) {
	for _, c := range catalogues(s.engine) {
		if _, ok := c.Check(id); ok {
			return true, nil
		}
	}
	known := false
	err := s.store.Rules(ctx, func(r ledger.Record) error {
		known = known || r.Pack != nil && slices.ContainsFunc(r.Pack.Checks, func(c ledger.PackCheck) bool { return c.ID == id })
		return nil
	})
	return known, err
}

func limitKnown(ctx context.Context, s *site, name string) (bool, error) {
	for _, c := range catalogues(s.engine) {
		if slices.ContainsFunc(c.Params, func(p *engine.Param) bool { return p.Name == name }) {
			return true, nil
		}
	}
	if known, err := checkKnown(ctx, s, name); known || err != nil {
		return known, err
	}
	known := false
	_, err := s.store.Find(ctx, boltstore.Query{Filter: ledger.Filter{Loose: name, Looser: true}, Limit: 1}, func(ledger.Record) error { known = true; return nil })
	return known, err
}
