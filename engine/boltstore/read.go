package boltstore

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// page is how many records one read transaction gives at most. A long one keeps
// old pages from being used again: the file then grows with each commit.
const page = 1000

// Records calls fn with each record from number from on, in order, to the end
// of the log at the time of the last page. fn runs outside of any transaction;
// its error ends the walk and is returned.
func (s *Store) Records(ctx context.Context, from int64, fn func(ledger.Record) error) error {
	return s.walk(ctx, func(tx *bolt.Tx) ([]ledger.Record, error) {
		b, err := bucket(tx, bRecord)
		if err != nil {
			return nil, err
		}
		var out []ledger.Record
		c := b.Cursor()
		for k, v := c.Seek(number(max(from, 0))); k != nil && len(out) < page; k, v = c.Next() {
			r, err := ledger.Decode(v)
			if err != nil {
				return nil, fmt.Errorf("record %d: %w", toNumber(k), err)
			}
			out = append(out, r)
			from = r.Seq + 1
		}
		return out, nil
	}, fn)
}

// Bore calls fn with the records of one bore from version from on (0 or 1 for
// all), in order. A bore that is not there has none.
func (s *Store) Bore(ctx context.Context, id string, from int64, fn func(ledger.Record) error) error {
	prefix := append([]byte(id), 0)
	return s.walk(ctx, func(tx *bolt.Tx) ([]ledger.Record, error) {
		return pick(tx, bBore, boreKey(id, max(from, 0)), func(k, v []byte) (int64, bool) {
			return toNumber(v), bytes.HasPrefix(k, prefix) && len(k) == len(prefix)+8
		}, func(r ledger.Record) { from = r.Ver + 1 })
	}, fn)
}

// People calls fn with the records that introduce people (the last one for an id
// counts) and those that say whose name was erased, in order.
func (s *Store) People(ctx context.Context, fn func(ledger.Record) error) error {
	from := int64(0)
	return s.walk(ctx, func(tx *bolt.Tx) ([]ledger.Record, error) {
		return pick(tx, bPerson, number(from), func(k, _ []byte) (int64, bool) { return toNumber(k), true },
			func(r ledger.Record) { from = r.Seq + 1 })
	}, fn)
}

// walk reads page after page until one is empty.
func (s *Store) walk(ctx context.Context, next func(tx *bolt.Tx) ([]ledger.Record, error), fn func(ledger.Record) error) error {
	for {
		var rows []ledger.Record
		err := s.view(ctx, func(tx *bolt.Tx) (err error) {
			rows, err = next(tx)
			return err
		})
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := fn(r); err != nil {
				return err
			}
		}
		if len(rows) < page {
			return nil
		}
	}
}

// pick reads the records that a page of an index names, from key start on, for
// as long as at says so.
func pick(tx *bolt.Tx, index string, start []byte, at func(k, v []byte) (int64, bool), each func(ledger.Record)) ([]ledger.Record, error) {
	b, err := bucket(tx, index)
	if err != nil {
		return nil, err
	}
	records, err := bucket(tx, bRecord)
	if err != nil {
		return nil, err
	}
	var out []ledger.Record
	c := b.Cursor()
	for k, v := c.Seek(start); k != nil && len(out) < page; k, v = c.Next() {
		seq, ok := at(k, v)
		if !ok {
			break
		}
		r, err := ledger.Decode(records.Get(number(seq)))
		if err != nil {
			return nil, fmt.Errorf("record %d: %w", seq, err)
		}
		each(r)
		out = append(out, r)
	}
	return out, nil
}

// Bores lists at most limit bores (0: all), the one with the latest record first.
func (s *Store) Bores(ctx context.Context, limit int) ([]ledger.BoreLine, error) {
	var out []ledger.BoreLine
	err := s.view(ctx, func(tx *bolt.Tx) error {
		recent, err := bucket(tx, bRecent)
		if err != nil {
			return err
		}
		lines, err := bucket(tx, bLine)
		if err != nil {
			return err
		}
		c := recent.Cursor()
		for k, id := c.Last(); k != nil && (limit <= 0 || len(out) < limit); k, id = c.Prev() {
			l, err := toLine(string(id), lines.Get(id))
			if err != nil {
				return err
			}
			out = append(out, l)
		}
		return nil
	})
	return out, err
}

// Rules calls fn with the records that put rules in force, in order. The last
// one for a place counts.
func (s *Store) Rules(ctx context.Context, fn func(ledger.Record) error) error {
	from := int64(0)
	return s.walk(ctx, func(tx *bolt.Tx) ([]ledger.Record, error) {
		return pick(tx, bRules, number(from), func(k, _ []byte) (int64, bool) { return toNumber(k), true },
			func(r ledger.Record) { from = r.Seq + 1 })
	}, fn)
}

// Known gives the number of the record that a delivery's key made; ok is false
// for a key that never came.
func (s *Store) Known(ctx context.Context, key string) (seq int64, ok bool, err error) {
	err = s.view(ctx, func(tx *bolt.Tx) error {
		b, err := bucket(tx, bKey)
		if err != nil {
			return err
		}
		v := b.Get([]byte(key))
		seq, ok = toNumber(v), v != nil
		return nil
	})
	return seq, ok, err
}

// Private gives the value kept for an id; ok is false when there is none.
func (s *Store) Private(ctx context.Context, id string) (value string, ok bool, err error) {
	err = s.view(ctx, func(tx *bolt.Tx) error {
		p, found, err := readPrivate(tx, id)
		value, ok = p.Value, found
		return err
	})
	return value, ok, err
}

func readPrivate(tx *bolt.Tx, id string) (ledger.Private, bool, error) {
	b, err := bucket(tx, bPrivate)
	if err != nil {
		return ledger.Private{}, false, err
	}
	v := b.Get([]byte(id))
	if v == nil {
		return ledger.Private{}, false, nil
	}
	var p private
	if err := json.Unmarshal(v, &p); err != nil {
		return ledger.Private{}, false, fmt.Errorf("private value of %q: %w", id, err)
	}
	return ledger.Private{ID: id, Salt: p.Salt, Value: p.Value}, true, nil
}

// Blob gives the bytes stored under a hex SHA-256, or nil for none. Bytes that
// are not what their name says are an error.
func (s *Store) Blob(ctx context.Context, sum string) (b []byte, err error) {
	err = s.view(ctx, func(tx *bolt.Tx) error {
		b, err = readBlob(tx, sum)
		if err == nil && b != nil && ledger.BlobSum(b) != sum {
			return fmt.Errorf("blob %s has changed", sum)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return b, nil
}

func readBlob(tx *bolt.Tx, sum string) ([]byte, error) {
	key, err := hex.DecodeString(sum)
	if err != nil || len(key) != sha256.Size {
		return nil, nil
	}
	b, err := bucket(tx, bBlob)
	if err != nil {
		return nil, err
	}
	return bytes.Clone(b.Get(key)), nil
}
