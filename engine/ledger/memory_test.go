package ledger

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

const origin = "firstrod.local/0123456789abcdef"

// testKey is a fixed key, so that the ledgers in testdata can be made again.
func testKey(t testing.TB, fill byte) (note.Signer, string) {
	t.Helper()
	secret, public, err := NewKey(bytes.NewReader(bytes.Repeat([]byte{fill}, 64)), origin)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	return s, public
}

// memory is a whole store in memory, every part of which a test can damage.
type memory struct {
	recs    [][]byte
	hash    [][]byte
	note    []byte
	index   []IndexEntry
	blobs   map[string][]byte
	private map[string]Private
}

func page(all [][]byte, from int64, limit int) []Row {
	rows := make([]Row, 0, limit)
	for i := from; i < int64(len(all)) && len(rows) < limit; i++ {
		if all[i] != nil {
			rows = append(rows, Row{Seq: i, Data: all[i]})
		}
	}
	return rows
}

func (m *memory) Records(from int64, limit int) ([]Row, error) { return page(m.recs, from, limit), nil }
func (m *memory) Hashes(from int64, limit int) ([]Row, error)  { return page(m.hash, from, limit), nil }
func (m *memory) Checkpoint() ([]byte, error)                  { return m.note, nil }
func (m *memory) Blob(sum string) ([]byte, error)              { return m.blobs[sum], nil }

func (m *memory) Index(fn func(IndexEntry)) error {
	for _, e := range m.index {
		fn(e)
	}
	return nil
}

func (m *memory) Value(id string) (Private, bool, error) {
	p, ok := m.private[id]
	return p, ok, nil
}

// seal makes a store of records: it numbers and encodes them, builds tree and
// indexes with the tlog package itself, and signs. It is what an honest store
// would do, or a dishonest one that holds the key.
func seal(t testing.TB, recs []Record, s note.Signer) *memory {
	t.Helper()
	m := &memory{blobs: map[string][]byte{}, private: map[string]Private{}}
	var stored []tlog.Hash
	reader := tlog.HashReaderFunc(func(ix []int64) ([]tlog.Hash, error) {
		var out []tlog.Hash
		for _, i := range ix {
			out = append(out, stored[i])
		}
		return out, nil
	})
	for i, r := range recs {
		r.Seq = int64(i)
		b, err := Encode(r)
		if err != nil {
			t.Fatalf("record %d: %v", i, err)
		}
		hs, err := tlog.StoredHashes(int64(i), b, reader)
		if err != nil {
			t.Fatal(err)
		}
		stored = append(stored, hs...)
		row := []byte{}
		for _, h := range hs {
			row = append(row, h[:]...)
		}
		m.recs, m.hash = append(m.recs, b), append(m.hash, row)
	}
	root, err := tlog.TreeHash(int64(len(recs)), reader)
	if err != nil {
		t.Fatal(err)
	}
	m.note, err = Checkpoint{Origin: s.Name(), Size: int64(len(recs)), Root: root}.Sign(s)
	if err != nil {
		t.Fatal(err)
	}
	m.fill(recs)
	return m
}

// fill makes indexes, blobs and names for records.
func (m *memory) fill(recs []Record) {
	lines := map[string]*BoreLine{}
	for i, r := range recs {
		seq := int64(i)
		m.index = append(m.index, IndexEntry{Index: IndexKey, Key: r.Key, Seq: seq})
		if r.Person != nil {
			m.index = append(m.index, IndexEntry{Index: IndexPerson, Num: seq, Seq: seq})
			m.private[r.Person.ID] = nameOf(r.Person.ID)
		}
		if r.Pack != nil {
			m.index = append(m.index, IndexEntry{Index: IndexRules, Num: seq, Seq: seq})
		}
		if r.Bore == "" {
			continue
		}
		m.index = append(m.index, IndexEntry{Index: IndexBore, Key: r.Bore, Num: r.Ver, Seq: seq})
		l := lines[r.Bore]
		if l == nil {
			l = &BoreLine{Bore: r.Bore}
			lines[r.Bore] = l
		}
		if r.Open != nil {
			l.Title = r.Open.Title
		}
		if r.State != "" {
			l.State = r.State
		}
		l.Ver, l.Last, l.Logged = r.Ver, seq, r.Logged
	}
	for id, l := range lines {
		m.index = append(m.index, IndexEntry{Index: IndexLine, Key: id, Seq: l.Last, Line: l})
		m.index = append(m.index, IndexEntry{Index: IndexRecent, Key: id, Seq: l.Last})
	}
	for _, b := range [][]byte{[]byte("packs one"), []byte("input one"), []byte("input two")} {
		m.blobs[BlobSum(b)] = b
	}
}

func nameOf(id string) Private {
	return Private{ID: id, Salt: bytes.Repeat([]byte{7}, 32), Value: "Person " + id}
}

func minute(n int) time.Time { return time.Date(2026, 3, 2, 7, n, 0, 0, time.UTC) }

// job is a small good ledger: two bores, one released, stopped, released again
// and closed.
func job(public string) []Record {
	const rules = "rev-one"
	anna, ben := Actor{ID: "p_aaaa", Role: "locator"}, Actor{ID: "p_bbbb", Role: "foreman"}
	pack := &Pack{Blob: BlobSum([]byte("packs one")), Engine: "test 1", Checks: []PackCheck{
		{ID: "ticket.valid", Gate: "release", Fixed: true},
		{ID: "verify.far_mark", Gate: "release", Each: "frequency"},
		{ID: "clear.gap", Gate: "release", Each: "crossing"},
		{ID: "record.done", Gate: "close"},
	}}
	person := func(a Actor) *Person {
		p := nameOf(a.ID)
		return &Person{ID: a.ID, Roles: []string{a.Role}, Commit: Commitment(p.Salt, p.Value)}
	}
	sign := func(by Actor, ver int64, input string, rel *Release) Record {
		r := Record{Kind: KindSign, Bore: "b1", Ver: ver, By: &by, Rules: rules, Release: rel,
			Sign: &Sign{Meaning: "I saw the board", Input: BlobSum([]byte(input)), Through: ver - 1}}
		if rel != nil {
			r.State = StateReleased
		}
		return r
	}
	release := func(input string, waived ...string) *Release {
		return &Release{Until: minute(600), Signers: []Actor{anna, ben}, Input: BlobSum([]byte(input)), Checks: 4, Waived: waived}
	}
	recs := []Record{
		{Kind: KindStart, Log: &LogKey{Origin: origin, Key: public}},
		{Kind: KindRules, Rules: rules, Pack: pack},
		{Kind: KindPerson, Person: person(anna)},
		{Kind: KindPerson, Person: person(ben)},
		{Kind: KindOpen, Bore: "b1", Ver: 1, By: &anna, Rules: rules, State: StateOpen,
			Open: &Opening{Title: "Creek <A> & road", Zone: "America/Denver"}, Findings: map[string][]string{"needs": {"ticket.valid"}}},
		{Kind: KindAnswer, Bore: "b1", Ver: 2, By: &anna, Rules: rules, Typed: "9.5 and 18.5",
			Facts:    []Fact{{Key: "frequencies", Kind: "list", Typed: "9.5 and 18.5", Value: "2", Items: []string{"9500", "18500"}}},
			Findings: map[string][]string{"needs": {"verify.far_mark@9500", "verify.far_mark@18500"}}},
		{Kind: KindAnswer, Bore: "b1", Ver: 3, By: &anna, Rules: rules, Typed: "gas",
			Facts:    []Fact{{Key: "crossings", Kind: "list", Typed: "gas", Value: "1", Items: []string{"gas"}}},
			Findings: map[string][]string{"fail": {"clear.gap@gas"}, "pass": {"ticket.valid"}}},
		{Kind: KindAnswer, Bore: "b1", Ver: 4, By: &anna, Rules: rules, Typed: "15 ft",
			Facts:    []Fact{{Key: "far_reading@9500", Kind: "length", Typed: "15 ft", Value: "4572000", Unit: "um"}},
			Findings: map[string][]string{"pass": {"verify.far_mark@9500"}, "exempt": {"verify.far_mark@18500"}}},
		{Kind: KindWaive, Bore: "b1", Ver: 5, By: &ben, Rules: rules, Check: "clear.gap@gas", Why: "line is dead and cut",
			Findings: map[string][]string{"waived": {"clear.gap@gas"}}},
		{Kind: KindRefused, Bore: "b1", Ver: 6, By: &anna, Why: "may not waive"},
		sign(anna, 7, "input one", nil),
		sign(ben, 8, "input one", release("input one", "clear.gap@gas")),
		{Kind: KindOpen, Bore: "b2", Ver: 1, By: &ben, Rules: rules, State: StateOpen, Open: &Opening{Title: "Two", Zone: "UTC"}},
		{Kind: KindReport, Bore: "b1", Ver: 9, By: &anna, Rules: rules, Event: "gear", Void: "gear was changed", State: StateHeld,
			Findings: map[string][]string{"needs": {"verify.far_mark@9500"}}},
		{Kind: KindHold, Bore: "b2", Ver: 2, By: &anna, Why: "rain", State: StateHeld},
		{Kind: KindAnswer, Bore: "b1", Ver: 10, By: &anna, Rules: rules, State: StateOpen,
			Facts:    []Fact{{Key: "far_reading@9500", Kind: "length", Typed: "15", Value: "4572000", Unit: "um"}},
			Findings: map[string][]string{"pass": {"verify.far_mark@9500", "clear.gap@gas"}}},
		sign(anna, 11, "input two", nil),
		sign(ben, 12, "input two", release("input two")),
		{Kind: KindClose, Bore: "b1", Ver: 13, By: &ben, Rules: rules, State: StateClosed},
	}
	for i := range recs {
		recs[i].V, recs[i].Key = Version, "k"+string(rune('a'+i))
		recs[i].At, recs[i].Logged = minute(i), minute(i)
	}
	return recs
}

// check verifies and gives all faults.
func check(r Reader, o Options) ([]Fault, Summary) {
	var all []Fault
	s := Verify(r, o, func(f Fault) { all = append(all, f) })
	return all, s
}

// hasFault says whether a fault of this code names this record.
func hasFault(all []Fault, code string, seq int64) bool {
	return slices.ContainsFunc(all, func(f Fault) bool { return f.Code == code && f.Seq == seq })
}

func outside(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "outside", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}
