package main

import (
	"bytes"
	"context"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
)

// rulesOfThen are the rules of a revision: the present ones, or else those that are
// kept in the ledger. Where neither is that revision, as after an update of the rule
// engine, it gives the present ones, and what is made with them says so.
func (a *app) rulesOfThen(ctx context.Context, s *site, revision string) (*rules.Set, error) {
	now, err := a.policySet(ctx)
	if err != nil || revision == "" || now.Catalogue().Revision == revision {
		return now, err
	}
	packs, err := keptPacks(ctx, s, revision)
	if err != nil || len(packs) == 0 {
		return now, err
	}
	files, err := rules.Open(packs)
	if err != nil {
		return now, nil //nolint:nilerr // kept in a form of another version: said on the page
	}
	then, err := rules.Load(ctx, files, rules.Options{})
	if err != nil || then.Catalogue().Revision != revision || !bytes.Equal(then.Catalogue().Packs, packs) {
		return now, nil //nolint:nilerr // the same
	}
	return then, nil
}

// keptPacks are the bytes of the rules of a revision, or nothing.
func keptPacks(ctx context.Context, s *site, revision string) ([]byte, error) {
	sum := ""
	err := s.store.Records(ctx, 0, func(r ledger.Record) error {
		if r.Kind == ledger.KindRules && r.Rules == revision && r.Pack != nil {
			sum = r.Pack.Blob
		}
		return nil
	})
	if err != nil || sum == "" {
		return nil, err
	}
	packs, err := s.store.Blob(ctx, sum)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Damaged, Say: "the rules of then are damaged in the ledger", Err: err}
	}
	return packs, nil
}
