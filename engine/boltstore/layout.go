package boltstore

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"time"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// The buckets. All numbers are 8 bytes, big endian, so that keys sort.
//
//	record   number -> exact bytes of the record
//	hash     number -> its leaf hash, then the roots of the subtrees it completes
//	head     "checkpoint" -> the latest checkpoint, a signed note;
//	         "terms" -> generation of the index of terms, how many records it covers
//	key      idempotency key -> number
//	bore     bore, 0x00, version -> number
//	line     bore -> its line in the list of bores
//	recent   number of a bore's last record -> bore
//	person   number of a record that introduces a person or erases a name -> 1
//	rules    number of a record that puts rules in force -> 1
//	rotation number of a record that changes the log's key -> 1; made with the first
//	term     field, 0x00, value, 0x00, number of a record -> 1, see ledger.Terms
//	private  id -> salt and value
//	blob     SHA-256 -> bytes
//
// Records and hashes are what is signed. The indexes from key to term can be
// made again from the records, and a verifier compares them. Files of before there
// was a term bucket are without one until it is built.
const (
	bRecord   = "record"
	bHash     = "hash"
	bHead     = "head"
	bKey      = "key"
	bBore     = "bore"
	bLine     = "line"
	bRecent   = "recent"
	bPerson   = "person"
	bRules    = "rules"
	bTerm     = "term"
	bRotation = "rotation"
	bPrivate  = "private"
	bBlob     = "blob"
)

func buckets() []string {
	return []string{bRecord, bHash, bHead, bKey, bBore, bLine, bRecent, bPerson, bRules, bTerm, bPrivate, bBlob}
}

const headCheckpoint = "checkpoint"

func number(n int64) []byte { return binary.BigEndian.AppendUint64(nil, uint64(n)) }

// toNumber reads a number; -1 for bytes that are none.
func toNumber(b []byte) int64 {
	if len(b) != 8 || b[0]&0x80 != 0 {
		return -1
	}
	return int64(binary.BigEndian.Uint64(b))
}

// boreKey needs bore ids without a zero byte; Append refuses others.
func boreKey(bore string, ver int64) []byte {
	return binary.BigEndian.AppendUint64(append([]byte(bore), 0), uint64(ver))
}

// line is a ledger.BoreLine as stored.
type line struct {
	Title  string    `json:"title"`
	State  string    `json:"state"`
	Ver    int64     `json:"ver"`
	Last   int64     `json:"last"`
	Logged time.Time `json:"logged"`
	Trail  trail     `json:"trail,omitzero"`
}

// trail is a ledger.Trail as stored.
type trail struct {
	Place string    `json:"place,omitempty"`
	By    string    `json:"by,omitempty"`
	At    time.Time `json:"at,omitzero"`
}

func toLine(bore string, b []byte) (ledger.BoreLine, error) {
	var l line
	if err := json.Unmarshal(b, &l); err != nil {
		return ledger.BoreLine{}, fmt.Errorf("line of bore %q: %w", bore, err)
	}
	return ledger.BoreLine{Bore: bore, Title: l.Title, State: l.State, Ver: l.Ver, Last: l.Last, Logged: l.Logged, Trail: ledger.Trail(l.Trail)}, nil
}

// private is a ledger.Private as stored.
type private struct {
	Salt  []byte `json:"salt"`
	Value string `json:"value"`
}

// bucket is never nil in a file that Open has made; in a damaged one it may be.
func bucket(tx *bolt.Tx, name string) (*bolt.Bucket, error) {
	if b := tx.Bucket([]byte(name)); b != nil {
		return b, nil
	}
	return nil, fmt.Errorf("bucket %q is missing", name)
}
