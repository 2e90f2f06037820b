package boltstore

import (
	"bytes"
	"fmt"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// Numbers gives the numbers of the records under an index, in order: those of a
// bore (ledger.IndexBore), all that introduce people (ledger.IndexPerson), all
// that put rules in force (ledger.IndexRules), all that change the log's key
// (ledger.IndexRotation). It looks at those alone, however
// large the ledger is.
func (r *Reader) Numbers(index, key string) (out []int64, err error) {
	name, prefix := "", []byte(nil)
	switch index {
	case ledger.IndexBore:
		name, prefix = bBore, append([]byte(key), 0)
	case ledger.IndexPerson:
		name = bPerson
	case ledger.IndexRules:
		name = bRules
	case ledger.IndexRotation:
		name = bRotation
	default:
		return nil, fmt.Errorf("the index %q is not one to look records up in", index)
	}
	err = r.view(func(tx *bolt.Tx) error {
		b, err := bucket(tx, name)
		if err != nil && name == bRotation {
			return nil // the key was never changed
		}
		if err != nil {
			return err
		}
		c := b.Cursor()
		for k, v := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, v = c.Next() {
			switch {
			case name != bBore:
				out = append(out, toNumber(k))
			case len(k) == len(prefix)+8:
				out = append(out, toNumber(v))
			}
		}
		return nil
	})
	return out, err
}

// ReadHashes makes the reader a tlog.HashReader, for proofs.
func (r *Reader) ReadHashes(indexes []int64) (out []tlog.Hash, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		b, err := bucket(tx, bHash)
		if err != nil {
			return err
		}
		out, err = hashReader{b}.ReadHashes(indexes)
		return err
	})
	return out, err
}

// Kept gives a file of evidence by its sum, as [Store.Kept] does.
func (r *Reader) Kept(sum string) ([]byte, error) { return kept(r.dir, sum) }
