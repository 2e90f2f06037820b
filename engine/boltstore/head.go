package boltstore

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// head is the log's end.
type head struct {
	checkpoint ledger.Checkpoint
	note       []byte    // the same, signed
	logged     time.Time // of the last record
	public     string    // the log's public key
}

// readHead reads the log's end and checks it: the checkpoint is signed by this
// log's key, its root is that of the stored hashes, and the last record is the
// one that was hashed.
func readHead(tx *bolt.Tx, keys *ledger.Keys) (head, error) {
	b, err := bucket(tx, bHead)
	if err != nil {
		return head{}, err
	}
	h := head{public: keys.Current(), note: bytes.Clone(b.Get([]byte(headCheckpoint)))}
	if h.checkpoint, err = keys.Open(h.note); err != nil {
		return head{}, err
	}
	last, err := readEnd(tx, h.checkpoint)
	h.logged = last.Logged
	return h, err
}

// readEnd checks the right edge of the tree and gives the last record.
func readEnd(tx *bolt.Tx, c ledger.Checkpoint) (ledger.Record, error) {
	hashes, err := bucket(tx, bHash)
	if err != nil {
		return ledger.Record{}, err
	}
	root, err := tlog.TreeHash(c.Size, hashReader{hashes})
	if err != nil {
		return ledger.Record{}, err
	}
	if root != c.Root {
		return ledger.Record{}, errors.New("the stored hashes do not add up to the signed root")
	}
	records, err := bucket(tx, bRecord)
	if err != nil {
		return ledger.Record{}, err
	}
	k, data := records.Cursor().Last()
	if toNumber(k) != c.Size-1 {
		return ledger.Record{}, fmt.Errorf("the last record is %d, the checkpoint covers %d", toNumber(k), c.Size)
	}
	leaf := tlog.RecordHash(data)
	if !bytes.HasPrefix(hashes.Get(k), leaf[:]) {
		return ledger.Record{}, fmt.Errorf("record %d is not the one that was hashed", c.Size-1)
	}
	return ledger.Decode(data)
}

// logKeys follows the keys of the log, from the one that its first record names.
func logKeys(tx *bolt.Tx) (*ledger.Keys, error) {
	b, err := bucket(tx, bRecord)
	if err != nil {
		return nil, err
	}
	r, err := ledger.Decode(b.Get(number(0)))
	if err != nil {
		return nil, err
	}
	if r.Log == nil {
		return nil, errors.New("the first record does not start a log")
	}
	keys, err := ledger.StartKeys(r.Log.Key)
	if err != nil {
		return nil, fmt.Errorf("the log's public key: %w", err)
	}
	rotations := tx.Bucket([]byte(bRotation))
	if rotations == nil {
		return keys, nil
	}
	return keys, rotations.ForEach(func(k, _ []byte) error {
		r, err := ledger.Decode(b.Get(k))
		if err != nil || r.Rotated == nil {
			return errors.Join(fmt.Errorf("record %d does not change the key", toNumber(k)), err)
		}
		return keys.Add(r.Seq, *r.Rotated, nil)
	})
}

// hashReader finds a stored hash in the row of the leaf that completed it.
type hashReader struct{ b *bolt.Bucket }

// ReadHashes is of tlog.HashReader.
func (h hashReader) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, 0, len(indexes))
	for _, i := range indexes {
		level, n := tlog.SplitStoredHashIndex(i)
		leaf := (n+1)<<level - 1
		row := h.b.Get(number(leaf))
		if len(row) < (level+1)*tlog.HashSize {
			return nil, fmt.Errorf("record %d has no hash for level %d", leaf, level)
		}
		out = append(out, tlog.Hash(row[level*tlog.HashSize:][:tlog.HashSize]))
	}
	return out, nil
}
