package proof_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"io/fs"
	"strconv"
	"strings"
	"testing"
	"time"

	"archive/zip"
	"io"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
	"firstrod/engine/proof"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// real is a file of a bore that a crew had released by the real engine under the
// real rules, and that was then stopped, with another bore beside it.
func real(t testing.TB) (file []byte, key string, last []byte) {
	t.Helper()
	ctx, dir := context.Background(), t.TempDir()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Load(ctx, base, rules.Options{Total: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC)
	clock := func() time.Time { now = now.Add(time.Second); return now }
	store, err := boltstore.Open(dir, boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.New(ctx, engine.Config{Rules: engine.Everywhere(set), Store: store, Registry: store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	for _, bore := range []string{"OR-3", "OR-4"} {
		c := &enginetest.Crew{Engine: e}
		hand, driver, err := c.Open(ctx, bore)
		if err != nil {
			t.Fatal(err)
		}
		if err := c.AnswerAll(ctx, bore, hand, engine.GateRelease); err != nil {
			t.Fatal(err)
		}
		if _, err := c.Sign(ctx, bore, hand, driver); err != nil {
			t.Fatal(err)
		}
		if _, err := e.Hold(ctx, bore, c.Said(hand), "rain"); err != nil {
			t.Fatal(err)
		}
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	last, err = r.Checkpoint()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	made, err := proof.Write(&b, r, proof.Request{Bore: "OR-4"})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d records, %d bytes", made.Records, made.Bytes)
	return b.Bytes(), store.Key(), last
}

func TestRealBore(t *testing.T) {
	file, key, last := real(t)
	v := proof.Check(t.Context(), bytes.NewReader(file), int64(len(file)), proof.Options{Key: key, Pins: [][]byte{last}, Bore: "OR-4"},
		func(f ledger.Fault) { t.Errorf("%+v", f) })
	if v.Releases != 1 || v.State != ledger.StateHeld || !v.Pinned || v.Versions < 20 {
		t.Errorf("%+v", v)
	}
	// One bit anywhere is found.
	for i := 0; i < len(file); i += 997 {
		file[i] ^= 4
		v := proof.Check(t.Context(), bytes.NewReader(file), int64(len(file)), proof.Options{}, func(ledger.Fault) {})
		if v.Faults == 0 {
			t.Errorf("byte %d changed, nothing found", i)
		}
		file[i] ^= 4
	}
}

// TestByHand goes by the words of README.txt, with SHA-256 and Ed25519 and nothing
// of this project or of any library for such trees.
func TestByHand(t *testing.T) {
	file, key, _ := real(t)
	parts := map[string]string{}
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		parts[f.Name] = string(b)
	}
	if parts["key.txt"] != key+"\n" {
		t.Fatal("another key")
	}
	public := unbase(t, strings.SplitN(key, "+", 3)[2])
	text, signatures, _ := strings.Cut(parts["checkpoint.txt"], "\n\n")
	fields := strings.Fields(signatures)
	if public[0] != 1 || !ed25519.Verify(public[1:], []byte(text+"\n"), unbase(t, fields[2])[4:]) {
		t.Fatal("the checkpoint is not signed")
	}
	lines := strings.Split(text, "\n")
	size, err := strconv.Atoi(lines[1])
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for name, body := range parts {
		if sum, ok := strings.CutPrefix(name, "blobs/"); ok {
			if got := sha256.Sum256([]byte(body)); hex.EncodeToString(got[:]) != sum {
				t.Errorf("%s is not what its name says", name)
			}
		}
		if !strings.HasPrefix(name, "records/") {
			continue
		}
		n++
		number := name[len("records/") : len("records/")+10]
		if root := climb(t, body, parts["proofs/"+number+".tlog-proof"], size); root != lines[2] {
			t.Errorf("%s leads to %s, not to %s", name, root, lines[2])
		}
	}
	if n < 20 {
		t.Errorf("only %d records", n)
	}
}

// climb is step 3 of README.txt.
func climb(t *testing.T, record, proof string, size int) string {
	t.Helper()
	h := sha256.Sum256(append([]byte{0}, record...))
	head, _, _ := strings.Cut(proof, "\n\n")
	lines := strings.Split(head, "\n")
	f, err := strconv.Atoi(strings.TrimPrefix(lines[1], "index "))
	if err != nil {
		t.Fatal(err)
	}
	s := size - 1
	for _, line := range lines[2:] {
		p := unbase(t, line)
		if f%2 == 1 || f == s {
			h = sha256.Sum256(append(append([]byte{1}, p...), h[:]...))
			for f%2 == 0 && f != 0 {
				f, s = f/2, s/2
			}
		} else {
			h = sha256.Sum256(append(append([]byte{1}, h[:]...), p...))
		}
		f, s = f/2, s/2
	}
	if s != 0 {
		t.Errorf("%d hashes are not enough", len(lines)-2)
	}
	return base64.StdEncoding.EncodeToString(h[:])
}

func unbase(t *testing.T, s string) []byte {
	t.Helper()
	b, err := base64.StdEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
