package boltstore

import (
	"bytes"
	"context"
	"errors"
	"slices"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// headTerms is under which the head says how far the index of terms goes: the
// generation of its meaning, then the number of records it covers. It is written
// with every record, so that a program that knows nothing of the index leaves it
// visibly behind.
const headTerms = "terms"

// termKey is where a record is listed under a term. Values have no zero byte,
// see ledger.TermValue.
func termKey(t ledger.Term, seq int64) []byte {
	return append(termPrefix(t.Field, t.Value), number(seq)...)
}

func termPrefix(field, value string) []byte {
	k := make([]byte, 0, len(field)+len(value)+10)
	k = append(append(k, field...), 0)
	return append(append(k, value...), 0)
}

// splitTerm takes a key apart; seq is -1 for one that is none.
func splitTerm(k []byte) (field, value string, seq int64) {
	n := len(k) - 9
	f, v, ok := bytes.Cut(k[:max(n, 0)], []byte{0})
	if !ok || k[n] != 0 {
		return string(k), "", -1
	}
	return string(f), string(v), toNumber(k[n+1:])
}

// termsThrough is how many records the index of terms covers, -1 for none of
// this generation.
func termsThrough(tx *bolt.Tx) (int64, error) {
	b, err := bucket(tx, bHead)
	if err != nil {
		return -1, err
	}
	v := b.Get([]byte(headTerms))
	if len(v) != 9 || v[0] != ledger.TermGeneration || tx.Bucket([]byte(bTerm)) == nil {
		return -1, nil
	}
	return toNumber(v[1:]), nil
}

// TermsThrough is how many records the index of terms covers. It is the size of
// the log, or the index is behind and [Store.Find] reads every record instead,
// until [Store.Reindex] has built it.
func (s *Store) TermsThrough() (n int64, err error) {
	err = s.view(context.Background(), func(tx *bolt.Tx) error {
		n, err = termsThrough(tx)
		return err
	})
	return n, err
}

// TermsThrough is of ledger.TermSource.
func (r *Reader) TermsThrough() (n int64, err error) {
	err = r.view(func(tx *bolt.Tx) error {
		n, err = termsThrough(tx)
		return err
	})
	return n, err
}

// terms notes what the record is to be listed under, if the index was up to date.
func (w *writer) terms(r ledger.Record, before ledger.Trail) {
	if !w.indexed {
		return
	}
	for _, t := range ledger.Terms(r, before) {
		w.listed = append(w.listed, termKey(t, r.Seq))
	}
}

// sealTerms lists everything that was added, and says how far the index now goes.
func (w *writer) sealTerms() error {
	if !w.indexed {
		return nil
	}
	b, err := w.bucket(bTerm)
	if err != nil {
		return err
	}
	return errors.Join(putSorted(b, w.listed), markTerms(w.tx, w.head.checkpoint.Size))
}

// putSorted lists keys in their order, so that each page is touched once.
func putSorted(b *bolt.Bucket, keys [][]byte) error {
	slices.SortFunc(keys, bytes.Compare)
	for _, k := range keys {
		if err := b.Put(k, []byte{1}); err != nil {
			return err
		}
	}
	return nil
}

func markTerms(tx *bolt.Tx, size int64) error {
	b, err := bucket(tx, bHead)
	if err != nil {
		return err
	}
	return b.Put([]byte(headTerms), append([]byte{ledger.TermGeneration}, number(size)...))
}
