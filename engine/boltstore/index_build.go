package boltstore

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"sync"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// buildBatch records are indexed in one transaction: enough for their terms to
// fill pages, few enough to be held in memory (about 1 KiB each).
const buildBatch = 40_000

// DropTerms throws the index of terms away. Everything is still found, by
// reading every record, until [Store.Reindex] has built it again.
func (s *Store) DropTerms(ctx context.Context) error {
	return s.change(ctx, func(tx *bolt.Tx) error {
		b, err := bucket(tx, bHead)
		if err != nil {
			return err
		}
		if err := b.Delete([]byte(headTerms)); err != nil {
			return err
		}
		if tx.Bucket([]byte(bTerm)) == nil {
			return nil
		}
		return tx.DeleteBucket([]byte(bTerm))
	})
}

// Reindex throws the index of terms away and builds it again from the records;
// progress, which may be nil, hears how far it is. Cut short anywhere, the index
// is behind and nothing is answered from it. Records that are appended meanwhile
// are in it too.
func (s *Store) Reindex(ctx context.Context, progress func(done, total int64)) error {
	if err := s.DropTerms(ctx); err != nil {
		return err
	}
	b := builder{trails: map[string]ledger.Trail{}}
	for done := false; !done; {
		err := s.change(ctx, func(tx *bolt.Tx) (err error) {
			done, err = b.batch(tx)
			return err
		})
		if err != nil {
			return err
		}
		if progress != nil {
			progress(b.next, max(b.next, s.Size()))
		}
	}
	return nil
}

// change writes in a transaction of its own, between those of the committer.
// What goes wrong in it stops the store, as a commit of records does.
func (s *Store) change(ctx context.Context, fn func(tx *bolt.Tx) error) error {
	if err := errors.Join(ctx.Err(), s.stopped()); err != nil {
		return err
	}
	if err := s.room(nil); err != nil {
		return err
	}
	err := guard(func() error {
		tx, err := s.db.Begin(true)
		if err != nil {
			return err
		}
		// Without effect after a commit.
		defer func() { _ = tx.Rollback() }()
		if err := fn(tx); err != nil {
			return err
		}
		return s.opts.testOnlyCommit(tx.Commit)
	})
	if err != nil {
		return s.fail(err)
	}
	return nil
}

// builder makes the index of terms, batch after batch.
type builder struct {
	next   int64 // record to go on with
	trails map[string]ledger.Trail
}

// batch indexes the next records. After the last one it writes the trails into
// the list of bores and says that the index is whole; all in one transaction, so
// that no record can come between.
func (b *builder) batch(tx *bolt.Tx) (done bool, err error) {
	records, err := bucket(tx, bRecord)
	if err != nil {
		return false, err
	}
	terms, err := tx.CreateBucketIfNotExists([]byte(bTerm))
	if err != nil {
		return false, err
	}
	rows, err := decodeAll(records, b.next, buildBatch)
	if err != nil {
		return false, err
	}
	keys := make([][]byte, 0, 8*len(rows))
	for _, r := range rows {
		before := b.trails[r.Bore]
		for _, t := range ledger.Terms(r, before) {
			keys = append(keys, termKey(t, r.Seq))
		}
		if r.Bore != "" {
			b.trails[r.Bore] = before.After(r)
		}
		b.next = r.Seq + 1
	}
	if err := putSorted(terms, keys); err != nil {
		return false, err
	}
	if len(rows) == buildBatch {
		return false, nil
	}
	return true, errors.Join(b.lines(tx), markTerms(tx, b.next))
}

// lines writes what the next record of each bore is found by.
func (b *builder) lines(tx *bolt.Tx) error {
	lines, err := bucket(tx, bLine)
	if err != nil {
		return err
	}
	for bore, t := range b.trails {
		l, err := toLine(bore, lines.Get([]byte(bore)))
		if err != nil {
			return err
		}
		text, err := json.Marshal(line{Title: l.Title, State: l.State, Ver: l.Ver, Last: l.Last, Logged: l.Logged, Trail: trail(t)})
		if err != nil {
			return err
		}
		if err := lines.Put([]byte(bore), text); err != nil {
			return err
		}
	}
	return nil
}

// decodeAll reads at most limit records from a number on; every core takes its
// share of reading them.
func decodeAll(records *bolt.Bucket, from int64, limit int) ([]ledger.Record, error) {
	var raw [][]byte
	c := records.Cursor()
	for k, v := c.Seek(number(from)); k != nil && len(raw) < limit; k, v = c.Next() {
		if toNumber(k) != from+int64(len(raw)) {
			return nil, fmt.Errorf("record %d is not there", from+int64(len(raw)))
		}
		raw = append(raw, v)
	}
	out, errs := make([]ledger.Record, len(raw)), make([]error, len(raw))
	workers := min(runtime.GOMAXPROCS(0), len(raw))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			errs[w] = guard(func() error {
				for i := w; i < len(raw); i += workers {
					var err error
					if out[i], err = ledger.Decode(raw[i]); err != nil {
						return fmt.Errorf("record %d: %w", from+int64(i), err)
					}
				}
				return nil
			})
		})
	}
	wg.Wait()
	return out, errors.Join(errs...)
}
