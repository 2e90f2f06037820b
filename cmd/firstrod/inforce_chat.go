package main

import (
	"context"
	"errors"
	"fmt"

	"firstrod/engine"
	"firstrod/engine/desk"
)

// followRules brings newly published rules into force while somebody talks in the
// terminal. Nobody is told but by the talk itself: its next turn says what they
// change. What cannot be used is for the safety manager, who is not in it.
func (a *app) followRules(ctx context.Context, s *site) {
	source, err := a.ruleSource(0)
	if err != nil || source == nil {
		return // it was said when the data folder was opened
	}
	d, err := desk.New(desk.Config{
		Source: source, Accept: acceptRules, Alert: func(desk.Alert) {}, Live: s.opening.Live, Every: a.rulesEvery(),
		Record: func(ctx context.Context, book engine.Rulebook, p desk.Publication) error {
			return a.enforce(ctx, s.engine, book, p)
		},
	})
	if err == nil {
		err = d.Run(ctx)
	}
	if err != nil && !errors.Is(err, context.Canceled) {
		fmt.Fprintf(a.err, "firstrod: newly published rules are not seen: %v\n", err)
	}
}
