package ledger

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestRFC6962Roots: the reference leaves of RFC 6962 implementations and the
// roots over their first 0 to 8 (transparency-dev/merkle testonly, Apache-2.0).
func TestRFC6962Roots(t *testing.T) {
	var v struct {
		Leaves []string `json:"leaves_hex"`
		Roots  []string `json:"roots_hex_by_size"`
	}
	if err := json.Unmarshal(outside(t, "rfc6962_roots.json"), &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Leaves) != 8 || len(v.Roots) != 9 {
		t.Fatalf("%d leaves, %d roots", len(v.Leaves), len(v.Roots))
	}
	var e edge
	for n, want := range v.Roots {
		if n > 0 {
			e.add(tlog.RecordHash(unhex(t, v.Leaves[n-1])), false)
		}
		if root := e.root(); hex.EncodeToString(root[:]) != want {
			t.Errorf("size %d: root %x, want %s", n, root, want)
		}
	}
}

// TestRFC8032 signs and verifies the Ed25519 vectors of RFC 8032, section 7.1,
// through the key form that the log uses.
func TestRFC8032(t *testing.T) {
	var v struct {
		Cases []struct{ Name, Seed, Pub, Msg, Sig string }
	}
	if err := json.Unmarshal(outside(t, "rfc8032_vectors.json"), &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Cases) != 4 {
		t.Fatalf("%d cases", len(v.Cases))
	}
	for _, c := range v.Cases {
		secret, public, err := NewKey(bytes.NewReader(unhex(t, c.Seed)), "a.test/log")
		if err != nil {
			t.Fatal(err)
		}
		s, err := note.NewSigner(secret)
		if err != nil {
			t.Fatal(err)
		}
		sig, err := s.Sign(unhex(t, c.Msg))
		if err != nil || hex.EncodeToString(sig) != c.Sig {
			t.Errorf("%s: signature %x, %v", c.Name, sig, err)
		}
		key, err := note.NewEd25519VerifierKey("a.test/log", ed25519.PublicKey(unhex(t, c.Pub)))
		if err != nil || key != public {
			t.Errorf("%s: key %s, %v, want %s", c.Name, public, err, key)
		}
		ver, err := note.NewVerifier(public)
		if err != nil {
			t.Fatal(err)
		}
		if !ver.Verify(unhex(t, c.Msg), unhex(t, c.Sig)) {
			t.Errorf("%s: not verified", c.Name)
		}
		sig[5] ^= 1
		if ver.Verify(unhex(t, c.Msg), sig) {
			t.Errorf("%s: a wrong signature verified", c.Name)
		}
	}
}

// grow makes a tree of n leaves with the tlog package and with edge.
func grow(t fataler, n int64) (stored []tlog.Hash, roots []tlog.Hash, r tlog.HashReader) {
	var e edge
	r = tlog.HashReaderFunc(func(ix []int64) ([]tlog.Hash, error) {
		var out []tlog.Hash
		for _, i := range ix {
			out = append(out, stored[i])
		}
		return out, nil
	})
	roots = append(roots, e.root())
	for i := int64(0); i < n; i++ {
		data := fmt.Appendf(nil, "leaf %d", i)
		hs, err := tlog.StoredHashes(i, data, r)
		if err != nil {
			t.Fatal(err)
		}
		stored = append(stored, hs...)
		done, clean := e.add(tlog.RecordHash(data), false)
		if fmt.Sprint(done) != fmt.Sprint(hs) || clean != len(done) {
			t.Fatalf("leaf %d completes %v (%d clean), tlog says %v", i, done, clean, hs)
		}
		roots = append(roots, e.root())
	}
	return stored, roots, r
}

type fataler interface {
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// TestEdge compares the running root with the tlog package at each size.
func TestEdge(t *testing.T) {
	const n = 300
	_, roots, r := grow(t, n)
	for i := int64(0); i <= n; i++ {
		want, err := tlog.TreeHash(i, r)
		if err != nil || roots[i] != want {
			t.Fatalf("size %d: %v, want %v, %v", i, roots[i], want, err)
		}
	}
}

// TestProofs: each proof verifies, and none with any one bit changed.
func TestProofs(t *testing.T) {
	_, roots, r := grow(t, 200)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 200).Draw(t, "n")
		m := rapid.Int64Range(1, n).Draw(t, "m")
		bit := rapid.IntRange(0, 255).Draw(t, "bit")
		flip := func(h *tlog.Hash) { h[bit/8] ^= 1 << (bit % 8) }

		inc, err := tlog.ProveRecord(n, m-1, r)
		if err != nil {
			t.Fatal(err)
		}
		leaf := tlog.RecordHash(fmt.Appendf(nil, "leaf %d", m-1))
		if err := tlog.CheckRecord(inc, n, roots[n], m-1, leaf); err != nil {
			t.Fatalf("record %d of %d: %v", m-1, n, err)
		}
		for i := range inc {
			flip(&inc[i])
			if tlog.CheckRecord(inc, n, roots[n], m-1, leaf) == nil {
				t.Fatalf("record %d of %d verifies with hash %d changed", m-1, n, i)
			}
			flip(&inc[i])
		}

		old := Checkpoint{Origin: "a", Size: m, Root: roots[m]}
		now := Checkpoint{Origin: "a", Size: n, Root: roots[n]}
		if !CheckConsistent(old, now, r) {
			t.Fatalf("%d does not continue %d", n, m)
		}
		flip(&old.Root)
		if CheckConsistent(old, now, r) {
			t.Fatalf("%d continues another %d", n, m)
		}
		cons, err := tlog.ProveTree(n, m, r)
		if err != nil {
			t.Fatal(err)
		}
		for i := range cons {
			flip(&cons[i])
			if tlog.CheckTree(cons, n, roots[n], m, roots[m]) == nil {
				t.Fatalf("%d to %d verifies with hash %d changed", m, n, i)
			}
			flip(&cons[i])
		}
	})
}

func TestConsistentEdges(t *testing.T) {
	_, roots, r := grow(t, 9)
	at := func(n int64) Checkpoint { return Checkpoint{Origin: "a", Size: n, Root: roots[n]} }
	if !CheckConsistent(at(0), at(9), r) || !CheckConsistent(at(9), at(9), r) {
		t.Error("empty or same log does not continue")
	}
	if CheckConsistent(at(9), at(8), r) {
		t.Error("a shorter log continues a longer one")
	}
	if wrong := (Checkpoint{Origin: "a", Root: roots[1]}); CheckConsistent(wrong, at(9), r) {
		t.Error("an empty log with a root that is not the empty one")
	}
	if other := (Checkpoint{Origin: "b", Size: 9, Root: roots[9]}); CheckConsistent(other, at(9), r) {
		t.Error("another log continues")
	}
}

func TestCheckpoint(t *testing.T) {
	s, public := testKey(t, 1)
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	c := Checkpoint{Origin: origin, Size: 12, Root: tlog.RecordHash([]byte("x"))}
	msg, err := c.Sign(s)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := OpenCheckpoint(msg, v); err != nil || back != c {
		t.Errorf("%+v, %v", back, err)
	}
	if got := fmt.Sprintf("%x", c.Root[:4]); got != strings.ReplaceAll(c.Short(), " ", "") || len(c.Short()) != 9 {
		t.Errorf("short %q of %s", c.Short(), got)
	}
	if _, err := (Checkpoint{Origin: "a.test/other"}).Sign(s); err == nil {
		t.Error("signed for another log")
	}
	// The last letter of the signature has two bits that decoders ignore.
	end := len(msg) - len("=\n") - 1
	for _, letter := range []byte("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/") {
		other := bytes.Clone(msg)
		if other[end] = letter; letter == msg[end] {
			continue
		}
		if _, err := OpenCheckpoint(other, v); err == nil {
			t.Errorf("takes a signature that ends in %c for one that ends in %c", letter, msg[end])
		}
	}
	good := c.String()
	for name, text := range map[string]string{
		"extension line": good + "more\n", "leading zero": strings.Replace(good, "\n12\n", "\n012\n", 1),
		"plus": strings.Replace(good, "\n12\n", "\n+12\n", 1), "negative": strings.Replace(good, "\n12\n", "\n-12\n", 1),
		"no end": good[:len(good)-1], "short root": strings.Replace(good, "=\n", "\n", 1), "no origin": "\n12\n" + c.Root.String() + "\n",
	} {
		if got, err := ParseCheckpoint(text); err == nil {
			t.Errorf("%s: took %q as %+v", name, text, got)
		}
	}
}

func TestNewOrigin(t *testing.T) {
	got, err := NewOrigin(bytes.NewReader([]byte{1, 2, 3, 4, 5, 6, 7, 0xff}))
	if err != nil || got != "firstrod.local/01020304050607ff" {
		t.Errorf("%q, %v", got, err)
	}
	if _, _, err := NewKey(bytes.NewReader(make([]byte, 32)), "a b"); err == nil {
		t.Error("took a name with a space")
	}
}
