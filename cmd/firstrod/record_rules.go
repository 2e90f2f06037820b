package main

import (
	"context"

	"firstrod/engine"
)

// rulesOfThen are the rules of a revision as the ledger kept them. Where it cannot
// make them again, as after an update of the rule engine, it gives the present ones
// of the jurisdiction, and what is made with them says so.
func rulesOfThen(ctx context.Context, s *site, revision, jurisdiction string, day int64) (engine.Rulebook, error) {
	then, err := s.engine.RulesOf(ctx, revision)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Damaged, Say: "the rules of then are damaged in the ledger", Err: err}
	}
	if then == nil {
		then = s.book.At(jurisdiction, day)
	}
	return engine.Everywhere(then), nil
}
