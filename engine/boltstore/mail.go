package boltstore

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"sync"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"firstrod/engine"
)

const (
	mailFile   = "mail.db"
	mailBucket = "mail"

	// mailWait is how long a change waits for company, so that several share a
	// sync. A sync itself takes about as long.
	mailWait = time.Millisecond
)

// Mail is a small durable table beside the ledger: what came in and is not
// worked off, what is to go out, and where conversations take place. Nothing in
// it is evidence; a mail file that is lost costs repeated questions, and
// messages that were not sent yet.
//
// Call [OpenMail]. Every change is synced before Apply returns.
type Mail struct {
	db   *bolt.DB
	once sync.Once
}

// OpenMail opens the table in dir, or starts one. It gives engine.Busy at once
// when another process has it.
func OpenMail(dir string) (*Mail, error) {
	db, err := openFile(filepath.Join(dir, mailFile), mailOptions())
	if err != nil {
		return nil, err
	}
	db.MaxBatchDelay = mailWait
	err = guard(func() error {
		return db.Update(func(tx *bolt.Tx) error {
			_, err := tx.CreateBucketIfNotExists([]byte(mailBucket))
			return err
		})
	})
	if err != nil {
		return nil, cannot("the mail cannot be opened", errors.Join(err, db.Close()))
	}
	return &Mail{db: db}, nil
}

func mailOptions() *bolt.Options {
	return &bolt.Options{Timeout: lockWait, FreelistType: bolt.FreelistMapType, NoStatistics: true}
}

// Close lets go of the file.
func (m *Mail) Close() error {
	var err error
	m.once.Do(func() { err = m.db.Close() })
	return err
}

// Apply puts and deletes, all or nothing, and returns once that is durable. A
// key is 1 to 32,768 bytes. Changes made at the same time share a sync.
func (m *Mail) Apply(ctx context.Context, puts map[string][]byte, deletes []string) error {
	if err := ctx.Err(); err != nil || len(puts)+len(deletes) == 0 {
		return err
	}
	err := guard(func() error {
		return m.db.Batch(func(tx *bolt.Tx) error {
			b, err := bucket(tx, mailBucket)
			if err != nil {
				return err
			}
			for _, key := range deletes {
				if err := b.Delete([]byte(key)); err != nil {
					return err
				}
			}
			for key, value := range puts {
				if err := b.Put([]byte(key), value); err != nil {
					return err
				}
			}
			return nil
		})
	})
	return mailError("the mail cannot be written", err)
}

// Get gives the value of a key; found is false for one that is not there.
func (m *Mail) Get(ctx context.Context, key string) (value []byte, found bool, err error) {
	if err := ctx.Err(); err != nil {
		return nil, false, err
	}
	err = guard(func() error {
		return m.db.View(func(tx *bolt.Tx) error {
			b, err := bucket(tx, mailBucket)
			if err != nil {
				return err
			}
			v := b.Get([]byte(key))
			value, found = bytes.Clone(v), v != nil
			return nil
		})
	})
	return value, found, mailError("the mail cannot be read", err)
}

// Each calls fn with every key that starts with prefix, in order of their bytes.
// fn runs outside of any transaction, so that it may change what it sees; its
// error ends the walk and is returned.
func (m *Mail) Each(ctx context.Context, prefix string, fn func(key string, value []byte) error) error {
	next := []byte(prefix)
	for {
		keys, values, err := m.some(ctx, []byte(prefix), next)
		if err != nil {
			return err
		}
		for i, key := range keys {
			if err := fn(key, values[i]); err != nil {
				return err
			}
			next = append([]byte(key), 0)
		}
		if len(keys) < page {
			return nil
		}
	}
}

// some reads a page of keys from one on.
func (m *Mail) some(ctx context.Context, prefix, from []byte) (keys []string, values [][]byte, err error) {
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	err = guard(func() error {
		return m.db.View(func(tx *bolt.Tx) error {
			b, err := bucket(tx, mailBucket)
			if err != nil {
				return err
			}
			c := b.Cursor()
			for k, v := c.Seek(from); k != nil && bytes.HasPrefix(k, prefix) && len(keys) < page; k, v = c.Next() {
				keys, values = append(keys, string(k)), append(values, bytes.Clone(v))
			}
			return nil
		})
	})
	return keys, values, mailError("the mail cannot be read", err)
}

func mailError(say string, err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, berrors.ErrDatabaseNotOpen) {
		return &engine.Error{Kind: engine.Storage, Say: "the mail is closed"}
	}
	return cannot(say, err)
}
