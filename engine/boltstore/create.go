package boltstore

import (
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

const (
	ledgerFile = "ledger.db"
	newFile    = "ledger.db.new"
)

// prepare makes the folder and, on the first run, key and ledger. It holds the
// folder's lock meanwhile, so that two first runs cannot make two logs.
func prepare(dir string, o Options) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return cannot("the data folder cannot be made", err)
	}
	unlock, err := lockDir(dir)
	if err != nil {
		return err
	}
	defer unlock()
	info, err := os.Stat(dir)
	if err != nil {
		return cannot("the data folder cannot be read", err)
	}
	if info.Mode().Perm()&0o022 != 0 {
		return &engine.Error{
			Kind: engine.Usage,
			Say:  "others may write to the data folder " + dir,
			Hint: "chmod 700 " + dir,
		}
	}
	_, err = os.Stat(filepath.Join(dir, ledgerFile))
	if err == nil {
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return cannot("the ledger cannot be read", err)
	}
	return create(dir, o)
}

func lockDir(dir string) (unlock func(), err error) {
	d, err := os.Open(dir)
	if err != nil {
		return nil, cannot("the data folder cannot be read", err)
	}
	if err := syscall.Flock(int(d.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		d.Close()
		return nil, inUse(err)
	}
	return func() { d.Close() }, nil
}

// create makes the ledger under another name, whole and synced, then the key,
// and gives the ledger its name last. Cut short anywhere, the next run either
// starts over (no key yet) or finishes (key, and the file it belongs to).
func create(dir string, o Options) error {
	fresh := filepath.Join(dir, newFile)
	_, keyErr := os.Stat(filepath.Join(dir, keyFile))
	_, newErr := os.Stat(fresh)
	switch {
	case keyErr == nil && newErr != nil:
		return &engine.Error{
			Kind: engine.Damaged,
			Say:  "the log's key is here, but its ledger is gone",
			Hint: "put " + ledgerFile + " back from your backup; to start another log use an empty folder",
		}
	case keyErr != nil:
		if err := os.Remove(fresh); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return cannot("an unfinished ledger cannot be removed", err)
		}
		secret, err := makeLedger(fresh, o)
		if err != nil {
			return cannot("the ledger cannot be made", err)
		}
		if err := errors.Join(writeKey(dir, secret), syncDir(dir)); err != nil {
			return cannot("the log's key cannot be written", err)
		}
	}
	if err := errors.Join(os.Rename(fresh, filepath.Join(dir, ledgerFile)), syncDir(dir)); err != nil {
		return cannot("the ledger cannot be made", err)
	}
	return nil
}

// makeLedger writes a file with all buckets and the record that starts the log.
func makeLedger(path string, o Options) (secret string, err error) {
	origin, err := ledger.NewOrigin(rand.Reader)
	if err != nil {
		return "", err
	}
	secret, public, err := ledger.NewKey(rand.Reader, origin)
	if err != nil {
		return "", err
	}
	signer, err := note.NewSigner(secret)
	if err != nil {
		return "", err
	}
	db, err := bolt.Open(path, 0o600, boltOptions(o))
	if err != nil {
		return "", err
	}
	now := o.Clock()
	start := &job{ctx: context.Background(), entry: ledger.Entry{Record: ledger.Record{
		V: ledger.Version, Key: "start " + origin, Kind: ledger.KindStart, At: now,
		Log: &ledger.LogKey{Origin: origin, Key: public},
	}}}
	err = db.Update(func(tx *bolt.Tx) error {
		for _, name := range buckets() {
			if _, err := tx.CreateBucket([]byte(name)); err != nil {
				return err
			}
		}
		w, err := newWriter(tx, head{}, now)
		if err != nil {
			return err
		}
		if err := w.append(start); err != nil {
			return err
		}
		return errors.Join(start.err, w.seal([]note.Signer{signer}))
	})
	return secret, errors.Join(err, db.Sync(), db.Close())
}
