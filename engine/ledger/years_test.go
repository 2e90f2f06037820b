package ledger

import (
	"slices"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// later is the job with more records behind it, each by the people in it.
func later(t *testing.T, public string, more ...Record) []Record {
	t.Helper()
	recs := job(public)
	at := recs[len(recs)-1].Logged
	for i, r := range more {
		r.V, r.Key = Version, "later "+string(rune('a'+i))
		r.Logged = at.Add(time.Duration(i+1) * time.Second)
		r.At = r.Logged
		recs = append(recs, r)
	}
	return recs
}

func by(id string) *Actor { return &Actor{ID: id} }

// sealYears is seal, with the indexes and names of what happens over the years.
func sealYears(t *testing.T, recs []Record, keys ...note.Signer) *memory {
	t.Helper()
	m := seal(t, recs, keys[0])
	for i, r := range recs {
		switch {
		case r.Erased != nil:
			m.index = append(m.index, IndexEntry{Index: IndexPerson, Num: int64(i), Seq: int64(i)})
			delete(m.private, r.Erased.Person)
		case r.Rotated != nil:
			m.index = append(m.index, IndexEntry{Index: IndexRotation, Num: int64(i), Seq: int64(i)})
		}
	}
	c, err := NoteCheckpoint(m.note)
	if err != nil {
		t.Fatal(err)
	}
	if m.note, err = c.Sign(keys...); err != nil {
		t.Fatal(err)
	}
	return m
}

func TestErasureAndHolds(t *testing.T) {
	s, public := testKey(t, 1)
	erase := Record{Kind: KindErased, By: by("p_bbbb"), Erased: &Erased{Person: "p_aaaa", Ground: "asked"}}
	on := func(h LegalHold, who string) Record {
		return Record{Kind: KindLegalHold, By: by(who), Why: "a claim", LegalHold: &h}
	}
	hold, end := LegalHold{Person: "p_aaaa"}, LegalHold{Person: "p_aaaa", Release: true}
	bore := LegalHold{Bore: "b1"}
	n := int64(len(job(public)))
	for name, c := range map[string]struct {
		more []Record
		hurt func(m *memory)
		code string // none: it verifies
		seq  int64
	}{
		"erased":             {[]Record{erase}, nil, "", 0},
		"the name is kept":   {[]Record{erase}, func(m *memory) { m.private["p_aaaa"] = nameOf("p_aaaa") }, FaultErased, n},
		"gone unsaid":        {nil, func(m *memory) { delete(m.private, "p_aaaa") }, FaultErased, 2},
		"twice":              {[]Record{erase, erase}, nil, FaultErased, n + 1},
		"nobody asked":       {[]Record{{Kind: KindErased, Erased: erase.Erased}}, nil, FaultErased, n},
		"no ground":          {[]Record{{Kind: KindErased, By: by("p_bbbb"), Erased: &Erased{Person: "p_aaaa"}}}, nil, FaultErased, n},
		"a stranger's":       {[]Record{{Kind: KindErased, By: by("p_bbbb"), Erased: &Erased{Person: "p_zzzz", Ground: "asked"}}}, nil, FaultUnknown, n},
		"under a hold":       {[]Record{on(hold, "p_bbbb"), erase}, nil, FaultHeld, n + 1},
		"one voice":          {[]Record{on(hold, "p_bbbb"), on(end, "p_bbbb"), on(end, "p_bbbb"), erase}, nil, FaultHeld, n + 3},
		"two voices":         {[]Record{on(hold, "p_bbbb"), on(end, "p_bbbb"), on(end, "p_aaaa"), erase}, nil, "", 0},
		"the bore is held":   {[]Record{on(bore, "p_bbbb"), erase}, nil, FaultHeld, n + 1},
		"no such hold":       {[]Record{on(end, "p_bbbb")}, nil, FaultHeld, n},
		"a hold on nothing":  {[]Record{on(LegalHold{}, "p_bbbb")}, nil, FaultHeld, n},
		"evidence held":      {[]Record{on(bore, "p_bbbb"), {Kind: KindRemoved, By: by("p_bbbb"), Removed: &Removed{Bore: "b1"}}}, nil, FaultHeld, n + 1},
		"another kind":       {[]Record{{Kind: KindHold, By: by("p_bbbb"), Erased: erase.Erased}}, nil, FaultUnknown, n},
		"put back":           {[]Record{{Kind: KindRestored, Restored: &Restored{Size: n}}}, nil, "", 0},
		"put back elsewhere": {[]Record{{Kind: KindRestored, Restored: &Restored{Size: n - 1}}}, nil, FaultRestored, n},
	} {
		m := sealYears(t, later(t, public, c.more...), s)
		if c.hurt != nil {
			c.hurt(m)
		}
		faults, sum := check(m, Options{})
		if c.code == "" && len(faults) > 0 || c.code != "" && !hasFault(faults, c.code, c.seq) {
			t.Errorf("%s: %+v, want %q at %d", name, faults, c.code, c.seq)
		}
		if name == "erased" && sum.Erased != 1 || name == "put back" && len(sum.Restored) != 1 {
			t.Errorf("%s: %+v", name, sum)
		}
	}
}

// rotated is the job with a change of the key at its end, and one record after it.
// where is what the old key signs for.
func rotated(t *testing.T, where func(c *Checkpoint), old, fresh note.Signer, name string) []Record {
	t.Helper()
	_, public := testKey(t, 1)
	first, _ := testKey(t, 1)
	recs := job(public)
	c, err := NoteCheckpoint(seal(t, recs, first).note)
	if err != nil {
		t.Fatal(err)
	}
	if where != nil {
		where(&c)
	}
	r, err := Rotate(c, name, old, fresh)
	if err != nil {
		t.Fatal(err)
	}
	return later(t, public, Record{Kind: KindRotated, By: by("p_bbbb"), Why: "time", Rotated: &r},
		Record{Kind: KindErased, By: by("p_bbbb"), Erased: &Erased{Person: "p_aaaa", Ground: "asked"}})
}

func TestRotation(t *testing.T) {
	s1, public1 := testKey(t, 1)
	s2, public2 := testKey(t, 2)
	s3, public3 := testKey(t, 3)
	n := int64(len(job(public1)))
	good := rotated(t, nil, s1, s2, public2)
	whole := sealYears(t, good, s2, s1)
	before := seal(t, job(public1), s1).note
	after := whole.note
	alone := sealYears(t, good, s2).note
	retired := sealYears(t, good, s1).note

	for _, key := range []string{"", public1, public2} {
		faults, sum := check(whole, Options{Key: key, Pins: [][]byte{before, after, alone}})
		if len(faults) > 0 || !sum.Anchored || !slices.Equal(sum.Rotated, []int64{n}) {
			t.Errorf("key %q: %+v, %v", key, faults, sum.Rotated)
		}
	}
	if faults, _ := check(whole, Options{Key: public3}); !hasFault(faults, FaultLogKey, 0) {
		t.Errorf("another key: %+v", faults)
	}
	if faults, _ := check(whole, Options{Pins: [][]byte{retired}}); !hasFault(faults, FaultPin, -1) {
		t.Errorf("a pin of after that the old key alone signed: %+v", faults)
	}
	stolen := sealYears(t, good, s1)
	if faults, _ := check(stolen, Options{}); !hasFault(faults, FaultCheckpoint, -1) {
		t.Errorf("a checkpoint of the old key alone: %+v", faults)
	}
	if faults, _ := check(seal(t, job(public1), s2), Options{}); !hasFault(faults, FaultCheckpoint, -1) {
		t.Errorf("the new key before there was one: %+v", faults)
	}

	unsigned := slices.Clone(good)
	r := *good[n].Rotated
	msg, err := note.Sign(&note.Note{Text: Rotation(Checkpoint{Origin: origin, Size: n, Root: whole.root(t, n)}, public2)}, s2)
	if err != nil {
		t.Fatal(err)
	}
	r.Note = string(msg)
	unsigned[n].Rotated = &r
	swapped := slices.Clone(good)
	r2 := *good[n].Rotated
	r2.Key = public3
	swapped[n].Rotated = &r2
	for name, recs := range map[string][]Record{
		"signed by the new key alone": unsigned,
		"signed by a stranger":        rotated(t, nil, s3, s2, public2),
		"another key put in":          swapped,
		"the old key again":           rotated(t, nil, s1, s1, public1),
		"for another size":            rotated(t, func(c *Checkpoint) { c.Size-- }, s1, s2, public2),
		"for another history":         rotated(t, func(c *Checkpoint) { c.Root[0] ^= 1 }, s1, s2, public2),
		"for another log":             rotated(t, func(c *Checkpoint) { c.Origin = "firstrod.local/other" }, s1, s2, public2),
	} {
		if faults, sum := check(sealYears(t, recs, s2, s1), Options{}); !hasFault(faults, FaultRotation, n) || len(sum.Rotated) > 0 {
			t.Errorf("%s: %+v", name, faults)
		}
	}
}

// root is the tree over the first n records, derived by the library's own function.
func (m *memory) root(t *testing.T, n int64) tlog.Hash {
	t.Helper()
	rows, err := m.Records(0, int(n))
	if err != nil {
		t.Fatal(err)
	}
	var stored []tlog.Hash
	read := tlog.HashReaderFunc(func(ix []int64) (out []tlog.Hash, err error) {
		for _, i := range ix {
			out = append(out, stored[i])
		}
		return out, nil
	})
	for i, r := range rows {
		h, err := tlog.StoredHashes(int64(i), r.Data, read)
		if err != nil {
			t.Fatal(err)
		}
		stored = append(stored, h...)
	}
	h, err := tlog.TreeHash(n, read)
	if err != nil {
		t.Fatal(err)
	}
	return h
}
