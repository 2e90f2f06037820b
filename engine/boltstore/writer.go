package boltstore

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

const (
	maxBlob    = 16 << 20 // a pack set or an input is far below
	maxPrivate = 4 << 10  // a name
	maxKey     = 256      // idempotency key, bore id
)

// writer adds entries within one transaction.
type writer struct {
	tx     *bolt.Tx
	open   map[string]*bolt.Bucket // those used so far
	head   head                    // as it will be
	now    time.Time
	before int64 // size of the log when the transaction began

	keys []note.Signer // to sign with from this transaction on, where the key is changed

	indexed bool     // the index of terms covers all records, and will
	listed  [][]byte // keys to be put into it
}

func newWriter(tx *bolt.Tx, h head, now time.Time) (*writer, error) {
	w := &writer{tx: tx, open: map[string]*bolt.Bucket{}, head: h, before: h.checkpoint.Size}
	// A clock that steps back must not make the log run backwards.
	w.now = now.UTC().Round(0)
	if w.now.Before(h.logged) {
		w.now = h.logged
	}
	through, err := termsThrough(tx)
	w.indexed = through == w.before || w.before == 0
	return w, err
}

func (w *writer) bucket(name string) (*bolt.Bucket, error) {
	if b := w.open[name]; b != nil {
		return b, nil
	}
	b, err := bucket(w.tx, name)
	if err != nil {
		return nil, err
	}
	// These only ever grow at the end: fill their pages.
	if name == bRecord || name == bHash {
		b.FillPercent = 0.95
	}
	w.open[name] = b
	return b, nil
}

func (w *writer) get(name string, key []byte) ([]byte, error) {
	b, err := w.bucket(name)
	if err != nil {
		return nil, err
	}
	return b.Get(key), nil
}

func (w *writer) put(name string, key, value []byte) error {
	b, err := w.bucket(name)
	if err != nil {
		return err
	}
	return b.Put(key, value)
}

// append adds one entry. What is wrong with the entry goes into j.err and
// leaves the transaction as it was; what is wrong with the store is returned.
func (w *writer) append(j *job) error {
	r := j.entry.Record
	if err := fits(j.entry); err != nil {
		j.err = err
		return nil
	}
	seen, err := w.get(bKey, []byte(r.Key))
	if err != nil {
		return err
	}
	if seen != nil {
		return w.repeated(j, toNumber(seen))
	}
	old, err := w.line(r.Bore)
	if err != nil {
		return err
	}
	if r.Bore != "" && r.Ver != old.Ver+1 {
		j.err = &engine.Error{
			Kind: engine.Conflict,
			Say:  fmt.Sprintf("the bore is at version %d, this is version %d", old.Ver, r.Ver),
			Hint: "read the bore again, then decide again",
		}
		return nil
	}
	r.Seq, r.Logged = w.head.checkpoint.Size, w.now
	if j.rotate != nil {
		if r.Rotated, err = w.rotate(j.rotate); err != nil {
			return err
		}
	}
	data, err := ledger.Encode(r)
	if err != nil {
		j.err = &engine.Error{Kind: engine.Usage, Say: "this cannot be written to the ledger", Err: err}
		return nil
	}
	leaf, err := w.leaf(r.Seq, data)
	if err != nil {
		return err
	}
	if err := errors.Join(w.index(r, old), w.beside(j.entry)); err != nil {
		return err
	}
	w.terms(r, old.Trail)
	w.head.checkpoint.Size, w.head.logged = r.Seq+1, r.Logged
	j.receipt = ledger.Receipt{Seq: r.Seq, Leaf: leaf}
	return nil
}

// fits refuses what the file could not take as a key or value.
func fits(e ledger.Entry) error {
	usage := func(say string) error { return &engine.Error{Kind: engine.Usage, Say: say} }
	r := e.Record
	switch {
	case r.Key == "" || len(r.Key) > maxKey:
		return usage(fmt.Sprintf("an idempotency key has 1 to %d bytes", maxKey))
	case len(r.Bore) > maxKey || strings.IndexByte(r.Bore, 0) >= 0:
		return usage("this is no id for a bore")
	}
	for _, b := range e.Blobs {
		if len(b) > maxBlob {
			return usage(fmt.Sprintf("a blob of %d bytes is too large, at most %d", len(b), maxBlob))
		}
	}
	for _, p := range e.Private {
		if p.ID == "" || len(p.ID) > maxKey || len(p.Value) > maxPrivate {
			return usage(fmt.Sprintf("a private value needs an id and has at most %d bytes", maxPrivate))
		}
	}
	return nil
}

// repeated answers a delivery that came before.
func (w *writer) repeated(j *job, seq int64) error {
	h, err := w.get(bHash, number(seq))
	if err != nil {
		return err
	}
	if len(h) < tlog.HashSize {
		return fmt.Errorf("record %d has no hash", seq)
	}
	j.receipt = ledger.Receipt{Seq: seq, Leaf: [32]byte(h[:tlog.HashSize]), Repeated: true}
	return nil
}

// leaf stores the record and the hashes that tlog stores with it.
func (w *writer) leaf(seq int64, data []byte) ([32]byte, error) {
	b, err := w.bucket(bHash)
	if err != nil {
		return [32]byte{}, err
	}
	hashes, err := tlog.StoredHashes(seq, data, hashReader{b})
	if err != nil {
		return [32]byte{}, err
	}
	row := make([]byte, 0, len(hashes)*tlog.HashSize)
	for _, h := range hashes {
		row = append(row, h[:]...)
	}
	key := number(seq)
	return hashes[0], errors.Join(w.put(bRecord, key, data), b.Put(key, row))
}

func (w *writer) line(bore string) (ledger.BoreLine, error) {
	if bore == "" {
		return ledger.BoreLine{}, nil
	}
	v, err := w.get(bLine, []byte(bore))
	if err != nil || v == nil {
		return ledger.BoreLine{}, err
	}
	return toLine(bore, v)
}

// index keeps the indexes. old is the bore's line so far.
func (w *writer) index(r ledger.Record, old ledger.BoreLine) error {
	seq := number(r.Seq)
	err := w.put(bKey, []byte(r.Key), seq)
	if r.Person != nil || r.Erased != nil {
		err = errors.Join(err, w.put(bPerson, seq, []byte{1}))
	}
	if r.Rotated != nil {
		if _, berr := w.tx.CreateBucketIfNotExists([]byte(bRotation)); berr != nil {
			return berr
		}
		err = errors.Join(err, w.put(bRotation, seq, []byte{1}))
	}
	if r.Pack != nil {
		err = errors.Join(err, w.put(bRules, seq, []byte{1}))
	}
	if r.Bore == "" {
		return err
	}
	l := line{Title: old.Title, State: old.State, Ver: r.Ver, Last: r.Seq, Logged: r.Logged, Trail: trail(old.Trail.After(r))}
	if r.Open != nil {
		l.Title = r.Open.Title
	}
	if r.State != "" {
		l.State = r.State
	}
	text, jerr := json.Marshal(l)
	if old.Ver > 0 {
		recent, berr := w.bucket(bRecent)
		if berr != nil {
			return berr
		}
		err = errors.Join(err, recent.Delete(number(old.Last)))
	}
	return errors.Join(err, jerr,
		w.put(bBore, boreKey(r.Bore, r.Ver), seq),
		w.put(bLine, []byte(r.Bore), text),
		w.put(bRecent, seq, []byte(r.Bore)))
}

// beside stores what goes with a record and is not in it.
func (w *writer) beside(e ledger.Entry) error {
	for _, b := range e.Blobs {
		sum := sha256.Sum256(b)
		have, err := w.get(bBlob, sum[:])
		if err != nil {
			return err
		}
		if have != nil {
			continue
		}
		if err := w.put(bBlob, sum[:], b); err != nil {
			return err
		}
	}
	if err := w.forget(e.Forget); err != nil {
		return err
	}
	for _, p := range e.Private {
		text, err := json.Marshal(private{Salt: p.Salt, Value: p.Value})
		if err != nil {
			return err
		}
		if err := w.put(bPrivate, []byte(p.ID), text); err != nil {
			return err
		}
	}
	return nil
}

// forget deletes private values. Their bytes stay in pages that are free until
// [Compact] has made a new file.
func (w *writer) forget(ids []string) error {
	if len(ids) == 0 {
		return nil
	}
	b, err := w.bucket(bPrivate)
	if err != nil {
		return err
	}
	for _, id := range ids {
		if err := b.Delete([]byte(id)); err != nil {
			return err
		}
	}
	return nil
}

// seal signs the checkpoint over everything added. It is part of the same
// transaction: no checkpoint is ever signed that the file does not hold.
func (w *writer) seal(keys []note.Signer) error {
	if w.keys != nil {
		keys = w.keys
	}
	b, err := w.bucket(bHash)
	if err != nil {
		return err
	}
	root, err := tlog.TreeHash(w.head.checkpoint.Size, hashReader{b})
	if err != nil {
		return err
	}
	w.head.checkpoint.Origin, w.head.checkpoint.Root = keys[0].Name(), root
	if w.head.note, err = w.head.checkpoint.Sign(keys...); err != nil {
		return err
	}
	return errors.Join(w.put(bHead, []byte(headCheckpoint), w.head.note), w.sealTerms())
}
