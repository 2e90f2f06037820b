package engine

import (
	"context"
	"crypto/rand"
	"strings"
	"time"

	"firstrod/engine/ledger"
)

// Refusal is one thing that somebody tried on a bore and may not do.
type Refusal struct {
	Bore string
	By   ledger.Actor
	Why  string
	At   time.Time
	Seq  int64
}

// Refuse records that somebody whom a front end does not let speak tried to: a
// guest, a program, a person with no role. The reference and the name are kept
// beside the ledger, as those of everybody else are.
func (e *Engine) Refuse(ctx context.Context, bore string, said Said, ref, name, why string) error {
	p, err := e.stranger(ctx, said, ref, name)
	if err != nil {
		return err
	}
	l, err := e.bore(ctx, bore)
	if err != nil {
		return err
	}
	defer l.mu.Unlock()
	said.By = ledger.Actor{ID: p.ID, Role: p.Role()}
	_, err = e.turn(ctx, l, said, ledger.Record{Kind: ledger.KindRefused, Why: why}, change{})
	return err
}

// stranger finds or makes a person who has no role.
func (e *Engine) stranger(ctx context.Context, said Said, ref, name string) (Person, error) {
	if p, ok := e.Referred(ref); ok && ref != "" {
		return p, nil
	}
	p := Person{ID: "p_" + token(8), Name: strings.Join(strings.Fields(name), " "), Ref: ref}
	salt := make([]byte, 32)
	rand.Read(salt)
	private := []ledger.Private{{ID: p.ID, Salt: salt, Value: p.Name}}
	if ref != "" {
		private = append(private, ledger.Private{ID: refOf(p.ID), Salt: salt, Value: ref})
	}
	_, err := e.store.Append(ctx, ledger.Entry{
		Record: ledger.Record{
			V: 1, Key: said.Key + "/stranger", Kind: ledger.KindPerson, At: e.clock().UTC(), From: said.From,
			By:     &ledger.Actor{ID: p.ID},
			Person: &ledger.Person{ID: p.ID, Roles: []string{}, Commit: ledger.Commitment(salt, p.Name)},
		},
		Private: private,
	})
	if err != nil {
		return Person{}, err
	}
	e.people.put(p)
	return p, nil
}

// Refusals lists what was refused on a bore, the latest first.
func (e *Engine) Refusals(ctx context.Context, bore string) ([]Refusal, error) {
	var all []Refusal
	err := e.store.Bore(ctx, bore, 1, func(r ledger.Record) error {
		if r.Kind == ledger.KindRefused && r.By != nil {
			all = append([]Refusal{{Bore: bore, By: *r.By, Why: r.Why, At: r.At, Seq: r.Seq}}, all...)
		}
		return nil
	})
	return all, err
}
