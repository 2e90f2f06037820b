package proof

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/transparency-dev/formats/log"
	fproof "github.com/transparency-dev/formats/proof"
	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"

	"firstrod/engine/ledger"
)

// TestStandardProofs: each record with its proof, and each older checkpoint with its
// own, is taken by other implementations of the formats (c2sp.org/tlog-proof,
// c2sp.org/tlog-checkpoint) and of the tree.
func TestStandardProofs(t *testing.T) {
	m, s, public := sealedJob(t)
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	u := unpack(t, made(t, m, Request{Bore: "b1", Since: [][]byte{signed(t, m, 7, s), signed(t, m, 9, s)}}))
	now, _, _, err := log.ParseCheckpoint(u[partCheckpoint], origin, v)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for name, b := range u {
		switch {
		case strings.HasPrefix(name, folderProofs):
			n++
			var p fproof.TLogProof
			if err := p.Unmarshal(b); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !bytes.Equal(p.Checkpoint, u[partCheckpoint]) || !bytes.Equal(p.Marshal(), b) {
				t.Errorf("%s is written otherwise by another", name)
			}
			leaf := rfc6962.DefaultHasher.HashLeaf(u[recordPart(numberOf(name))])
			if err := proof.VerifyInclusion(rfc6962.DefaultHasher, p.Index, now.Size, leaf, slicesOf(p.Hashes), now.Hash); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		case strings.HasSuffix(name, ".checkpoint"):
			n++
			old, _, _, err := log.ParseCheckpoint(b, origin, v)
			if err != nil {
				t.Fatal(err)
			}
			hashes, err := readLines(u[hashesPart(int64(old.Size))])
			if err != nil {
				t.Fatal(err)
			}
			var raw [][]byte
			for _, h := range hashes {
				raw = append(raw, bytes.Clone(h[:]))
			}
			if err := proof.VerifyConsistency(rfc6962.DefaultHasher, old.Size, now.Size, raw, old.Hash, now.Hash); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if n != 12 {
		t.Errorf("%d proofs", n)
	}
}

func slicesOf(hashes [][32]byte) (out [][]byte) {
	for i := range hashes {
		out = append(out, hashes[i][:])
	}
	return out
}

// FuzzParts changes one part and packs the file again, so that what is within is
// reached: a changed part is always found.
func FuzzParts(f *testing.F) {
	good := goodFile(f)
	whole := unpack(f, good)
	var names []string
	for name := range whole {
		names = append(names, name)
	}
	slices.Sort(names)
	for i := range names {
		f.Add(uint8(i), uint16(3), []byte("x"))
	}
	f.Fuzz(func(t *testing.T, which uint8, at uint16, with []byte) {
		u := unpack(t, good)
		name := names[int(which)%len(names)]
		b := u[name]
		i := int(at) % (len(b) + 1)
		u[name] = append(append(bytes.Clone(b[:i]), with...), b[min(i+len(with), len(b)):]...)
		packed := u.pack(t)
		v := Check(context.Background(), bytes.NewReader(packed), int64(len(packed)), Options{}, func(ledger.Fault) {})
		if strings.HasSuffix(name, ".checkpoint") {
			return // a further signature line, of nobody known, is no change
		}
		if (v.Faults == 0) != bytes.Equal(u[name], b) {
			t.Errorf("%s changed at %d: %d faults", name, i, v.Faults)
		}
	})
}
