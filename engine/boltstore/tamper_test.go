package boltstore

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// filled makes a closed ledger with some of everything, and gives the bytes of
// its records.
func filled(t *testing.T) (dir string, rows []ledger.Row) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	s := openWith(t, dir, Options{})
	at := time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)
	blob, salt := []byte("the packs"), bytes.Repeat([]byte{5}, 32)
	entries := []ledger.Entry{
		{Record: ledger.Record{V: 1, Key: "rules", Kind: ledger.KindRules, At: at, Rules: "rev", Pack: &ledger.Pack{Blob: ledger.BlobSum(blob)}},
			Blobs: [][]byte{blob}},
		{Record: ledger.Record{V: 1, Key: "person", Kind: ledger.KindPerson, At: at,
			Person: &ledger.Person{ID: "p_1", Roles: []string{"locator"}, Commit: ledger.Commitment(salt, "Somebody")}},
			Private: []ledger.Private{{ID: "p_1", Salt: salt, Value: "Somebody"}}},
	}
	for i := range int64(60) {
		entries = append(entries, enginetest.Answer(fmt.Sprint("b", i%3), i/3+1, fmt.Sprint("key-", i)))
	}
	for _, e := range entries {
		if _, err := s.Append(t.Context(), e); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	clean(t, dir)
	r, err := OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	rows, err = r.Records(0, 1000)
	if err != nil || len(rows) != 63 {
		t.Fatalf("%d records, %v", len(rows), err)
	}
	return dir, rows
}

// TestFlippedByteInFile flips one byte of a record's text in the file itself,
// which bbolt does not notice: the verifier names the record.
func TestFlippedByteInFile(t *testing.T) {
	dir, rows := filled(t)
	path := filepath.Join(dir, ledgerFile)
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		bad := slices.Clone(good)
		hits := 0
		// Old pages may hold old copies; damage them all.
		for at := 0; ; {
			i := bytes.Index(bad[at:], row.Data)
			if i < 0 {
				break
			}
			at += i + len(row.Data)
			bad[at-len(row.Data)/2] ^= 1
			hits++
		}
		if hits == 0 {
			t.Fatalf("record %d is not in the file", row.Seq)
		}
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, sum := verify(t, dir); sum.First != row.Seq {
			t.Errorf("record %d was changed, named is %d", row.Seq, sum.First)
		}
	}
}

// TestRandomFlips flips single bits all over the file, and cuts it short. A
// verification never panics or hangs, and when it finds nothing, the records
// are what they were.
func TestRandomFlips(t *testing.T) {
	dir, rows := filled(t)
	path := filepath.Join(dir, ledgerFile)
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The file is grown far ahead of what is in it; flip where something is.
	used := len(bytes.TrimRight(good, "\x00"))
	good = good[:(used+4095)/4096*4096]
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d, %d bytes", seed, len(good))
	rng := rand.New(rand.NewPCG(seed, 2))
	found := 0
	for i := range 600 {
		bad := slices.Clone(good)
		switch {
		case i%20 == 0:
			bad = bad[:rng.IntN(len(bad))]
		case i%3 == 0: // the first bytes of a page are what bbolt trusts most
			bad[rng.IntN(len(bad)/4096)*4096+rng.IntN(64)] ^= 1 << rng.IntN(8)
		default:
			bad[rng.IntN(len(bad))] ^= 1 << rng.IntN(8)
		}
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		r, err := OpenReader(dir)
		if err != nil {
			found++
			continue
		}
		sum := ledger.Verify(r, ledger.Options{}, func(ledger.Fault) {})
		got, err := r.Records(0, 1000)
		if sum.Faults > 0 {
			found++
		} else if err != nil || !slices.EqualFunc(got, rows, func(a, b ledger.Row) bool { return a.Seq == b.Seq && bytes.Equal(a.Data, b.Data) }) {
			t.Errorf("flip %d: verified, and is not what it was: %v", i, err)
		}
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Logf("%d of 600 were found; the others were in pages that are not in use", found)
	if found < 60 {
		t.Error("hardly anything was ever found")
	}
}

// TestHalfAHead: one damaged meta page takes bbolt back by a transaction, to a
// log that verifies as far as it goes. Neither store nor verifier let it pass.
func TestHalfAHead(t *testing.T) {
	dir, _ := filled(t)
	path := filepath.Join(dir, ledgerFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	newer := 0
	if le := binary.LittleEndian; le.Uint64(b[4096+pageHeader+48:]) > le.Uint64(b[pageHeader+48:]) {
		newer = 4096
	}
	b[newer+pageHeader+20] ^= 1
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(dir, Options{})
	wantKind(t, err, engine.Damaged)
	faults, sum := verify(t, dir)
	if sum.Size != 62 || len(faults) != 1 || faults[0].Code != ledger.FaultUnreadable || faults[0].Seq != 62 {
		t.Errorf("size %d, %+v", sum.Size, faults)
	}
}

// TestPagesThatLoop: a page that points at itself would have bbolt recurse until
// the process dies; one that is there twice can make a walk endless as well.
func TestPagesThatLoop(t *testing.T) {
	dir, _ := filled(t)
	path := filepath.Join(dir, ledgerFile)
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	for name, child := range map[string]func(b []byte, p int) uint64{
		"itself":  func(_ []byte, p int) uint64 { return uint64(p / 4096) },
		"sibling": func(b []byte, p int) uint64 { return le.Uint64(b[p+pageHeader+elementSize+8:]) },
	} {
		b, hits := slices.Clone(good), 0
		for p := 0; p+4096 <= len(b); p += 4096 {
			if le.Uint16(b[p+8:]) == flagBranch && le.Uint64(b[p:]) == uint64(p/4096) {
				le.PutUint64(b[p+pageHeader+8:], child(b, p))
				hits++
			}
		}
		if hits == 0 {
			t.Fatal("the file has no branch page")
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err = OpenReader(dir)
		t.Log(name, err)
		wantKind(t, err, engine.Damaged)
	}
}

// TestTamperedFile changes the file through bbolt, as a person with a tool
// would.
func TestTamperedFile(t *testing.T) {
	put := func(b string, k, v []byte) func(tx *bolt.Tx) error {
		return func(tx *bolt.Tx) error { return tx.Bucket([]byte(b)).Put(k, v) }
	}
	del := func(b string, k []byte) func(tx *bolt.Tx) error {
		return func(tx *bolt.Tx) error { return tx.Bucket([]byte(b)).Delete(k) }
	}
	swap := func(b string, x, y []byte) func(tx *bolt.Tx) error {
		return func(tx *bolt.Tx) error {
			bu := tx.Bucket([]byte(b))
			vx, vy := bytes.Clone(bu.Get(x)), bytes.Clone(bu.Get(y))
			if err := bu.Put(x, vy); err != nil {
				return err
			}
			return bu.Put(y, vx)
		}
	}
	sum := func(s string) []byte { h := sha256.Sum256([]byte(s)); return h[:] }
	cases := []struct {
		name string
		do   func(tx *bolt.Tx) error
		code string
		seq  int64
	}{
		{"record deleted", del(bRecord, number(20)), ledger.FaultGap, 20},
		{"records swapped", swap(bRecord, number(20), number(21)), ledger.FaultSeq, 20},
		{"hashes swapped", swap(bHash, number(20), number(22)), ledger.FaultLeaf, 20},
		{"last record deleted", del(bRecord, number(62)), ledger.FaultGap, 62},
		{"a number that is none", put(bRecord, []byte("zzzz"), []byte("{}")), ledger.FaultUnreadable, 63},
		{"blob deleted", del(bBlob, sum("the packs")), ledger.FaultBlob, 1},
		{"blob changed", put(bBlob, sum("the packs"), []byte("other packs")), ledger.FaultBlob, 1},
		{"name changed", put(bPrivate, []byte("p_1"), []byte(`{"salt":"","value":"Else"}`)), ledger.FaultPrivate, 2},
		{"key entry deleted", del(bKey, []byte("key-17")), ledger.FaultIndex, 20},
		{"key entry wrong", put(bKey, []byte("key-17"), number(3)), ledger.FaultIndex, 20},
		{"key entry extra", put(bKey, []byte("key-99"), number(3)), ledger.FaultIndex, 3},
		{"bore entry deleted", del(bBore, boreKey("b2", 4)), ledger.FaultIndex, 14},
		{"bore entry wrong", put(bBore, boreKey("b2", 4), number(3)), ledger.FaultIndex, 14},
		{"bore entry extra", put(bBore, boreKey("b2", 99), number(3)), ledger.FaultIndex, 3},
		{"bore entry malformed", put(bBore, []byte("b2"), number(3)), ledger.FaultIndex, 3},
		{"line deleted", del(bLine, []byte("b2")), ledger.FaultIndex, 62},
		{"line changed", put(bLine, []byte("b2"), []byte(`{"state":"released"}`)), ledger.FaultIndex, 62},
		{"line malformed", put(bLine, []byte("b2"), []byte(`{`)), ledger.FaultIndex, 62},
		{"recent deleted", del(bRecent, number(62)), ledger.FaultIndex, 62},
		{"recent extra", put(bRecent, number(9), []byte("b2")), ledger.FaultIndex, 62},
		{"person deleted", del(bPerson, number(2)), ledger.FaultIndex, 2},
		{"person extra", put(bPerson, number(5), []byte{1}), ledger.FaultIndex, 5},
		{"rules deleted", del(bRules, number(1)), ledger.FaultIndex, 1},
		{"rules extra", put(bRules, number(5), []byte{1}), ledger.FaultIndex, 5},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			dir, _ := filled(t)
			change(t, dir, tt.do)
			faults, sum := verify(t, dir)
			named := slices.ContainsFunc(faults, func(f ledger.Fault) bool { return f.Code == tt.code && f.Seq == tt.seq })
			if !named || sum.First != tt.seq {
				t.Errorf("want %q at %d, first is %d in %+v", tt.code, tt.seq, sum.First, faults)
			}
		})
	}
}

// TestUsedPageOnFreeList: the next commit would write over a page in use.
func TestUsedPageOnFreeList(t *testing.T) {
	dir, _ := filled(t)
	path := filepath.Join(dir, ledgerFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	le, meta := binary.LittleEndian, pageHeader
	if le.Uint64(b[4096+pageHeader+48:]) > le.Uint64(b[pageHeader+48:]) {
		meta += 4096
	}
	list, root := le.Uint64(b[meta+32:])*4096, le.Uint64(b[meta+16:])
	if le.Uint16(b[list+10:]) == 0 {
		t.Fatal("no page is free")
	}
	le.PutUint64(b[list+pageHeader:], root)
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(dir, Options{})
	wantKind(t, err, engine.Damaged)
	_, err = OpenReader(dir)
	wantKind(t, err, engine.Damaged)
}

// TestVerifyChangesNothing: the file has the same bytes afterwards.
func TestVerifyChangesNothing(t *testing.T) {
	dir, _ := filled(t)
	path := filepath.Join(dir, ledgerFile)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, dir)
	after, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("changed, %v", err)
	}
}
