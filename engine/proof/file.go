package proof

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"firstrod/engine/ledger"
)

// file is what was read of a proof file.
type file struct {
	parts map[string][]byte // all but evidence
	shown map[string]bool   // sums of evidence that is in the file and is what its name says
	used  map[string]bool   // blobs that something named
}

func newFile() *file {
	return &file{parts: map[string][]byte{}, shown: map[string]bool{}, used: map[string]bool{}}
}

// read reads all parts. Evidence is hashed as it goes by and not kept.
func (f *file) read(r io.ReaderAt, size int64, fault func(seq int64, code, format string, args ...any)) error {
	held := 0
	return readZip(r, size, func(name string, data []byte, whole bool) error {
		seq := int64(-1)
		if strings.HasPrefix(name, folderRecords) || strings.HasPrefix(name, folderProofs) {
			seq = numberOf(name)
		}
		if !whole {
			fault(seq, FaultPart, "%s was changed after the file was made", name)
		}
		if sum, ok := strings.CutPrefix(name, folderEvidence); ok {
			if ledger.BlobSum(data) != sum {
				fault(-1, FaultEvidence, "%s is not what its name says", name)
			}
			f.shown[sum] = true
			return nil
		}
		if held += len(data); held > maxHeld {
			return fmt.Errorf("%w: its records and rules have more than %d bytes", errNoProof, maxHeld)
		}
		f.parts[name] = slices.Clone(data)
		return nil
	})
}

// rows are the records in the order of their numbers.
func (f *file) rows() []ledger.Row {
	var out []ledger.Row
	for _, name := range slices.Sorted(maps.Keys(f.parts)) {
		if strings.HasPrefix(name, folderRecords) {
			out = append(out, ledger.Row{Seq: numberOf(name), Data: f.parts[name]})
		}
	}
	return out
}

// Blob is of ledger.BlobSource, and notes what was asked for.
func (f *file) Blob(sum string) ([]byte, error) {
	f.used[sum] = true
	return f.parts[folderBlobs+sum], nil
}

// cutLine is the one line that a part has.
func cutLine(b []byte) (string, bool) {
	line, rest, ok := strings.Cut(string(b), "\n")
	return line, ok && rest == ""
}
