package ledger

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
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
	if len(v.prefix) == 0 {
		return
	}
	if _, ok := v.prefix[size]; ok {
		v.prefix[size] = v.edge.root()
	}
}

// pins compares the log with what it once was. All records are at hand, so the
// root at the pin's size is computed again instead of asking for a consistency
// proof: the same statement with nothing left to trust.
func (v *verifier) pins() {
	if v.keys == nil {
		return
	}
	var held []Checkpoint
	for i, p := range v.opts.Pins {
		c, err := v.keys.Open(p)
		if errors.Is(err, ErrRetired) {
			v.fault(-1, FaultPin, "pinned checkpoint %d is signed only by a key that the log had given up by then: two logs part where the key was changed", i+1)
			continue
		}
		if err != nil {
			v.fault(-1, FaultPin, "pinned checkpoint %d is not one that the log of this key has signed", i+1)
			continue
		}
		held = append(held, c)
	}
	v.sum.Anchored = len(held) > 0
	now := Checkpoint{Size: v.sum.Size, Root: v.sum.Root}
	Compare(now, held, func(c Checkpoint) bool { return c.Root == v.prefix[c.Size] },
		func(code, say string) { v.fault(-1, code, "%s", say) })
}

// Compare names how a log contradicts checkpoints of it that were kept: each of
// them signed by the log's key. continues says whether the log of now continues
// the one of an older checkpoint; it is not asked about newer ones.
//
//   - rollback: the log is shorter than it was
//   - fork: there are two logs under one key. They had the same size and differ, or
//     they agree up to one kept checkpoint and differ at a later one
//   - rewrite: the log agrees with no older checkpoint that was kept. It was changed
//     before the oldest of them, and what it was before is gone
//
// A fork and a rewrite come about in the same way, and one kept checkpoint tells
// them apart only when the sizes are the same: the more checkpoints are kept, the
// closer is the place where the two part.
func Compare(now Checkpoint, kept []Checkpoint, continues func(Checkpoint) bool, report func(code, say string)) {
	kept = slices.Clone(kept)
	slices.SortStableFunc(kept, func(a, b Checkpoint) int { return cmp.Compare(a.Size, b.Size) })
	agreed := int64(0)
	for i, c := range kept {
		if i > 0 && c.Size == kept[i-1].Size && c.Root != kept[i-1].Root {
			report(FaultFork, fmt.Sprintf("fork: two of the checkpoints are of %d records each and not of the same ones", c.Size))
		}
		switch {
		case c.Size > now.Size:
			report(FaultRollback, fmt.Sprintf("rollback: the log had %d records when the checkpoint was pinned and has %d now", c.Size, now.Size))
		case continues(c):
			agreed = c.Size
		case c.Size == now.Size:
			report(FaultFork, fmt.Sprintf("fork: the pinned checkpoint is of %d records as well, and not of the same ones", c.Size))
		case agreed > 0:
			report(FaultFork, fmt.Sprintf("fork: the first %d records are those of an older checkpoint, the first %d are not those of the next: two logs part in between", agreed, c.Size))
		default:
			report(FaultRewrite, fmt.Sprintf("rewrite: the first %d records are not those the pinned checkpoint was made over", c.Size))
		}
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
