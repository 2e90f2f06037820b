package ledger

import (
	"crypto/sha256"

	"golang.org/x/mod/sumdb/tlog"
)

// edge is the right edge of a growing tree: the roots of the complete subtrees
// that the leaves so far make up, largest first. It is all that adding a leaf
// needs, at most one hash for each bit of the size.
type edge struct {
	nodes []edgeNode
	done  []tlog.Hash // reused result of add
}

// leafHasher is tlog.RecordHash without its cost for small records.
type leafHasher struct{ buf []byte }

func (h *leafHasher) leaf(data []byte) tlog.Hash {
	h.buf = append(append(h.buf[:0], 0x00), data...)
	return sha256.Sum256(h.buf)
}

type edgeNode struct {
	hash  tlog.Hash
	level int
	bad   bool // a leaf below is known not to be as stored
}

// add takes the next leaf. It gives the hashes that tlog stores with this leaf:
// the leaf's own and those of the subtrees it completes. They are valid until
// the next call. clean says how many of them have no bad leaf below.
func (e *edge) add(leaf tlog.Hash, bad bool) (done []tlog.Hash, clean int) {
	n := edgeNode{hash: leaf, bad: bad}
	e.done = append(e.done[:0], leaf)
	if !bad {
		clean = 1
	}
	for len(e.nodes) > 0 && e.nodes[len(e.nodes)-1].level == n.level {
		left := e.nodes[len(e.nodes)-1]
		e.nodes = e.nodes[:len(e.nodes)-1]
		n.hash = tlog.NodeHash(left.hash, n.hash)
		n.bad = n.bad || left.bad
		n.level++
		e.done = append(e.done, n.hash)
		if !n.bad {
			clean++
		}
	}
	e.nodes = append(e.nodes, n)
	return e.done, clean
}

// root is the tree hash over all leaves so far.
func (e *edge) root() tlog.Hash {
	if len(e.nodes) == 0 {
		return tlog.Hash(sha256.Sum256(nil))
	}
	h := e.nodes[len(e.nodes)-1].hash
	for i := len(e.nodes) - 2; i >= 0; i-- {
		h = tlog.NodeHash(e.nodes[i].hash, h)
	}
	return h
}
