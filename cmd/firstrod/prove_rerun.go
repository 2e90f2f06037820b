package main

import (
	"context"
	"errors"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/proof"
	"firstrod/engine/rules"
)

// rerunner judges bores again, by rules as they were kept with the ledger.
type rerunner struct {
	sets map[string]*rules.Set // by revision
}

// Rerun is of proof.Rerunner. It has the engine itself fold the records and look
// at the bore with its clock at the last one.
func (j *rerunner) Rerun(ctx context.Context, revision string, of ledger.Pack, packs []byte, records []ledger.Record) (proof.Judged, error) {
	set, err := j.set(ctx, revision, of, packs)
	if err != nil {
		return proof.Judged{}, err
	}
	last := records[len(records)-1]
	e, err := engine.New(ctx, engine.Config{
		Rules: engine.Everywhere(set), Store: shownRecords(records), Registry: nobody{}, ReadOnly: true,
		Clock: func() time.Time { return last.At },
	})
	if err != nil {
		return proof.Judged{}, err
	}
	board, err := e.Board(ctx, last.Bore)
	if err != nil {
		return proof.Judged{}, err
	}
	found := proof.Judged{Findings: map[string]string{}}
	for _, f := range board.Findings {
		found.Findings[f.Key()] = string(f.Status)
	}
	for _, l := range set.Catalogue().Loose {
		found.Loose = append(found.Loose, l.Name)
	}
	return found, nil
}

// set loads a revision once.
func (j *rerunner) set(ctx context.Context, revision string, of ledger.Pack, packs []byte) (*rules.Set, error) {
	if s := j.sets[revision]; s != nil {
		return s, nil
	}
	s, err := rules.Reopen(ctx, packs, of.Place, of.Day)
	if err != nil {
		return nil, err
	}
	if s.Catalogue().Revision != revision {
		return nil, errors.New("with this version of the program they are another revision, use the version that wrote the records")
	}
	j.sets[revision] = s
	return s, nil
}

// shownRecords is a store with the records of one bore and nothing else.
type shownRecords []ledger.Record

func (s shownRecords) Append(context.Context, ledger.Entry) (ledger.Receipt, error) {
	return ledger.Receipt{}, errors.New("nothing is written while judging again")
}

func (s shownRecords) Bore(_ context.Context, _ string, from int64, fn func(ledger.Record) error) error {
	for _, r := range s {
		if r.Ver < from {
			continue
		}
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

func (s shownRecords) Bores(context.Context, int) ([]ledger.BoreLine, error) { return nil, nil }

func (s shownRecords) Known(context.Context, string) (int64, bool, error) { return 0, false, nil }

// nobody is a registry that knows nobody: no rule reads a name.
type nobody struct{}

func (nobody) People(context.Context, func(ledger.Record) error) error { return nil }

func (nobody) Private(context.Context, string) (string, bool, error) { return "", false, nil }

func (nobody) Rules(context.Context, func(ledger.Record) error) error { return nil }

func (nobody) Blob(context.Context, string) ([]byte, error) { return nil, nil }
