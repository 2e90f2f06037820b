package engine

import (
	"context"
	"strings"

	"firstrod/engine/ledger"
)

// Erasure is whose name is to be erased, and why.
type Erasure struct {
	Person string // id
	Ground string // the legal ground, in words
	By     string // name of who asks for it; may be the person's own
}

// Erase deletes a person's name, reference and salt and records that it did: who
// asked, on what ground, whose, and not what. Roles and everything that the person
// said stay, and so do proofs and checkpoints. Whether the name may be erased at
// all, for retention or a legal hold, is for the caller to ask first, see package
// keep. The bytes are still in free pages of the store until it is compacted.
//
// Somebody who comes back under the same name is a new person.
func (e *Engine) Erase(ctx context.Context, said Said, x Erasure) (ledger.Receipt, error) {
	p, ok := e.Person(x.Person)
	switch {
	case !ok:
		return ledger.Receipt{}, &Error{Kind: NotFound, Say: "nobody in this ledger has the id " + x.Person}
	case !p.Erased.IsZero():
		return ledger.Receipt{}, &Error{Kind: Usage, Say: p.ID + " has no name any more: " + p.Called()}
	case strings.TrimSpace(x.Ground) == "":
		return ledger.Receipt{}, &Error{Kind: Usage, Say: "an erasure needs its legal ground", Hint: "--ground TEXT"}
	case Names(x.Ground, p):
		return ledger.Receipt{}, &Error{Kind: Usage, Say: "the ground has the name in it, and would stay in the ledger", Hint: "say it without the name"}
	}
	by, err := e.Speaker(ctx, said, x.By)
	if err != nil {
		return ledger.Receipt{}, err
	}
	receipt, err := e.store.Append(ctx, ledger.Entry{
		Record: ledger.Record{
			V: ledger.Version, Key: said.Key, Kind: ledger.KindErased, At: e.clock().UTC(), From: said.From, By: &by,
			Erased: &ledger.Erased{Person: p.ID, Ground: strings.TrimSpace(x.Ground)},
		},
		Forget: []string{p.ID, refOf(p.ID)},
	})
	if err != nil {
		return ledger.Receipt{}, err
	}
	return receipt, e.people.load(ctx, e.known)
}

// Names says whether a text has a person's name or reference in it.
func Names(text string, p Person) bool {
	return p.Name != "" && strings.Contains(foldName(text), foldName(p.Name)) || p.Ref != "" && strings.Contains(text, p.Ref)
}

// Speaker finds somebody by name, or makes a person without any role: whoever
// looks after a ledger need not be of the crew. The name stays beside the ledger.
func (e *Engine) Speaker(ctx context.Context, said Said, name string) (ledger.Actor, error) {
	if strings.TrimSpace(name) == "" {
		return ledger.Actor{}, &Error{Kind: Usage, Say: "it must be said who asks", Hint: "--by NAME"}
	}
	if p, ok := e.Named(name); ok {
		return ledger.Actor{ID: p.ID, Role: p.Role()}, nil
	}
	p, err := e.stranger(ctx, said, "", name)
	return ledger.Actor{ID: p.ID}, err
}
