package ledger

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"github.com/transparency-dev/merkle/testonly"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// referenceTree is the tree of the RFC 6962 reference leaves.
func referenceTree(t *testing.T) (leaves []tlog.Hash, roots []tlog.Hash) {
	t.Helper()
	var v struct {
		Leaves []string `json:"leaves_hex"`
		Roots  []string `json:"roots_hex_by_size"`
	}
	if err := json.Unmarshal(outside(t, "rfc6962_roots.json"), &v); err != nil {
		t.Fatal(err)
	}
	for _, l := range v.Leaves {
		leaves = append(leaves, tlog.RecordHash(unhex(t, l)))
	}
	for _, r := range v.Roots {
		roots = append(roots, tlog.Hash(unhex(t, r)))
	}
	return leaves, roots
}

// probe is one question to both verifiers: is this proof good?
type probe struct {
	name        string
	index, size int64
	old         int64 // for consistency
	leaf        tlog.Hash
	root, first tlog.Hash
	proof       []tlog.Hash
}

func (p probe) inclusion() (ours, theirs bool) {
	ours = tlog.CheckRecord(p.proof, p.size, p.root, p.index, p.leaf) == nil
	theirs = proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(p.index), uint64(p.size), p.leaf[:], raw(p.proof), p.root[:]) == nil
	return ours, theirs
}

func (p probe) consistency() (ours, theirs bool) {
	ours = tlog.CheckTree(p.proof, p.size, p.root, p.old, p.first) == nil
	theirs = proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(p.old), uint64(p.size), raw(p.proof), p.first[:], p.root[:]) == nil
	return ours, theirs
}

func raw(hashes []tlog.Hash) [][]byte {
	out := [][]byte{}
	for _, h := range hashes {
		out = append(out, bytes.Clone(h[:]))
	}
	return out
}

// hostile are changed copies of a good probe, none of which may verify: the kinds
// of change are those of the RFC 6962 test suites (derived). Numbers and roots
// that happen to name the same tree again are left out.
func hostile(p probe) (all []probe) {
	add := func(name string, do func(q *probe)) {
		q := p
		q.name, q.proof = p.name+": "+name, slices.Clone(p.proof)
		do(&q)
		all = append(all, q)
	}
	some := tlog.RecordHash([]byte("something else"))
	add("size doubled", func(q *probe) { q.size *= 2 })
	add("other root", func(q *probe) { q.root = some })
	add("empty root", func(q *probe) { q.root = (&edge{}).root() })
	add("other leaf", func(q *probe) { q.leaf, q.first = some, some })
	add("one more", func(q *probe) { q.proof = append(q.proof, some) })
	add("root behind", func(q *probe) { q.proof = append(q.proof, q.root) })
	add("one in front", func(q *probe) { q.proof = append([]tlog.Hash{some}, q.proof...) })
	add("root in front", func(q *probe) { q.proof = append([]tlog.Hash{q.root}, q.proof...) })
	for i := range p.proof {
		add(fmt.Sprintf("bit of hash %d", i), func(q *probe) { q.proof[i][0] ^= 8 })
		add(fmt.Sprintf("without hash %d", i), func(q *probe) { q.proof = slices.Delete(q.proof, i, i+1) })
		add(fmt.Sprintf("hash %d twice", i), func(q *probe) { q.proof = slices.Insert(q.proof, i, q.proof[i]) })
	}
	if len(p.proof) > 1 && p.proof[0] != p.proof[1] {
		add("swapped", func(q *probe) { q.proof[0], q.proof[1] = q.proof[1], q.proof[0] })
	}
	return all
}

// TestRFC6962Proofs: the reference proofs verify, and no changed one does.
func TestRFC6962Proofs(t *testing.T) {
	var v struct {
		Inclusion []struct {
			Record int64    `json:"record_from_1"`
			Size   int64    `json:"size"`
			Proof  []string `json:"proof"`
		} `json:"inclusion"`
		Consistency []struct {
			Old   int64    `json:"old"`
			Size  int64    `json:"size"`
			Proof []string `json:"proof"`
		} `json:"consistency"`
	}
	if err := json.Unmarshal(outside(t, "rfc6962_proofs.json"), &v); err != nil {
		t.Fatal(err)
	}
	leaves, roots := referenceTree(t)
	hashes := func(hex []string) (out []tlog.Hash) {
		for _, s := range hex {
			out = append(out, tlog.Hash(unhex(t, s)))
		}
		return out
	}
	probes := 0
	ask := func(p probe, fn func(probe) (bool, bool)) {
		if ours, theirs := fn(p); !ours || !theirs {
			t.Errorf("%s does not verify: here %v, there %v", p.name, ours, theirs)
		}
		for _, q := range hostile(p) {
			probes++
			if ours, theirs := fn(q); ours || theirs {
				t.Errorf("%s verifies: here %v, there %v", q.name, ours, theirs)
			}
		}
	}
	for _, c := range v.Inclusion {
		ask(probe{
			name: fmt.Sprintf("record %d of %d", c.Record-1, c.Size), index: c.Record - 1, size: c.Size,
			leaf: leaves[c.Record-1], root: roots[c.Size], proof: hashes(c.Proof),
		}, probe.inclusion)
	}
	for _, c := range v.Consistency {
		if c.Old == c.Size {
			continue // of the same tree: nothing to change in the proof, and either root is both
		}
		ask(probe{
			name: fmt.Sprintf("%d to %d", c.Old, c.Size), old: c.Old, size: c.Size,
			first: roots[c.Old], root: roots[c.Size], proof: hashes(c.Proof),
		}, probe.consistency)
	}
	if probes < 100 {
		t.Errorf("only %d probes", probes)
	}
}

// TestSecondTree: another implementation of the tree agrees on ledgers of random
// sizes and records. What one proves the other verifies, both ways, and neither
// takes a changed proof.
func TestSecondTree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 300).Draw(t, "size")
		seed := rapid.Uint32().Draw(t, "seed")
		other := testonly.New(rfc6962.DefaultHasher)
		var e edge
		var stored []tlog.Hash
		reader := tlog.HashReaderFunc(func(ix []int64) (out []tlog.Hash, err error) {
			for _, i := range ix {
				out = append(out, stored[i])
			}
			return out, nil
		})
		for i := range n {
			record := []byte(fmt.Sprintf("record %d of %d", i, seed))
			other.AppendData(record)
			done, _ := e.add(tlog.RecordHash(record), false)
			stored = append(stored, done...)
			if root := e.root(); !bytes.Equal(root[:], other.Hash()) {
				t.Fatalf("size %d: root %x here, %x there", i+1, root, other.Hash())
			}
		}
		m := rapid.Int64Range(1, n).Draw(t, "old size")
		p := probe{
			name: "inclusion", index: m - 1, size: n, old: m, root: e.root(),
			leaf: tlog.Hash(other.LeafHash(uint64(m - 1))), first: tlog.Hash(other.HashAt(uint64(m))),
		}
		mine, err := tlog.ProveRecord(n, m-1, reader)
		theirs, err2 := other.InclusionProof(uint64(m-1), uint64(n))
		if err != nil || err2 != nil || !slices.EqualFunc(theirs, mine, func(a []byte, b tlog.Hash) bool { return bytes.Equal(a, b[:]) }) {
			t.Fatalf("record %d of %d: %v here, %x there (%v, %v)", m-1, n, mine, theirs, err, err2)
		}
		p.proof = mine
		both(t, p, probe.inclusion)
		if m == n {
			return
		}
		p.name = "consistency"
		tree, err := tlog.ProveTree(n, m, reader)
		theirs, err2 = other.ConsistencyProof(uint64(m), uint64(n))
		if err != nil || err2 != nil || !slices.EqualFunc(theirs, tree, func(a []byte, b tlog.Hash) bool { return bytes.Equal(a, b[:]) }) {
			t.Fatalf("%d to %d: %v here, %x there (%v, %v)", m, n, tree, theirs, err, err2)
		}
		p.proof = tree
		both(t, p, probe.consistency)
	})
}

func both(t *rapid.T, p probe, fn func(probe) (bool, bool)) {
	if ours, theirs := fn(p); !ours || !theirs {
		t.Fatalf("%s does not verify: here %v, there %v", p.name, ours, theirs)
	}
	for _, q := range hostile(p) {
		if ours, theirs := fn(q); ours || theirs {
			t.Fatalf("%s verifies: here %v, there %v", q.name, ours, theirs)
		}
	}
}
