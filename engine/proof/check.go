package proof

import (
	"context"
	"fmt"
	"io"

	"firstrod/engine/ledger"
)

// The codes of faults that only a proof file has; for the others see ledger. They
// keep their meaning; more may be added.
const (
	FaultFile      = "file"      // it is not a proof file, or not in the one form of one
	FaultPart      = "part"      // a part is missing, changed, or nothing accounts for it
	FaultInclusion = "inclusion" // a record is not in the tree that was signed
	FaultBore      = "bore"      // the file is about another bore
	FaultInput     = "input"     // what was signed is not what the records say
	FaultEvidence  = "evidence"  // evidence that is not what the records name
	FaultSince     = "since"     // an older checkpoint in the file is not continued
	FaultPolicy    = "policy"    // too few of those who should have cosigned did
	FaultRerun     = "rerun"     // the rules say otherwise than the records
)

// Rerunner judges a bore again.
type Rerunner interface {
	// Rerun judges a bore whose records up to one moment are given, by the rules of a place and day in packs (the bytes
	// that the ledger kept), at the time that the last record names. An error means that it cannot
	// be done, say by this version of the rule engine; it is no fault of the records.
	Rerun(ctx context.Context, revision string, of ledger.Pack, packs []byte, records []ledger.Record) (Judged, error)
}

// Judged is what the rules say of a bore.
type Judged struct {
	Findings map[string]string // status, by the finding's key
	Loose    []string          // limits and checks that the packs make less strict
}

// Options of Check. Everything may be left out.
type Options struct {
	Key    string                                  // the log's public key, if the caller holds it
	Bore   string                                  // the bore that the file should be about
	Pins   [][]byte                                // checkpoints kept from earlier, signed notes
	Policy func(note []byte) (who string, e error) // who cosigned, in words, "" for nobody; or why that is too little
	Rerun  Rerunner
}

// Verdict is what a file was found to be.
type Verdict struct {
	Bore      string
	Title     string
	State     string // after the last record in the file
	Versions  int64  // of the bore
	Records   int64
	Releases  int
	Signed    ledger.Checkpoint // zero if it does not verify
	Key       string            // the log's public key, as the file has it
	Faults    int
	First     int64    // first bad record, -1 if no fault names one
	Pinned    bool     // it continues, or is continued by, a checkpoint the caller holds
	Witnessed bool     // cosigned as the caller's policy wants
	Rerun     int      // records whose findings were worked out again
	Proved    []string // sentences
	Unproved  []string // sentences
}

// Anchored says whether anything but the log's own key speaks for the file.
func (v Verdict) Anchored() bool { return v.Pinned || v.Witnessed }

// Check checks a file of size bytes and calls report for every fault. The verdict
// says what is proved, and what is not, only where there are no faults.
func Check(ctx context.Context, r io.ReaderAt, size int64, o Options, report func(ledger.Fault)) Verdict {
	c := &checker{ctx: ctx, o: o, report: report, f: newFile()}
	c.v.First = -1
	if err := c.f.read(r, size, c.fault); err != nil {
		c.fault(-1, FaultFile, "%v", err)
		return c.v
	}
	for _, step := range []func(){c.about, c.checkpoint, c.records, c.meaning, c.inputs, c.evidence, c.since, c.anchors, c.again} {
		step()
	}
	if c.v.Faults == 0 {
		c.words()
	}
	return c.v
}

type checker struct {
	ctx    context.Context
	o      Options
	report func(ledger.Fault)
	f      *file
	v      Verdict

	keys      *ledger.Keys // that the log has signed with, as far as the file has them
	note      []byte
	bore      []ledger.Record // the bore's records, as far as they can be read
	links     map[int64]bool  // sizes of older checkpoints in the file that are continued
	unchecked int             // pins that the file has nothing to check with
	who       string          // cosigned, in words
	why       error           // why the rules could not judge again
}

func (c *checker) fault(seq int64, code, format string, args ...any) {
	c.v.Faults++
	if seq >= 0 && (c.v.First < 0 || seq < c.v.First) {
		c.v.First = seq
	}
	c.report(ledger.Fault{Seq: seq, Code: code, Say: fmt.Sprintf(format, args...)})
}

// about looks at what the file says it is.
func (c *checker) about() {
	if string(c.f.parts[partReadme]) != readme {
		c.fault(-1, FaultPart, "%s is not the one that belongs in a proof file: do not do what it says", partReadme)
	}
	a, err := readAbout(c.f.parts[partAbout])
	if err != nil {
		c.fault(-1, FaultFile, "%s cannot be read: %v", partAbout, err)
		return
	}
	c.v.Bore = a.Bore
	if c.o.Bore != "" && c.o.Bore != a.Bore {
		c.fault(-1, FaultBore, "this is a proof of bore %q, not of %q", a.Bore, c.o.Bore)
	}
}

// checkpoint opens the signed checkpoint with the log's key.
func (c *checker) checkpoint() {
	key, ok := cutLine(c.f.parts[partKey])
	keys, err := ledger.StartKeys(key)
	if !ok || err != nil {
		c.fault(-1, ledger.FaultLogKey, "%s has no key that can be read", partKey)
		return
	}
	c.v.Key = key
	for _, row := range c.f.rows() {
		if r, err := ledger.Decode(row.Data); err == nil && r.Rotated != nil {
			_ = keys.Add(row.Seq, *r.Rotated, nil) // what is wrong with it is said where the records are followed
		}
	}
	if c.o.Key != "" && !keys.Has(c.o.Key) {
		c.fault(-1, ledger.FaultLogKey, "the file is signed with another key than the one you hold")
		return
	}
	c.keys, c.note = keys, c.f.parts[partCheckpoint]
	signed, err := keys.Open(c.note)
	if err != nil {
		c.fault(-1, ledger.FaultCheckpoint, "the checkpoint is not one that the log of this key has signed")
		return
	}
	c.v.Signed = signed
}

// meaning follows what the records say, and that they are those of one bore.
func (c *checker) meaning() {
	rows := c.f.rows()
	if len(rows) == 0 || rows[0].Seq != 0 {
		c.fault(-1, FaultPart, "the record that starts the log is missing")
	}
	key := ""
	if c.keys != nil {
		key = c.v.Key
	}
	sum, bores := ledger.VerifyPart(rows, c.f, key, func(f ledger.Fault) { c.fault(f.Seq, f.Code, "%s", f.Say) })
	c.v.Records, c.v.Releases = sum.Size, sum.Releases
	for _, row := range rows {
		r, err := ledger.Decode(row.Data)
		switch {
		case err != nil || r.Bore == "":
		case r.Bore != c.v.Bore:
			c.fault(row.Seq, FaultBore, "record %d is of bore %q, the file is about %q", row.Seq, r.Bore, c.v.Bore)
		default:
			c.bore = append(c.bore, r)
		}
	}
	for _, b := range bores {
		if b.Bore == c.v.Bore {
			c.v.Title, c.v.State, c.v.Versions = b.Title, b.State, b.Ver
		}
	}
	if len(c.bore) == 0 {
		c.fault(-1, FaultBore, "there is no record of bore %q in the file", c.v.Bore)
	}
}
