package proof

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// Source is a ledger to make proofs from. It must hold still meanwhile.
type Source interface {
	ledger.Reader
	ledger.BlobSource
	tlog.HashReader
	Finder
}

// Finder finds records without going through all of them.
type Finder interface {
	// Numbers gives, in order, the numbers of the records under one of
	// ledger.IndexBore (key: the bore), ledger.IndexPerson, ledger.IndexRules or
	// ledger.IndexRotation.
	Numbers(index, key string) ([]int64, error)
}

// Request is what a file should have.
type Request struct {
	Bore     string                           // id
	Since    [][]byte                         // older checkpoints that the auditor holds, signed notes
	Cosigned []byte                           // a checkpoint of this log with cosignatures; may be nil
	Evidence func(sum string) ([]byte, error) // bytes of evidence by hex SHA-256, none for a file that was removed when its time had passed; nil: leave all out
}

// Made is what a file has.
type Made struct {
	Records    int // all of them
	Versions   int // those of the bore
	Checkpoint ledger.Checkpoint
	Cosigned   bool  // the checkpoint is the cosigned one
	Evidence   int   // files of evidence that are in it
	Left       int   // files of evidence that were left out
	Bytes      int64 // of the file
}

// Errors of Write.
var (
	ErrNoBore = errors.New("there is no such bore")
	ErrSince  = errors.New("the older checkpoint cannot be used")
)

// Write makes a proof file. It takes the cosigned checkpoint where that covers the
// bore's last record, and the latest one otherwise.
func Write(w io.Writer, src Source, q Request) (Made, error) {
	m := &maker{src: src, q: q, rows: map[int64][]byte{}, blobs: map[string][]byte{}}
	for _, step := range []func() error{m.gather, m.lean, m.named, m.pick, m.changed, m.since} {
		if err := step(); err != nil {
			return Made{}, err
		}
	}
	return m.write(w)
}

// maker gathers what a file has.
type maker struct {
	src   Source
	q     Request
	rows  map[int64][]byte // exact bytes by number
	bore  []ledger.Record  // the bore's records
	blobs map[string][]byte
	shown []ledger.File

	keys  *ledger.Keys // that the log has signed with
	now   ledger.Checkpoint
	note  []byte
	older map[int64]older
	made  Made
}

// older is an older checkpoint, and that it is continued.
type older struct {
	note   []byte
	hashes tlog.TreeProof
}

// row reads one record.
func (m *maker) row(seq int64) (ledger.Record, error) {
	rows, err := m.src.Records(seq, 1)
	if err != nil {
		return ledger.Record{}, err
	}
	if len(rows) == 0 || rows[0].Seq != seq {
		return ledger.Record{}, fmt.Errorf("record %d is not there", seq)
	}
	r, err := ledger.Decode(rows[0].Data)
	if err != nil {
		return ledger.Record{}, fmt.Errorf("record %d: %w", seq, err)
	}
	m.rows[seq] = rows[0].Data
	return r, nil
}

// gather takes the bore's records and the one that starts the log.
func (m *maker) gather() error {
	first, err := m.row(0)
	if err != nil {
		return err
	}
	if first.Log == nil {
		return errors.New("the first record does not start a log")
	}
	if m.keys, err = keysOf(m.src, first); err != nil {
		return err
	}
	numbers, err := m.src.Numbers(ledger.IndexBore, m.q.Bore)
	if err != nil {
		return err
	}
	if len(numbers) == 0 {
		return fmt.Errorf("%w: %s", ErrNoBore, m.q.Bore)
	}
	for _, seq := range numbers {
		r, err := m.row(seq)
		if err != nil {
			return err
		}
		m.bore = append(m.bore, r)
		m.shown = append(m.shown, r.Shown...)
	}
	m.made.Versions = len(m.bore)
	return nil
}

func (m *maker) last() int64 { return m.bore[len(m.bore)-1].Seq }

// named reads what the records name by hash.
func (m *maker) named() error {
	for _, r := range m.bore {
		if r.Sign != nil {
			m.blobs[r.Sign.Input] = nil
		}
		if r.Release != nil {
			m.blobs[r.Release.Input] = nil
		}
	}
	for sum := range m.blobs {
		b, err := m.src.Blob(sum)
		if err != nil {
			return err
		}
		if b == nil || ledger.BlobSum(b) != sum {
			return fmt.Errorf("the bytes under %s are missing or were changed", sum)
		}
		m.blobs[sum] = b
	}
	return nil
}

// pick chooses the checkpoint.
func (m *maker) pick() error {
	latest, err := m.src.Checkpoint()
	if err != nil {
		return err
	}
	if m.now, err = m.checked(latest); err != nil {
		return err
	}
	m.note = latest
	if len(m.q.Cosigned) == 0 {
		return nil
	}
	c, err := m.checked(m.q.Cosigned)
	if err != nil {
		return fmt.Errorf("the cosigned checkpoint: %w", err)
	}
	wanted := m.last() + 1
	for _, old := range m.q.Since {
		if c, err := m.keys.Open(old); err == nil {
			wanted = max(wanted, c.Size)
		}
	}
	if c.Size >= wanted {
		m.now, m.note, m.made.Cosigned = c, m.q.Cosigned, true
	}
	return nil
}

// changed takes the records that change the log's key, as far as the checkpoint
// goes: without them nobody could follow from the first key to the one it is
// signed by.
func (m *maker) changed() error {
	numbers, err := m.src.Numbers(ledger.IndexRotation, "")
	if err != nil {
		return err
	}
	for _, seq := range numbers {
		if seq >= m.now.Size {
			break
		}
		r, err := m.row(seq)
		if err != nil {
			return err
		}
		if r.By != nil {
			if err := m.introduced(r.By.ID, seq); err != nil {
				return err
			}
		}
	}
	return nil
}

// keysOf follows the log's keys from its first record on.
func keysOf(src interface {
	ledger.Reader
	Finder
}, first ledger.Record) (*ledger.Keys, error) {
	keys, err := ledger.StartKeys(first.Log.Key)
	if err != nil {
		return nil, err
	}
	numbers, err := src.Numbers(ledger.IndexRotation, "")
	if err != nil {
		return nil, err
	}
	for _, seq := range numbers {
		rows, err := src.Records(seq, 1)
		if err != nil || len(rows) == 0 || rows[0].Seq != seq {
			return nil, errors.Join(fmt.Errorf("record %d is not there", seq), err)
		}
		r, err := ledger.Decode(rows[0].Data)
		if err != nil || r.Rotated == nil {
			return nil, errors.Join(fmt.Errorf("record %d does not change the key", seq), err)
		}
		if err := keys.Add(seq, *r.Rotated, nil); err != nil {
			return nil, err
		}
	}
	return keys, nil
}

// checked opens a checkpoint and compares it with the stored hashes.
func (m *maker) checked(msg []byte) (ledger.Checkpoint, error) {
	c, err := m.keys.Open(msg)
	if err != nil {
		return c, err
	}
	root, err := tlog.TreeHash(c.Size, m.src)
	if err == nil && root != c.Root {
		err = errors.New("the stored hashes do not add up to the signed root")
	}
	return c, err
}

// since proves that each older checkpoint is continued.
func (m *maker) since() error {
	m.older = map[int64]older{}
	for _, msg := range m.q.Since {
		c, err := m.keys.Open(msg)
		switch {
		case err != nil:
			return fmt.Errorf("%w: it is not one that this log has signed", ErrSince)
		case c.Size > m.now.Size:
			return fmt.Errorf("%w: it is of %d records, there are %d now", ErrSince, c.Size, m.now.Size)
		case c.Size == 0 || c.Size > maxNumber:
			continue // every log continues an empty one
		}
		p, err := tlog.ProveTree(m.now.Size, c.Size, m.src)
		if err != nil {
			return err
		}
		if tlog.CheckTree(p, m.now.Size, m.now.Root, c.Size, c.Root) != nil {
			return fmt.Errorf("%w: this log does not continue it", ErrSince)
		}
		m.older[c.Size] = older{msg, p}
	}
	return nil
}

// write puts the parts into the file, in the order of their names.
func (m *maker) write(w io.Writer) (Made, error) {
	z := &zipWriter{w: w}
	z.add(partReadme, []byte(readme))
	z.add(partAbout, about{format, m.q.Bore}.encode())
	for _, sum := range slices.Sorted(maps.Keys(m.blobs)) {
		z.add(folderBlobs+sum, m.blobs[sum])
	}
	z.add(partCheckpoint, m.note)
	z.add(partEvidence, evidenceList(m.shown))
	if err := m.evidence(z); err != nil {
		return Made{}, err
	}
	z.add(partKey, []byte(m.keys.First()+"\n"))
	numbers := slices.Sorted(maps.Keys(m.rows))
	for _, seq := range numbers {
		p, err := tlog.ProveRecord(m.now.Size, seq, m.src)
		if err != nil {
			return Made{}, err
		}
		if tlog.CheckRecord(p, m.now.Size, m.now.Root, seq, tlog.RecordHash(m.rows[seq])) != nil {
			return Made{}, fmt.Errorf("the stored hashes do not add up to record %d: the ledger is damaged", seq)
		}
		z.add(proofPart(seq), inclusion(seq, p, m.note))
	}
	for _, seq := range numbers {
		z.add(recordPart(seq), m.rows[seq])
	}
	for _, size := range slices.Sorted(maps.Keys(m.older)) {
		z.add(sincePart(size), m.older[size].note)
		z.add(hashesPart(size), []byte(lines(m.older[size].hashes)))
	}
	err := z.close()
	m.made.Records, m.made.Checkpoint, m.made.Bytes = len(m.rows), m.now, z.at
	return m.made, err
}

// evidence adds the files that were shown.
func (m *maker) evidence(z *zipWriter) error {
	files := slices.Clone(m.shown)
	slices.SortFunc(files, func(a, b ledger.File) int { return cmp.Compare(a.Sum, b.Sum) })
	files = slices.CompactFunc(files, func(a, b ledger.File) bool { return a.Sum == b.Sum })
	for _, f := range files {
		if m.q.Evidence == nil || !sumForm.MatchString(folderEvidence+f.Sum) {
			m.made.Left++
			continue
		}
		b, err := m.q.Evidence(f.Sum)
		if err != nil {
			return err
		}
		if b == nil {
			m.made.Left++
			continue
		}
		if ledger.BlobSum(b) != f.Sum {
			return fmt.Errorf("the file of evidence %s was changed", f.Sum)
		}
		z.add(folderEvidence+f.Sum, b)
		m.made.Evidence++
	}
	return nil
}
