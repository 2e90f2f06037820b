package ledger

import (
	"maps"
	"slices"
)

// VerifyPart follows what some records of a ledger mean, in the order of their
// numbers: those of one bore and those they lean on, say. It holds them to the
// same meaning as [Verify]. What it cannot know is what is not among them: that
// is for the caller to say. It looks at no hash and no signature.
//
// blobs must have the packs of every revision that a record of a bore was judged
// by, and the input of every release; the packs of other revisions may be left
// out. The lines are those of the bores, by id.
func VerifyPart(rows []Row, blobs BlobSource, key string, report func(Fault)) (Summary, []BoreLine) {
	v := &verifier{opts: Options{Key: key}, report: report}
	v.sum.First, v.sum.Checked = -1, []string{"records", "blobs"}
	v.fold = newFold(v)
	v.fold.blobs, v.fold.part = blobs, map[string]bool{}
	last := int64(-1)
	for _, row := range rows {
		v.sum.Size++
		r, err := Decode(row.Data)
		switch {
		case err != nil:
			v.fault(row.Seq, FaultDecode, "record %d is damaged: %v", row.Seq, err)
			continue
		case r.Seq != row.Seq:
			v.fault(row.Seq, FaultSeq, "record %d says that it is record %d", row.Seq, r.Seq)
		case row.Seq <= last:
			v.fault(row.Seq, FaultSeq, "record %d comes after record %d", row.Seq, last)
		}
		last = row.Seq
		v.fold.record(row.Seq, &r)
	}
	v.held()
	lines := make([]BoreLine, 0, len(v.fold.bores))
	for _, id := range slices.Sorted(maps.Keys(v.fold.bores)) {
		lines = append(lines, v.fold.bores[id].line)
	}
	return v.sum, lines
}
