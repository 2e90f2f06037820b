package boltstore

import (
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// rotation is a new key on its way into the log.
type rotation struct {
	public   string
	fresh    note.Signer
	old      note.Signer
	possible []note.Signer // what the log signs with afterwards
}

// Rotate changes the key that the log signs with. r says who and why; its kind and
// its key are set here. From the record on every checkpoint is signed by the new
// key, and by the one before as well until [Store.Retire].
//
// The order is such that it can be cut short anywhere: the new key is on the disk
// as log.key.next, with the old one behind it; then the record is in the ledger,
// under a checkpoint of both; then log.key.next becomes log.key. [Open] looks which
// key the ledger names, and finishes or forgets.
func (s *Store) Rotate(ctx context.Context, r ledger.Record) (ledger.Receipt, error) {
	if err := errors.Join(ctx.Err(), s.stopped()); err != nil {
		return ledger.Receipt{}, err
	}
	lines, err := secrets(s.dir)
	if err != nil {
		return ledger.Receipt{}, err
	}
	c, _ := s.Checkpoint()
	secret, public, err := ledger.NewKey(rand.Reader, c.Origin)
	if err != nil {
		return ledger.Receipt{}, err
	}
	fresh, err := note.NewSigner(secret)
	if err != nil {
		return ledger.Receipt{}, err
	}
	old, err := note.NewSigner(lines[0])
	if err != nil {
		return ledger.Receipt{}, badKey(err)
	}
	if err := s.nextKeys(secret, lines[0]); err != nil {
		return ledger.Receipt{}, err
	}
	r.Kind, r.V = ledger.KindRotated, ledger.Version
	receipt, err := s.submit(&job{
		ctx: ctx, entry: ledger.Entry{Record: r}, done: make(chan struct{}),
		rotate: &rotation{public, fresh, old, []note.Signer{fresh, old}},
	})
	if err != nil || receipt.Repeated {
		return receipt, err // the next Open forgets the key, or finishes
	}
	return receipt, s.useNextKeys()
}

// Retire gives up the keys of before: the log then signs with the current one
// alone. What they have signed stays as good as it was.
func (s *Store) Retire() error {
	lines, err := secrets(s.dir)
	if err != nil || len(lines) == 1 {
		return err
	}
	if err := s.nextKeys(lines[0]); err != nil {
		return err
	}
	return s.useNextKeys()
}

// secrets are the lines of log.key.
func secrets(dir string) ([]string, error) {
	b, err := os.ReadFile(filepath.Join(dir, keyFile))
	if err != nil {
		return nil, cannot("the log's key cannot be read", err)
	}
	lines := strings.Fields(string(b))
	if len(lines) == 0 {
		return nil, badKey(errors.New("it is empty"))
	}
	return lines, nil
}

// nextKeys puts keys where they are found after a crash, and used by nobody else.
func (s *Store) nextKeys(lines ...string) error {
	err := os.Remove(filepath.Join(s.dir, nextKeyFile))
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err == nil {
		err = errors.Join(writeKeyFile(s.dir, nextKeyFile, strings.Join(lines, "\n")), syncDir(s.dir))
	}
	if err != nil {
		return cannot("the new key cannot be written; the log goes on with the old one", err)
	}
	return nil
}

func (s *Store) useNextKeys() error { return useNextKeys(s.dir) }

func useNextKeys(dir string) error {
	err := errors.Join(os.Rename(filepath.Join(dir, nextKeyFile), filepath.Join(dir, keyFile)), syncDir(dir))
	if err != nil {
		return cannot("the new key cannot be put in its place; the next start tries again", err)
	}
	return nil
}

// settleKeys finds the keys to sign with, given what the ledger names as current and
// what log.key has: a rotation that was cut short is finished or forgotten.
func settleKeys(dir, current string, have []note.Signer) ([]note.Signer, error) {
	next := filepath.Join(dir, nextKeyFile)
	if signs(have[0], current) {
		if err := os.Remove(next); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		return have, nil
	}
	if _, err := os.Stat(next); err == nil {
		keys, err := readKeys(dir, nextKeyFile)
		if err != nil {
			return nil, err
		}
		if signs(keys[0], current) {
			return keys, useNextKeys(dir)
		}
	}
	return nil, errors.New("the key in " + keyFile + " is not the one this log is signed with")
}

// signs says whether a secret key is the one behind a public key.
func signs(s note.Signer, public string) bool {
	v, err := note.NewVerifier(public)
	if err != nil {
		return false
	}
	probe, err := note.Sign(&note.Note{Text: "probe\n"}, s)
	if err != nil {
		return false
	}
	_, err = note.Open(probe, note.VerifierList(v))
	return err == nil
}

// rotate signs for the new key with the old one, over the records before.
func (w *writer) rotate(r *rotation) (*ledger.Rotated, error) {
	b, err := w.bucket(bHash)
	if err != nil {
		return nil, err
	}
	c := ledger.Checkpoint{Origin: r.old.Name(), Size: w.head.checkpoint.Size}
	if c.Root, err = tlog.TreeHash(c.Size, hashReader{b}); err != nil {
		return nil, err
	}
	out, err := ledger.Rotate(c, r.public, r.old, r.fresh)
	if err != nil {
		return nil, err
	}
	w.keys, w.head.public = r.possible, r.public
	return &out, nil
}

// Keys are the keys that the log has signed with, as its records name them.
func (r *Reader) Keys() (*ledger.Keys, error) {
	first, err := r.Records(0, 1)
	if err != nil || len(first) == 0 {
		return nil, &engine.Error{Kind: engine.Damaged, Say: "the ledger has no first record", Err: err}
	}
	var keys *ledger.Keys
	if err := r.view(func(tx *bolt.Tx) (err error) { keys, err = logKeys(tx); return err }); err != nil {
		return nil, damaged(err)
	}
	return keys, nil
}
