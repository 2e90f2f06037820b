package proof

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

const origin = "firstrod.local/0123456789abcdef"

// testKey is a fixed key, so that the files in testdata can be made again.
func testKey(t testing.TB, fill byte) (note.Signer, string) {
	t.Helper()
	secret, public, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{fill}, 64)), origin)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	return s, public
}

// memory is a ledger to make proofs from.
type memory struct {
	recs   [][]byte
	hashes []tlog.Hash
	note   []byte
	blobs  map[string][]byte
	index  map[string][]int64
}

func (m *memory) Records(from int64, limit int) (out []ledger.Row, err error) {
	for i := from; i < int64(len(m.recs)) && len(out) < limit; i++ {
		out = append(out, ledger.Row{Seq: i, Data: m.recs[i]})
	}
	return out, nil
}
func (m *memory) Checkpoint() ([]byte, error)                { return m.note, nil }
func (m *memory) Blob(sum string) ([]byte, error)            { return m.blobs[sum], nil }
func (m *memory) Numbers(index, key string) ([]int64, error) { return m.index[index+" "+key], nil }
func (m *memory) ReadHashes(ix []int64) ([]tlog.Hash, error) {
	var out []tlog.Hash
	for _, i := range ix {
		if i >= int64(len(m.hashes)) {
			return nil, errors.New("no such hash")
		}
		out = append(out, m.hashes[i])
	}
	return out, nil
}

// seal numbers, encodes, hashes and signs records, as an honest store would, or a
// dishonest one that holds the key.
func seal(t testing.TB, recs []ledger.Record, s note.Signer, blobs ...[]byte) *memory {
	t.Helper()
	m := &memory{blobs: map[string][]byte{}, index: map[string][]int64{}}
	for i, r := range recs {
		r.Seq = int64(i)
		b, err := ledger.Encode(r)
		if err != nil {
			t.Fatalf("record %d: %v", i, err)
		}
		hs, err := tlog.StoredHashes(int64(i), b, m)
		if err != nil {
			t.Fatal(err)
		}
		m.recs, m.hashes = append(m.recs, b), append(m.hashes, hs...)
		add := func(key string) { m.index[key] = append(m.index[key], int64(i)) }
		if r.Bore != "" {
			add(ledger.IndexBore + " " + r.Bore)
		}
		if r.Person != nil {
			add(ledger.IndexPerson + " ")
		}
		if r.Pack != nil {
			add(ledger.IndexRules + " ")
		}
	}
	m.note = signed(t, m, int64(len(recs)), s)
	for _, b := range blobs {
		m.blobs[ledger.BlobSum(b)] = b
	}
	return m
}

// signed is the checkpoint that the log had at a size.
func signed(t testing.TB, m *memory, size int64, s note.Signer) []byte {
	t.Helper()
	root, err := tlog.TreeHash(size, m)
	if err != nil {
		t.Fatal(err)
	}
	msg, err := ledger.Checkpoint{Origin: s.Name(), Size: size, Root: root}.Sign(s)
	if err != nil {
		t.Fatal(err)
	}
	return msg
}

func minute(n int) time.Time { return time.Date(2026, 3, 2, 7, n, 0, 0, time.UTC) }

const rev = "rev-one"

var photo = []byte("\xff\xd8\xff a picture of two marks on the ground")

// job is a log with two bores; b1 is released, b2 only begun. blobs are what the
// records name by hash.
func job(public string) (recs []ledger.Record, blobs [][]byte) {
	hand, driver, other := ledger.Actor{ID: "p_aaaa", Role: "locating_hand"}, ledger.Actor{ID: "p_bbbb", Role: "drill_operator"}, ledger.Actor{ID: "p_cccc", Role: "crew"}
	pack := []byte("packs of revision one")
	person := func(a ledger.Actor) *ledger.Person {
		return &ledger.Person{ID: a.ID, Roles: []string{a.Role}, Commit: ledger.Commitment([]byte("salt"), a.ID)}
	}
	reading := ledger.Fact{Key: "far_reading", Kind: "length", Typed: "15 ft", Value: "4572000", Unit: "um"}
	in, err := json.Marshal(input{"b1", "America/Denver", rev, []value{{"far_reading", "length", "4572000", nil, minute(7).Unix()}}})
	if err != nil {
		panic(err)
	}
	sign := &ledger.Sign{Meaning: "I saw the board", Input: ledger.BlobSum(in), Through: 4}
	second := *sign
	second.Through = 5
	recs = []ledger.Record{
		{Kind: ledger.KindStart, Log: &ledger.LogKey{Origin: origin, Key: public}},
		{Kind: ledger.KindRules, Rules: rev, Pack: &ledger.Pack{Blob: ledger.BlobSum(pack), Engine: "test 1",
			Checks: []ledger.PackCheck{{ID: "verify.far_mark", Gate: "release"}}}},
		{Kind: ledger.KindPerson, Person: person(hand)},
		{Kind: ledger.KindPerson, Person: person(other)},
		{Kind: ledger.KindPerson, Person: person(driver)},
		{Kind: ledger.KindOpen, Bore: "b1", Ver: 1, By: &hand, Rules: rev, State: ledger.StateOpen,
			Open: &ledger.Opening{Title: "Creek", Zone: "America/Denver"}, Findings: map[string][]string{"needs": {"verify.far_mark"}}},
		{Kind: ledger.KindOpen, Bore: "b2", Ver: 1, By: &other, Rules: rev, State: ledger.StateOpen, Open: &ledger.Opening{Title: "Two", Zone: "UTC"}},
		{Kind: ledger.KindAnswer, Bore: "b1", Ver: 2, By: &hand, Rules: rev, Typed: "15 ft", Facts: []ledger.Fact{reading},
			Findings: map[string][]string{"fail": {"verify.far_mark"}}},
		{Kind: ledger.KindRefused, Bore: "b1", Ver: 3, By: &hand, Why: "may not waive", Findings: map[string][]string{"pass": {"verify.far_mark"}}, Rules: rev},
		{Kind: ledger.KindShown, Bore: "b1", Ver: 4, By: &hand, Shown: []ledger.File{{Sum: ledger.BlobSum(photo), Size: int64(len(photo)), Type: "image/jpeg", Name: "marks.jpg"}}},
		{Kind: ledger.KindSign, Bore: "b1", Ver: 5, By: &hand, Rules: rev, Sign: sign},
		{Kind: ledger.KindSign, Bore: "b1", Ver: 6, By: &driver, Rules: rev, Sign: &second, State: ledger.StateReleased,
			Release: &ledger.Release{Until: minute(600), Signers: []ledger.Actor{hand, driver}, Input: sign.Input, Checks: 1}},
		{Kind: ledger.KindAnswer, Bore: "b2", Ver: 2, By: &other, Rules: rev, Typed: "9.5 kHz"},
	}
	for i := range recs {
		recs[i].V, recs[i].Key = ledger.Version, fmt.Sprintf("key-%d", i)
		recs[i].At, recs[i].Logged = minute(i), minute(i)
	}
	return recs, [][]byte{pack, in}
}

func sealedJob(t testing.TB) (*memory, note.Signer, string) {
	t.Helper()
	s, public := testKey(t, 1)
	recs, blobs := job(public)
	return seal(t, recs, s, blobs...), s, public
}

func made(t testing.TB, m *memory, q Request) []byte {
	t.Helper()
	var b bytes.Buffer
	if _, err := Write(&b, m, q); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// check gives all faults of a file.
func check(t testing.TB, b []byte, o Options) ([]ledger.Fault, Verdict) {
	t.Helper()
	var all []ledger.Fault
	v := Check(context.Background(), bytes.NewReader(b), int64(len(b)), o, func(f ledger.Fault) { all = append(all, f) })
	if len(all) != v.Faults {
		t.Errorf("%d faults reported, %d counted", len(all), v.Faults)
	}
	return all, v
}
