package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// past is a ledger opened to be looked at, by bore. It needs no key, writes
// nothing, and believes the indexes, which are for verify to check.
type past struct {
	reader *boltstore.Reader
	lines  []ledger.BoreLine
	bores  map[string][]int64 // records of a bore, by version
	rules  []int64            // records that put rules in force
}

// openPast opens the ledger in a folder.
func openPast(dir string) (*past, error) {
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		return nil, err
	}
	p := &past{reader: r, bores: map[string][]int64{}}
	err = r.Index(func(e ledger.IndexEntry) {
		switch e.Index {
		case ledger.IndexBore:
			p.bores[e.Key] = append(p.bores[e.Key], e.Seq)
		case ledger.IndexRules:
			p.rules = append(p.rules, e.Seq)
		}
	})
	if err != nil {
		return nil, errors.Join(unreadableLedger(err), r.Close())
	}
	slices.Sort(p.rules)
	for id, all := range p.bores {
		slices.Sort(all)
		p.lines = append(p.lines, ledger.BoreLine{Bore: id, Last: all[len(all)-1], Ver: int64(len(all))})
	}
	slices.SortFunc(p.lines, func(a, b ledger.BoreLine) int { return int(b.Last - a.Last) })
	return p, nil
}

func unreadableLedger(err error) error {
	return &engine.Error{Kind: engine.Damaged, Say: "the ledger cannot be read", Hint: "firstrod verify says where", Err: err}
}

func (p *past) close() error { return p.reader.Close() }

// record gives one record by its number; not found where there is none.
func (p *past) record(seq int64) (ledger.Record, bool, error) {
	rows, err := p.reader.Records(seq, 1)
	if err != nil {
		return ledger.Record{}, false, unreadableLedger(err)
	}
	if len(rows) == 0 || rows[0].Seq != seq {
		return ledger.Record{}, false, nil
	}
	r, err := ledger.Decode(rows[0].Data)
	if err != nil {
		return ledger.Record{}, false, unreadableLedger(fmt.Errorf("record %d: %w", seq, err))
	}
	return r, true, nil
}

func (p *past) stream(ctx context.Context, all []int64, fn func(ledger.Record) error) error {
	for _, seq := range all {
		if err := ctx.Err(); err != nil {
			return err
		}
		r, ok, err := p.record(seq)
		if err != nil {
			return err
		}
		if !ok {
			return unreadableLedger(fmt.Errorf("there is no record %d, which an index names", seq))
		}
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

// Bores is of engine.Past.
func (p *past) Bores(_ context.Context, limit int) ([]ledger.BoreLine, error) {
	if limit > 0 && limit < len(p.lines) {
		return p.lines[:limit], nil
	}
	return p.lines, nil
}

// Bore is of engine.Past.
func (p *past) Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error {
	all := p.bores[id]
	return p.stream(ctx, all[min(max(from-1, 0), int64(len(all))):], fn)
}

// Rules is of engine.Kept.
func (p *past) Rules(ctx context.Context, fn func(ledger.Record) error) error {
	return p.stream(ctx, p.rules, fn)
}

// Blob is of engine.Kept.
func (p *past) Blob(_ context.Context, sum string) ([]byte, error) { return p.reader.Blob(sum) }
