package boltstore

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/note"
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
func readHead(tx *bolt.Tx, signer note.Signer) (head, error) {
	key, err := logKey(tx)
	if err != nil {
		return head{}, err
	}
	v, err := note.NewVerifier(key)
	if err != nil {
		return head{}, fmt.Errorf("the log's public key: %w", err)
	}
	probe, err := note.Sign(&note.Note{Text: "probe\n"}, signer)
	if err != nil {
		return head{}, err
	}
	if _, err := note.Open(probe, note.VerifierList(v)); err != nil {
		return head{}, errors.New("the key in " + keyFile + " is not the one this log is signed with")
	}
	b, err := bucket(tx, bHead)
	if err != nil {
		return head{}, err
	}
	h := head{public: key, note: bytes.Clone(b.Get([]byte(headCheckpoint)))}
	if h.checkpoint, err = ledger.OpenCheckpoint(h.note, v); err != nil {
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

// logKey is the public key that the log's first record names.
func logKey(tx *bolt.Tx) (string, error) {
	b, err := bucket(tx, bRecord)
	if err != nil {
		return "", err
	}
	r, err := ledger.Decode(b.Get(number(0)))
	if err != nil {
		return "", err
	}
	if r.Log == nil {
		return "", errors.New("the first record does not start a log")
	}
	return r.Log.Key, nil
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
