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
	if r.Removed != nil {
		for _, sum := range r.Removed.Sums {
			f.gone[strings.Clone(sum)] = true
		}
	}
	for _, file := range r.Shown {
		delete(f.gone, file.Sum) // it was given again
		if f.sums[file.Sum] {
			continue
		}
		file = File{Sum: strings.Clone(file.Sum), Size: file.Size}
		f.sums[file.Sum] = true
		f.given = append(f.given, given{seq, file})
	}
}

// files looks at every file of evidence, but for those that were removed when their
// time had passed, which a record says.
func (f *fold) files() {
	for _, g := range f.given {
		if f.gone[g.file.Sum] {
			continue
		}
		if err := f.shelf.Evidence(g.file); err != nil {
			f.v.fault(g.seq, FaultEvidence, "the file of evidence that record %d names, SHA-256 %s: %v", g.seq, g.file.Sum, err)
		}
	}
}
