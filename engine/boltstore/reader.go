package boltstore

import (
	"bytes"
	"errors"
	"path/filepath"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// Reader is a ledger opened to be verified: a [ledger.Reader] with everything
// that one can have. It never writes, needs no key, and gives errors, not
// panics, for a file however damaged. It does not stop at the head, as [Open]
// does: what is wrong is for the verifier to find.
type Reader struct {
	dir  string
	db   *bolt.DB
	half error // the file may not be its latest state
}

// OpenReader opens the ledger in dir for reading. It gives engine.Busy at once
// when another process has it.
func OpenReader(dir string) (*Reader, error) {
	return openReader(filepath.Join(dir, ledgerFile))
}

func openReader(path string) (*Reader, error) {
	var db *bolt.DB
	err := guard(func() (err error) {
		db, err = bolt.Open(path, 0o400, &bolt.Options{ReadOnly: true, Timeout: lockWait, NoStatistics: true})
		return err
	})
	if err != nil {
		return nil, openError(err)
	}
	// Only now does the file hold still.
	half, err := checkPages(path)
	if err != nil {
		return nil, errors.Join(openError(err), db.Close())
	}
	return &Reader{dir: filepath.Dir(path), db: db, half: half}, nil
}

// Close lets go of the file.
func (r *Reader) Close() error { return r.db.Close() }

func (r *Reader) view(fn func(tx *bolt.Tx) error) error {
	return guard(func() error { return r.db.View(fn) })
}

// Records is of ledger.Reader.
func (r *Reader) Records(from int64, limit int) ([]ledger.Row, error) {
	rows, err := r.rows(bRecord, from, limit)
	if err == nil && len(rows) == 0 {
		// The end may not be the end.
		err = r.half
	}
	return rows, err
}

// Hashes is of ledger.HashSource.
func (r *Reader) Hashes(from int64, limit int) ([]ledger.Row, error) {
	return r.rows(bHash, from, limit)
}

func (r *Reader) rows(name string, from int64, limit int) (out []ledger.Row, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		b, err := bucket(tx, name)
		if err != nil {
			return err
		}
		c := b.Cursor()
		for k, v := c.Seek(number(from)); k != nil && len(out) < limit; k, v = c.Next() {
			n := toNumber(k)
			if n < from {
				return errors.New("a row has a number out of order")
			}
			from = n + 1
			out = append(out, ledger.Row{Seq: n, Data: bytes.Clone(v)})
		}
		return nil
	})
	return out, err
}

// Checkpoint is of ledger.Reader.
func (r *Reader) Checkpoint() (note []byte, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		b, err := bucket(tx, bHead)
		if err != nil {
			return err
		}
		note = bytes.Clone(b.Get([]byte(headCheckpoint)))
		return nil
	})
	return note, err
}

// Blob is of ledger.BlobSource.
func (r *Reader) Blob(sum string) (b []byte, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		b, err = readBlob(tx, sum)
		return err
	})
	return b, err
}

// Value is of ledger.PrivateSource.
func (r *Reader) Value(id string) (p ledger.Private, ok bool, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		p, ok, err = readPrivate(tx, id)
		return err
	})
	return p, ok, err
}

// Index is of ledger.IndexSource.
func (r *Reader) Index(fn func(ledger.IndexEntry)) error {
	return r.view(func(tx *bolt.Tx) error {
		for _, x := range indexes() {
			b, err := bucket(tx, x.bucket)
			if err != nil && (x.bucket == bTerm || x.bucket == bRotation) {
				continue // a file of before there was one; TermsThrough says so
			}
			if err != nil {
				return err
			}
			err = b.ForEach(func(k, v []byte) error {
				fn(x.entry(k, v))
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// index says how the entries of a bucket read.
type index struct {
	bucket string
	entry  func(k, v []byte) ledger.IndexEntry
}

func indexes() []index {
	return []index{
		{bKey, func(k, v []byte) ledger.IndexEntry {
			return ledger.IndexEntry{Index: ledger.IndexKey, Key: string(k), Seq: toNumber(v)}
		}},
		{bBore, func(k, v []byte) ledger.IndexEntry {
			id, ver := k, int64(-1)
			if n := len(k) - 9; n >= 0 && k[n] == 0 {
				id, ver = k[:n], toNumber(k[n+1:])
			}
			return ledger.IndexEntry{Index: ledger.IndexBore, Key: string(id), Num: ver, Seq: toNumber(v)}
		}},
		{bLine, func(k, v []byte) ledger.IndexEntry {
			e := ledger.IndexEntry{Index: ledger.IndexLine, Key: string(k), Seq: -1}
			if l, err := toLine(e.Key, v); err == nil {
				e.Line, e.Seq = &l, l.Last
			}
			return e
		}},
		{bRecent, func(k, v []byte) ledger.IndexEntry {
			return ledger.IndexEntry{Index: ledger.IndexRecent, Key: string(v), Seq: toNumber(k)}
		}},
		{bPerson, numbered(ledger.IndexPerson)},
		{bRules, numbered(ledger.IndexRules)},
		{bRotation, numbered(ledger.IndexRotation)},
		{bTerm, func(k, v []byte) ledger.IndexEntry {
			field, value, seq := splitTerm(k)
			if !bytes.Equal(v, []byte{1}) {
				seq = -1
			}
			return ledger.IndexEntry{Index: ledger.IndexTerm, Key: field + "\x00" + value, Seq: seq}
		}},
	}
}

func numbered(name string) func(k, v []byte) ledger.IndexEntry {
	return func(k, v []byte) ledger.IndexEntry {
		seq := toNumber(k)
		if !bytes.Equal(v, []byte{1}) {
			seq = -1
		}
		return ledger.IndexEntry{Index: name, Num: toNumber(k), Seq: seq}
	}
}
