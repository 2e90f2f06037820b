package ledger

import "strings"

// given is a file of evidence and the first record that names it.
type given struct {
	seq  int64
	file File
}

// give notes the files that a record names. They are read at the end: the records
// come in faster than files can be hashed.
func (f *fold) give(seq int64, r *Record) {
	if f.shelf == nil {
		return
	}
	for _, file := range r.Shown {
		if f.sums[file.Sum] {
			continue
		}
		file = File{Sum: strings.Clone(file.Sum), Size: file.Size}
		f.sums[file.Sum] = true
		f.given = append(f.given, given{seq, file})
	}
}

// files looks at every file of evidence.
func (f *fold) files() {
	for _, g := range f.given {
		if err := f.shelf.Evidence(g.file); err != nil {
			f.v.fault(g.seq, FaultEvidence, "the file of evidence that record %d names, SHA-256 %s: %v", g.seq, g.file.Sum, err)
		}
	}
}
