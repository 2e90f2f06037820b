package boltstore

import (
	"bytes"
	"context"
	"errors"
	"os"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
)

// Snapshot writes the ledger's file as it is at one moment to path, which must not
// be there yet and should be on a local disk: while it is written, pages that are
// no longer needed cannot be used again. The copy is synced. note is its checkpoint.
// Entries go on being appended meanwhile. With too little room for it, nothing is
// written and the error has ErrDiskFull.
func (s *Store) Snapshot(ctx context.Context, path string) (note []byte, err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	info, err := os.Stat(s.db.Path())
	if err != nil {
		return nil, cannot("the ledger cannot be read", err)
	}
	free, err := s.opts.testOnlyFree(s.dir)
	if err != nil || free < info.Size()+s.opts.MinFree {
		return nil, full("there is no room for a copy of the ledger beside it", errors.Join(ErrDiskFull, err))
	}
	err = s.view(ctx, func(tx *bolt.Tx) error {
		note, err = copyTo(tx, path)
		return err
	})
	return note, copyError(err)
}

// Snapshot is the same for a ledger that nobody writes.
func (r *Reader) Snapshot(ctx context.Context, path string) (note []byte, err error) {
	if err := errors.Join(ctx.Err(), r.half); err != nil {
		return nil, err
	}
	err = r.view(func(tx *bolt.Tx) error {
		note, err = copyTo(tx, path)
		return err
	})
	return note, copyError(err)
}

// Snapshot writes the mail as it is at one moment to path.
func (m *Mail) Snapshot(ctx context.Context, path string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	err := guard(func() error {
		return m.db.View(func(tx *bolt.Tx) error { return writeCopy(tx, path) })
	})
	return mailError("the mail cannot be copied", err)
}

func copyTo(tx *bolt.Tx, path string) ([]byte, error) {
	b, err := bucket(tx, bHead)
	if err != nil {
		return nil, err
	}
	note := bytes.Clone(b.Get([]byte(headCheckpoint)))
	return note, writeCopy(tx, path)
}

// errCopy is what goes wrong with the copy, not with the ledger.
var errCopy = errors.New("the copy cannot be written")

func writeCopy(tx *bolt.Tx, path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return errors.Join(errCopy, err)
	}
	_, err = tx.WriteTo(f)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(errCopy, err, os.Remove(path))
	}
	return nil
}

func copyError(err error) error {
	if errors.Is(err, errCopy) {
		return &engine.Error{Kind: engine.Storage, Say: "a copy of the ledger cannot be written", Hint: "is the disk full?", Err: err}
	}
	return err
}
