package engine

import (
	"context"
	"strings"

	"firstrod/engine/ledger"
)

// LegalHold records that nothing of a bore or a person may be erased, or, with
// Release, one voice for ending that. by is a name; why is needed either way.
func (e *Engine) LegalHold(ctx context.Context, said Said, by, why string, h ledger.LegalHold) (ledger.Receipt, error) {
	if strings.TrimSpace(why) == "" {
		return ledger.Receipt{}, &Error{Kind: Usage, Say: "a legal hold, and its release, need a reason", Hint: "--why TEXT"}
	}
	if p, ok := e.Person(h.Person); ok && Names(why, p) {
		return ledger.Receipt{}, &Error{Kind: Usage, Say: "the reason has the name in it, and would stay in the ledger", Hint: "say it without the name"}
	}
	return e.alone(ctx, said, by, ledger.Record{Kind: ledger.KindLegalHold, Why: strings.TrimSpace(why), LegalHold: &h})
}

// Remove records that evidence whose time had passed is removed. Whoever calls it
// deletes the files afterwards: a file that is still there can be deleted later, one
// that is gone without a record is a loss.
func (e *Engine) Remove(ctx context.Context, said Said, by string, x ledger.Removed) (ledger.Receipt, error) {
	return e.alone(ctx, said, by, ledger.Record{Kind: ledger.KindRemoved, Removed: &x})
}

// alone appends a record that is about no turn of a bore.
func (e *Engine) alone(ctx context.Context, said Said, by string, r ledger.Record) (ledger.Receipt, error) {
	who, err := e.Speaker(ctx, said, by)
	if err != nil {
		return ledger.Receipt{}, err
	}
	r.V, r.Key, r.At, r.From, r.By = ledger.Version, said.Key, e.clock().UTC(), said.From, &who
	return e.store.Append(ctx, ledger.Entry{Record: r})
}
