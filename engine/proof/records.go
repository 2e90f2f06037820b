package proof

import (
	"bytes"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// records checks that each record is in the tree that was signed.
func (c *checker) records() {
	rows := c.f.rows()
	if i := slices.IndexFunc(rows, func(r ledger.Row) bool { return r.Seq >= c.v.Signed.Size }); i >= 0 && c.v.Signed.Size > 0 {
		c.fault(rows[i].Seq, FaultInclusion, "the checkpoint is of %d records and the file has record %d: an older checkpoint stands in its place, or the record was added",
			c.v.Signed.Size, rows[i].Seq)
		return
	}
	for _, row := range rows {
		c.included(row)
	}
	for name := range c.f.parts {
		if strings.HasPrefix(name, folderProofs) && c.f.parts[recordPart(numberOf(name))] == nil {
			c.fault(numberOf(name), FaultPart, "record %d is missing, its proof is here", numberOf(name))
		}
	}
}

func (c *checker) included(row ledger.Row) {
	raw, ok := c.f.parts[proofPart(row.Seq)]
	if !ok {
		c.fault(row.Seq, FaultPart, "record %d has no proof", row.Seq)
		return
	}
	seq, hashes, checkpoint, err := readInclusion(raw)
	switch {
	case err != nil:
		c.fault(row.Seq, FaultInclusion, "the proof of record %d cannot be read", row.Seq)
	case seq != row.Seq:
		c.fault(row.Seq, FaultInclusion, "the proof with record %d is that of record %d", row.Seq, seq)
	case !bytes.Equal(checkpoint, c.f.parts[partCheckpoint]):
		c.fault(row.Seq, FaultInclusion, "the proof of record %d is under another checkpoint than the file's", row.Seq)
	case c.v.Signed.Size == 0:
		// There is no root to prove anything under; that was said.
	case tlog.CheckRecord(hashes, c.v.Signed.Size, c.v.Signed.Root, seq, tlog.RecordHash(row.Data)) != nil:
		c.fault(row.Seq, FaultInclusion, "record %d is not in the tree that was signed: it, or its proof, is not what it was", row.Seq)
	}
}

// evidence compares the list of files with the records, and the files with the list.
func (c *checker) evidence() {
	var shown []ledger.File
	named := map[string]bool{}
	for _, r := range c.bore {
		shown = append(shown, r.Shown...)
		for _, f := range r.Shown {
			named[f.Sum] = true
		}
	}
	list, ok := c.f.parts[partEvidence]
	if !ok || !bytes.Equal(list, evidenceList(shown)) {
		c.fault(-1, FaultEvidence, "%s does not list what the records say was shown", partEvidence)
	}
	for sum := range c.f.shown {
		if !named[sum] {
			c.fault(-1, FaultEvidence, "the file has evidence %s, which no record names", sum)
		}
	}
	for name := range c.f.parts {
		if sum, ok := strings.CutPrefix(name, folderBlobs); ok && !c.f.used[sum] {
			c.fault(-1, FaultPart, "nothing in the records names %s", name)
		}
	}
}
