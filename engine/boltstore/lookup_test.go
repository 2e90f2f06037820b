package boltstore

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// TestFind: the reader finds the records of one bore, and no other's with a name that
// begins the same; its hashes prove them; and it has the evidence.
func TestFind(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	picture := []byte("\xff\xd8\xff\xe0 a picture")
	f, err := s.Keep(ctx, "marks.jpg", bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	ver := map[string]int64{}
	want := map[string][]int64{}
	for i := range 40 {
		bore := []string{"A", "A-1", "AB", "B"}[i%4]
		ver[bore]++
		r := ledger.Record{V: 1, Key: fmt.Sprint(i), Kind: ledger.KindAnswer, At: s.opts.Clock().UTC(), Bore: bore, Ver: ver[bore]}
		got, err := s.Append(ctx, ledger.Entry{Record: r})
		if err != nil {
			t.Fatal(err)
		}
		want[bore] = append(want[bore], got.Seq)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for bore, numbers := range want {
		if got, err := r.Numbers(ledger.IndexBore, bore); err != nil || !slices.Equal(got, numbers) {
			t.Errorf("%s: %v, want %v, %v", bore, got, numbers, err)
		}
	}
	for _, none := range []string{"", "C", "A-"} {
		if got, err := r.Numbers(ledger.IndexBore, none); err != nil || len(got) > 0 {
			t.Errorf("%q: %v, %v", none, got, err)
		}
	}
	if _, err := r.Numbers(ledger.IndexKey, "1"); err == nil {
		t.Error("an index that is not for looking up")
	}
	rows, err := r.Records(7, 1)
	if err != nil {
		t.Fatal(err)
	}
	root, err := tlog.TreeHash(41, r)
	if err != nil {
		t.Fatal(err)
	}
	p, err := tlog.ProveRecord(41, 7, r)
	if err != nil || tlog.CheckRecord(p, 41, root, 7, tlog.RecordHash(rows[0].Data)) != nil {
		t.Errorf("record 7 is not proved: %v", err)
	}
	if b, err := r.Kept(f.Sum); err != nil || !bytes.Equal(b, picture) {
		t.Errorf("evidence: %v", err)
	}
	if _, err := r.Kept("../ledger.db"); err == nil || !strings.Contains(err.Error(), "no such file") {
		t.Errorf("a path for a sum: %v", err)
	}
}
