package ledger

import (
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// pinSize is the size a pin claims, before its signature is looked at, so that
// the root at that size can be noted while the records go by; -1 if it claims
// none.
func pinSize(msg []byte) int64 {
	text, _, _ := strings.Cut(string(msg), "\n\n")
	c, err := ParseCheckpoint(text + "\n")
	if err != nil {
		return -1
	}
	return c.Size
}

// markPrefix keeps the root over the first size records, if a pin wants it.
func (v *verifier) markPrefix(size int64) {
	if _, ok := v.prefix[size]; ok {
		v.prefix[size] = v.edge.root()
	}
}

// pins compares the log with what it once was. All records are at hand, so the
// root at the pin's size is computed again instead of asking for a consistency
// proof: the same statement with nothing left to trust.
func (v *verifier) pins() {
	if v.key == nil {
		return
	}
	for i, p := range v.opts.Pins {
		c, err := OpenCheckpoint(p, v.key)
		switch {
		case err != nil:
			v.fault(-1, FaultPin, "pinned checkpoint %d is not one that the log of this key has signed", i+1)
			continue
		case c.Size > v.sum.Size:
			v.fault(-1, FaultRollback, "the log had %d records when the checkpoint was pinned and has %d now", c.Size, v.sum.Size)
		case c.Root != v.prefix[c.Size]:
			v.fault(-1, FaultFork, "the first %d records are not those the pinned checkpoint was made over", c.Size)
		}
		v.sum.Anchored = true
	}
}

// CheckConsistent says whether the log of size records behind r, with root now,
// continues the log that old was made over. It needs only a few stored hashes.
func CheckConsistent(old, now Checkpoint, r tlog.HashReader) bool {
	if old.Origin != now.Origin || old.Size > now.Size {
		return false
	}
	// The proof functions do not take an empty tree, which any log continues.
	if old.Size == 0 {
		return old.Root == (&edge{}).root()
	}
	proof, err := tlog.ProveTree(now.Size, old.Size, r)
	if err != nil {
		return false
	}
	return tlog.CheckTree(proof, now.Size, now.Root, old.Size, old.Root) == nil
}
