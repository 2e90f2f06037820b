package ledger

import (
	"errors"
	"fmt"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// Options of Verify.
type Options struct {
	Key  string   // a public key of the log, if the caller holds one: the first, or one that came later; else the one in record 0 is taken
	Pins [][]byte // checkpoints kept from earlier, signed notes
}

// Summary is what a verification found in all.
type Summary struct {
	Size     int64     // records read
	Root     tlog.Hash // over them
	Bores    int
	Releases int
	Faults   int
	First    int64      // first bad record, -1 if no fault names one
	Signed   Checkpoint // the checkpoint, zero if it does not verify
	Checked  []string   // "records", then what the reader had: "hashes", "indexes", "blobs", "evidence", "private"
	Erased   int        // people whose names were erased
	Rotated  []int64    // records that change the log's key
	Restored []int64    // records that say that a backup was put back
	Anchored bool       // compared with a pin: without one, whoever holds the log key could have rewritten all
}

// maxGap is how many records may be missing in one place for the rest still to
// be followed. A wider hole is rather a damaged number.
const maxGap = 1 << 20

// Verify checks a ledger from its first record to its last and calls report for
// every fault as it is found. It trusts nothing but the hash function, the key
// and the pins, and derives from the records alone what should have been
// released. Memory: about 300 bytes for each record when the reader has indexes,
// 100 when not.
func Verify(r Reader, o Options, report func(Fault)) Summary {
	v := &verifier{r: r, opts: o, report: report, prefix: map[int64]tlog.Hash{}}
	v.sum.First = -1
	v.sum.Checked = []string{"records"}
	v.fold = newFold(v)
	v.run()
	return v.sum
}

type verifier struct {
	r      Reader
	opts   Options
	report func(Fault)
	sum    Summary

	keys   *Keys  // nil until known, or if they cannot be
	note   []byte // the checkpoint as read
	edge   edge
	before tlog.Hash           // the tree before a record that changes the key
	prefix map[int64]tlog.Hash // size -> root, for the sizes that pins name
	fold   *fold
	shift  int64 // by how much seq inside the record before was off
	unsure bool  // some record is not known as it was written
}

func (v *verifier) fault(seq int64, code, format string, args ...any) {
	v.sum.Faults++
	if seq >= 0 && (v.sum.First < 0 || seq < v.sum.First) {
		v.sum.First = seq
	}
	switch code {
	case FaultGap, FaultBeyond, FaultDecode, FaultSeq, FaultLeaf, FaultUnreadable:
		v.unsure = true
	}
	v.report(Fault{Seq: seq, Code: code, Say: fmt.Sprintf(format, args...)})
}

func (v *verifier) run() {
	msg, err := v.r.Checkpoint()
	if err != nil {
		v.fault(-1, FaultUnreadable, "the checkpoint cannot be read: %v", err)
	}
	v.note = msg
	for _, p := range v.opts.Pins {
		v.prefix[pinSize(p)] = tlog.Hash{}
	}
	v.records()
	v.held()
	v.fold.files()
	v.checkpoint()
	v.pins()
	v.indexes()
}

// useKey takes the key that the log starts with.
func (v *verifier) useKey(seq int64, key string) {
	k, err := StartKeys(key)
	if err != nil {
		v.fault(seq, FaultLogKey, "the log's key cannot be read: %v", err)
	}
	v.keys = k
}

// held compares the keys of the log with the one that the caller holds.
func (v *verifier) held() {
	if v.opts.Key == "" || v.keys != nil && v.keys.Has(v.opts.Key) {
		return
	}
	if v.keys != nil {
		v.fault(0, FaultLogKey, "the log names another key than the one it should have")
	}
	v.useKey(-1, v.opts.Key)
}

// records goes through records and stored hashes side by side.
func (v *verifier) records() {
	recs := ahead(v.r.Records)
	defer recs.close()
	var hashes *pager
	if h, ok := v.r.(HashSource); ok {
		v.sum.Checked = append(v.sum.Checked, "hashes")
		hashes = &pager{fetch: h.Hashes}
	}
	for seq := int64(0); ; seq++ {
		v.markPrefix(seq)
		p, ok := recs.peek()
		if !ok {
			v.sum.Size = seq
			break
		}
		if p.row.Seq-seq > maxGap {
			v.fault(seq, FaultGap, "%s not there; what follows is not looked at", records(seq, p.row.Seq))
			v.sum.Size = seq
			return
		}
		if p.row.Seq != seq {
			// Numbers come in order, so what is not here is nowhere.
			v.gap(seq, p.row.Seq, hashes)
			seq = p.row.Seq
		}
		v.record(p, hashes)
		recs.take()
	}
	if err := recs.err(); err != nil {
		v.fault(v.sum.Size, FaultUnreadable, "records from %d on cannot be read: %v", v.sum.Size, err)
	}
	if hashes == nil {
		return
	}
	if h, ok := hashes.peek(); ok {
		v.fault(-1, FaultHash, "hashes are stored from number %d on, but no records", h.Seq)
	}
	if hashes.err != nil {
		v.fault(-1, FaultUnreadable, "stored hashes cannot be read: %v", hashes.err)
	}
}

// gap stands in for the records from lo to hi-1: their stored leaf hashes, where
// there are any, let the rest of the tree still be checked.
func (v *verifier) gap(lo, hi int64, hashes *pager) {
	v.fault(lo, FaultGap, "%s not there", records(lo, hi))
	for seq := lo; seq < hi; seq++ {
		var leaf tlog.Hash
		if stored, ok := v.stored(seq, hashes); ok && len(stored) >= tlog.HashSize {
			leaf = tlog.Hash(stored[:tlog.HashSize])
		}
		v.edge.add(leaf, true)
		v.markPrefix(seq + 1)
	}
}

func records(lo, hi int64) string {
	if hi-lo == 1 {
		return fmt.Sprintf("record %d is", lo)
	}
	return fmt.Sprintf("records %d to %d are", lo, hi-1)
}

// stored gives the stored hashes of one record; none where the reader has no
// hashes.
func (v *verifier) stored(seq int64, hashes *pager) ([]byte, bool) {
	for hashes != nil {
		row, ok := hashes.peek()
		if !ok || row.Seq > seq {
			return nil, false
		}
		hashes.take()
		if row.Seq == seq {
			return row.Data, true
		}
	}
	return nil, false
}

func (v *verifier) record(p *parsed, hashes *pager) {
	row, r := p.row, &p.rec
	if p.err == nil && r.Rotated != nil {
		v.before = v.edge.root()
	}
	v.hash(row.Seq, p.leaf, hashes)
	if p.err != nil {
		v.fault(row.Seq, FaultDecode, "record %d is damaged: %v", row.Seq, p.err)
		return
	}
	// After one record too many or too few all later ones are off by one; that
	// is one fault, not thousands.
	off := r.Seq - row.Seq
	if off != 0 && off != v.shift {
		v.fault(row.Seq, FaultSeq, "record %d says that it is record %d", row.Seq, r.Seq)
	}
	v.shift = off
	v.fold.record(row.Seq, r)
}

// hash adds the record to the tree and compares what is stored for it.
func (v *verifier) hash(seq int64, leaf tlog.Hash, hashes *pager) {
	if hashes == nil {
		v.edge.add(leaf, false)
		return
	}
	stored, ok := v.stored(seq, hashes)
	bad := !ok || len(stored) < tlog.HashSize || tlog.Hash(stored[:tlog.HashSize]) != leaf
	done, clean := v.edge.add(leaf, bad)
	switch {
	case !ok:
		v.fault(seq, FaultHash, "no hash is stored for record %d", seq)
	case len(stored) != len(done)*tlog.HashSize:
		v.fault(seq, FaultHash, "record %d has %d bytes of hashes, want %d", seq, len(stored), len(done)*tlog.HashSize)
	case bad:
		v.fault(seq, FaultLeaf, "the bytes of record %d do not give the hash that was stored for it", seq)
	default:
		for i := 1; i < clean; i++ {
			if tlog.Hash(stored[i*tlog.HashSize:][:tlog.HashSize]) != done[i] {
				v.fault(seq, FaultNode, "the hash stored for records %d to %d is wrong", seq+1-1<<i, seq)
			}
		}
	}
}

// checkpoint compares the signed checkpoint with the records.
func (v *verifier) checkpoint() {
	v.sum.Root = v.edge.root()
	if v.keys == nil {
		v.fault(-1, FaultCheckpoint, "there is no key to check the checkpoint with")
		return
	}
	c, err := v.keys.Open(v.note)
	if errors.Is(err, ErrRetired) {
		v.fault(-1, FaultCheckpoint, "the checkpoint is signed only by a key that the log had given up by then")
		return
	}
	if err != nil {
		v.fault(-1, FaultCheckpoint, "the checkpoint is not one that the log of this key has signed")
		return
	}
	v.sum.Signed = c
	switch {
	case c.Size > v.sum.Size:
		v.fault(v.sum.Size, FaultGap, "the checkpoint covers %d records, %s not there", c.Size, records(v.sum.Size, c.Size))
	case c.Size < v.sum.Size:
		v.fault(c.Size, FaultBeyond, "%s not covered by the checkpoint", records(c.Size, v.sum.Size))
	case c.Root != v.sum.Root:
		v.fault(-1, FaultRoot, "the records do not add up to the root that was signed: one of them was changed")
	}
}

// say joins names for a sentence.
func say(names []string) string { return strings.Join(names, ", ") }
