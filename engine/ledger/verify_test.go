package ledger

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"go.uber.org/goleak"
	"golang.org/x/mod/sumdb/note"
)

func TestGoodLedger(t *testing.T) {
	s, public := testKey(t, 1)
	faults, sum := check(seal(t, job(public), s), Options{Key: public})
	for _, f := range faults {
		t.Errorf("%+v", f)
	}
	if sum.Size != 19 || sum.Bores != 2 || sum.Releases != 2 || sum.First != -1 || sum.Signed.Size != 19 || sum.Anchored {
		t.Errorf("summary %+v", sum)
	}
	if want := "[records blobs private hashes indexes]"; fmt.Sprint(sum.Checked) != want {
		t.Errorf("checked %v, want %v", sum.Checked, want)
	}
}

// TestReleaseRunsOut: the first signature after a release ran out says so, and
// counts itself.
func TestReleaseRunsOut(t *testing.T) {
	s, public := testKey(t, 1)
	recs := job(public)
	recs[13].Kind, recs[13].State, recs[13].Findings, recs[13].Event, recs[13].Void = KindRefused, "", nil, "", ""
	recs[15].Kind, recs[15].State, recs[15].Facts, recs[15].Findings = KindRefused, "", nil, nil
	recs[16].Void, recs[16].State = "time_over", StateOpen
	recs[17].Release.Waived = recs[11].Release.Waived
	if faults, sum := check(seal(t, recs, s), Options{Key: public}); len(faults) > 0 || sum.Releases != 2 {
		t.Errorf("%+v", faults)
	}
}

// tamper is one attack: what is done, and what must be named.
type tamper struct {
	name string
	do   func(recs []Record) []Record
	code string
	seq  int64
}

// resealed are attacks by somebody who holds the log key: the tree is right
// and signed, and only the meaning of the records gives them away.
func resealed() []tamper {
	set := func(f func(r []Record)) func([]Record) []Record {
		return func(r []Record) []Record { f(r); return r }
	}
	return []tamper{
		{"bump_ver", set(func(r []Record) { r[7].Ver = 6 }), FaultVer, 7},
		{"release_while_failing", set(func(r []Record) {
			r[7].Findings = map[string][]string{"fail": {"verify.far_mark@9500", "verify.far_mark@18500"}}
		}), FaultRelease, 11},
		{"release_without_finding", set(func(r []Record) { r[6].Findings = map[string][]string{"fail": {"clear.gap@gas"}}; r[4].Findings = nil }), FaultMissing, 11},
		{"release_without_item", set(func(r []Record) { r[5].Facts[0].Items = []string{"9500", "18500", "33000"}; r[11].Release.Checks = 5 }), FaultMissing, 11},
		{"release_without_list", set(func(r []Record) { r[5].Facts = nil; r[11].Release.Checks = 2 }), FaultMissing, 11},
		{"release_one_signer", set(func(r []Record) { r[11].Release.Signers = r[11].Release.Signers[1:] }), FaultSigners, 11},
		{"release_same_person", set(func(r []Record) {
			r[10].By = r[11].By
			r[11].Release.Signers = []Actor{*r[11].By, *r[11].By}
		}), FaultSigners, 11},
		{"release_same_role", set(func(r []Record) {
			r[2].Person.Roles = []string{"locator", "foreman"}
			r[10].By = &Actor{ID: "p_aaaa", Role: "foreman"}
			r[11].Release.Signers[0] = *r[10].By
		}), FaultSigners, 11},
		{"release_same_person_two_roles", set(func(r []Record) {
			r[2].Person.Roles = []string{"locator", "foreman"}
			r[11].By = &Actor{ID: "p_aaaa", Role: "foreman"}
			r[11].Release.Signers[1] = *r[11].By
		}), FaultSigners, 11},
		{"release_unsigned_name", set(func(r []Record) { r[10].Kind, r[10].Sign, r[10].Why = KindRefused, nil, "no" }), FaultSign, 11},
		{"release_other_input", set(func(r []Record) { r[10].Sign.Input = BlobSum([]byte("input two")) }), FaultSign, 11},
		{"sign_before_change", func(r []Record) []Record {
			// The first signature is moved ahead of the last waiver.
			a, b := r[8], r[10]
			a.Ver, b.Ver = b.Ver, a.Ver
			b.Sign.Through = 4
			a.Logged, b.Logged = b.Logged, a.Logged
			r[8], r[10] = b, a
			return r
		}, FaultSign, 11},
		{"sign_old_version", set(func(r []Record) { r[10].Sign.Through = 3 }), FaultSign, 10},
		{"sign_later_version", set(func(r []Record) { r[10].Sign.Through = 7 }), FaultSign, 10},
		{"sign_without_meaning", set(func(r []Record) { r[10].Sign.Meaning = "" }), FaultSign, 10},
		{"waived_without_record", set(func(r []Record) { r[8].Kind, r[8].Check = KindAnswer, "" }), FaultWaive, 8},
		{"waived_without_reason", set(func(r []Record) { r[8].Why = "" }), FaultWaive, 8},
		{"waived_again", set(func(r []Record) {
			r[15].Findings = map[string][]string{"pass": {"verify.far_mark@9500"}, "waived": {"clear.gap@gas"}}
			r[13].Findings["fail"] = []string{"clear.gap@gas"}
			r[17].Release.Waived = []string{"clear.gap@gas"}
		}), FaultWaive, 15},
		{"signs_of_a_void_release", set(func(r []Record) {
			// The second release rests on a signature from before the first one ended.
			r[13].Kind, r[13].State, r[13].Findings, r[13].Event = KindRefused, StateOpen, nil, ""
			r[15].Kind, r[15].Facts, r[15].Findings = KindRefused, nil, nil
			r[16].Kind, r[16].Sign, r[16].Why = KindRefused, nil, "no"
			r[17].Sign.Input, r[17].Release.Input = r[11].Sign.Input, r[11].Release.Input
			r[17].Release.Waived = r[11].Release.Waived
		}), FaultSign, 17},
		{"waived_fixed", set(func(r []Record) { r[1].Pack.Checks[2].Fixed = true }), FaultWaive, 8},
		{"waived_not_named", set(func(r []Record) { r[11].Release.Waived = nil }), FaultRelease, 11},
		{"released_without_release", set(func(r []Record) { r[7].State = StateReleased }), FaultState, 7},
		{"release_not_released", set(func(r []Record) { r[11].State = StateOpen }), FaultState, 11},
		{"release_left_standing", set(func(r []Record) { r[13].State, r[13].Void = StateReleased, "" }), FaultRelease, 13},
		{"void_left_standing", set(func(r []Record) { r[13].State = StateReleased }), FaultState, 13},
		{"release_after_close", set(func(r []Record) {
			r[16].Kind, r[16].Sign, r[16].State = KindClose, nil, StateClosed
		}), FaultState, 17},
		{"answer_after_close", set(func(r []Record) { r[13].Kind, r[13].Event, r[13].State = KindClose, "", StateClosed }), FaultState, 15},
		{"sign_what_it_changes", set(func(r []Record) { r[10].Facts = r[7].Facts }), FaultSign, 10},
		{"release_in_the_past", set(func(r []Record) { r[11].Release.Until = minute(2) }), FaultRelease, 11},
		{"release_other_rules", func(r []Record) []Record {
			r[12] = Record{V: 1, Key: "new rules", Kind: KindRules, Rules: "rev-two", Pack: r[1].Pack, At: minute(12), Logged: minute(12)}
			r[14] = r[12]
			r[14].Key, r[14].Rules, r[14].Logged = "newer rules", "rev-three", minute(14)
			return r
		}, FaultRules, 17},
		{"release_rules_of_the_base_in_a_state_with_its_own", inVirginia("US-VA"), FaultRules, 17},
		{"release_rules_of_the_state_in_a_county", inVirginia("US-VA/alder"), FaultRules, 17},
		{"moved_and_left_released", func(r []Record) []Record {
			r[13].Kind, r[13].Moved, r[13].Event, r[13].Void = KindMoved, &Moved{Jurisdiction: "US-VA"}, "", ""
			r[13].State, r[13].Findings = StateReleased, nil
			return r
		}, FaultState, 13},
		{"moved_to_nowhere", set(func(r []Record) { r[7].Moved = &Moved{Jurisdiction: "US-VA"} }), FaultUnknown, 7},
		{"rules_that_check_nothing", set(func(r []Record) { r[1].Pack.Checks = nil; r[11].Release.Checks = 0 }), FaultMissing, 11},
		{"count_of_checks", set(func(r []Record) { r[11].Release.Checks = 3 }), FaultRelease, 11},
		{"unknown_person", set(func(r []Record) { r[6].By = &Actor{ID: "p_cccc", Role: "locator"} }), FaultUnknown, 6},
		{"unknown_rules", set(func(r []Record) { r[6].Rules = "rev-nine" }), FaultUnknown, 6},
		{"unknown_record", set(func(r []Record) { r[6].Refers = []int64{6} }), FaultUnknown, 6},
		{"role_not_given", set(func(r []Record) { r[6].By = &Actor{ID: "p_aaaa", Role: "foreman"} }), FaultRole, 6},
		{"same_key", set(func(r []Record) { r[9].Key = r[4].Key }), FaultKey, 9},
		{"time_backwards", set(func(r []Record) { r[9].Logged = minute(1) }), FaultTime, 9},
		{"two_statuses", set(func(r []Record) { r[7].Findings["fail"] = []string{"verify.far_mark@9500"} }), FaultFinding, 7},
		{"no_such_status", set(func(r []Record) { r[7].Findings["fine"] = []string{"ticket.valid"} }), FaultFinding, 7},
		{"no_such_state", set(func(r []Record) { r[7].State = "ready" }), FaultState, 7},
		{"second_start", set(func(r []Record) { r[9].Kind, r[9].Log = KindStart, r[0].Log }), FaultStart, 9},
		{"no_start", func(r []Record) []Record { return r[1:] }, FaultStart, 0},
	}
}

// inVirginia puts every bore into US-VA/alder, and other rules in force at a place
// around it before the second release.
func inVirginia(place string) func(r []Record) []Record {
	return func(r []Record) []Record {
		for i := range r {
			if r[i].Open != nil {
				r[i].Open.Jurisdiction = "US-VA/alder"
			}
		}
		pack := *r[1].Pack
		pack.Place = place
		r[12] = Record{V: 1, Key: "rules there", Kind: KindRules, Rules: "rev-two", Pack: &pack, At: minute(12), Logged: minute(12)}
		r[14] = r[12]
		r[14].Key, r[14].Rules, r[14].Logged = "newer rules there", "rev-three", minute(14)
		return r
	}
}

// Rules of a place elsewhere are none of a bore's business.
func TestRulesElsewhere(t *testing.T) {
	s, public := testKey(t, 1)
	recs := inVirginia("US-VA/birch")(job(public))
	faults, _ := check(seal(t, recs, s), Options{Key: public})
	for _, f := range faults {
		if f.Code == FaultRules {
			t.Errorf("%+v", f)
		}
	}
}

func TestWider(t *testing.T) {
	for place, want := range map[string]string{"US-VA/alder/two-mills": "US-VA/alder", "US-VA/alder": "US-VA", "US-VA": "US", "US": "", "": ""} {
		if got := Wider(place); got != want {
			t.Errorf("around %q is %q, want %q", place, got, want)
		}
	}
}

func TestTamperedMeaning(t *testing.T) {
	s, public := testKey(t, 1)
	for _, tt := range resealed() {
		t.Run(tt.name, func(t *testing.T) {
			faults, sum := check(seal(t, tt.do(job(public)), s), Options{Key: public})
			if !hasFault(faults, tt.code, tt.seq) {
				t.Errorf("no fault %q at record %d in %+v", tt.code, tt.seq, faults)
			}
			if sum.First != tt.seq {
				t.Errorf("first bad record %d, want %d: %+v", sum.First, tt.seq, faults)
			}
		})
	}
}

// TestTamperedBytes damages what lies in the store, as somebody without the
// key, or a bad disk, would.
func TestTamperedBytes(t *testing.T) {
	s, public := testKey(t, 1)
	other, _ := testKey(t, 2)
	cases := []struct {
		name string
		do   func(m *memory)
		code string
		seq  int64
	}{
		{"value changed", func(m *memory) { m.recs[7] = bytes.Replace(m.recs[7], []byte("4572000"), []byte("4572001"), 1) }, FaultLeaf, 7},
		{"record broken", func(m *memory) { m.recs[7][0] ^= 1 }, FaultDecode, 7},
		{"record deleted", func(m *memory) { m.recs[7] = nil }, FaultGap, 7},
		{"last record deleted", func(m *memory) { m.recs = m.recs[:18] }, FaultGap, 18},
		{"records swapped", func(m *memory) { m.recs[7], m.recs[8] = m.recs[8], m.recs[7] }, FaultSeq, 7},
		{"record duplicated", func(m *memory) { m.recs[8] = m.recs[7] }, FaultSeq, 8},
		{"record added", func(m *memory) { m.recs = append(m.recs, m.recs[18]) }, FaultBeyond, 19},
		{"hash changed", func(m *memory) { m.hash[7][3] ^= 1 }, FaultLeaf, 7},
		{"subtree hash changed", func(m *memory) { m.hash[7][40] ^= 1 }, FaultNode, 7},
		{"hash deleted", func(m *memory) { m.hash[7] = nil }, FaultHash, 7},
		{"hash cut", func(m *memory) { m.hash[7] = m.hash[7][:40] }, FaultHash, 7},
		{"blob deleted", func(m *memory) { delete(m.blobs, BlobSum([]byte("input one"))) }, FaultBlob, 11},
		{"blob changed", func(m *memory) { m.blobs[BlobSum([]byte("packs one"))] = []byte("packs two") }, FaultBlob, 1},
		{"name changed", func(m *memory) { m.private["p_bbbb"] = nameOf("p_cccc") }, FaultPrivate, 3},
		{"signed by another", func(m *memory) {
			c, _ := ParseCheckpoint(string(m.note[:bytes.Index(m.note, []byte("\n\n"))+1]))
			m.note, _ = c.Sign(other)
		}, FaultCheckpoint, -1},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			m := seal(t, job(public), s)
			tt.do(m)
			faults, sum := check(m, Options{})
			if !hasFault(faults, tt.code, tt.seq) || sum.First != tt.seq {
				t.Errorf("want %q at %d, first is %d in %+v", tt.code, tt.seq, sum.First, faults)
			}
		})
	}
}

// TestAnyByte flips one bit in every byte of every hash and of the checkpoint,
// and in every third one of every record: each is found, and names the record.
func TestAnyByte(t *testing.T) {
	s, public := testKey(t, 1)
	m := seal(t, job(public), s)
	flip := func(b []byte, i int, want int64, what string) {
		b[i] ^= 1 << (i % 8)
		if _, sum := check(m, Options{}); sum.Faults == 0 || sum.First != want {
			t.Errorf("%s, byte %d: %d faults, first bad record %d, want %d", what, i, sum.Faults, sum.First, want)
		}
		b[i] ^= 1 << (i % 8)
	}
	for seq := range m.recs {
		for i := seq % 3; i < len(m.recs[seq]); i += 3 {
			flip(m.recs[seq], i, int64(seq), "record")
		}
		for i := range m.hash[seq] {
			flip(m.hash[seq], i, int64(seq), "hash")
		}
	}
	for i := range m.note {
		flip(m.note, i, -1, "checkpoint")
	}
}

func TestTamperedIndex(t *testing.T) {
	s, public := testKey(t, 1)
	find := func(m *memory, index, key string) int {
		for i, e := range m.index {
			if e.Index == index && e.Key == key {
				return i
			}
		}
		t.Fatalf("no entry %s %s", index, key)
		return 0
	}
	for _, index := range []string{IndexKey, IndexBore, IndexLine, IndexRecent, IndexPerson, IndexRules} {
		key := map[string]string{IndexKey: "kh", IndexBore: "b1", IndexLine: "b1", IndexRecent: "b1"}[index]
		for name, do := range map[string]func(m *memory, i int){
			"missing": func(m *memory, i int) { m.index = append(m.index[:i:i], m.index[i+1:]...) },
			"wrong":   func(m *memory, i int) { m.index[i].Seq = 8 },
			"extra":   func(m *memory, i int) { e := m.index[i]; e.Key += "x"; m.index = append(m.index, e) },
		} {
			t.Run(index+" "+name, func(t *testing.T) {
				m := seal(t, job(public), s)
				i := find(m, index, key)
				want := m.index[i].Seq
				do(m, i)
				faults, sum := check(m, Options{})
				if !hasFault(faults, FaultIndex, want) || sum.Faults != 1 {
					t.Errorf("want one fault at record %d, got %+v", want, faults)
				}
			})
		}
	}
	t.Run("twice", func(t *testing.T) {
		m := seal(t, job(public), s)
		m.index = append(m.index, m.index[find(m, IndexKey, "kh")])
		if faults, sum := check(m, Options{}); !hasFault(faults, FaultIndex, 7) || sum.Faults != 1 {
			t.Errorf("%+v", faults)
		}
	})
	t.Run("line says another state", func(t *testing.T) {
		m := seal(t, job(public), s)
		m.index[find(m, IndexLine, "b2")].Line.State = StateReleased
		if faults, _ := check(m, Options{}); !hasFault(faults, FaultIndex, 14) {
			t.Errorf("%+v", faults)
		}
	})
}

func TestPins(t *testing.T) {
	s, public := testKey(t, 1)
	other, _ := testKey(t, 2)
	recs := job(public)
	now := seal(t, recs, s)
	old := func(n int, by note.Signer) []byte { return seal(t, recs[:n], by).note }
	rewritten := job(public)
	rewritten[6].Typed = "water"
	cases := []struct {
		name string
		r    Reader
		pin  []byte
		code string // "" for none
	}{
		{"older", now, old(12, s), ""},
		{"same", now, now.note, ""},
		{"of an empty log", now, old(0, s), ""},
		{"log cut and signed again", seal(t, recs[:12], s), now.note, FaultRollback},
		{"log rewritten and signed again", seal(t, rewritten, s), old(12, s), FaultRewrite},
		{"rewritten after the pin", seal(t, rewritten, s), old(6, s), ""},
		{"of another log", now, old(12, other), FaultPin},
		{"no checkpoint", now, []byte("hello"), FaultPin},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			faults, sum := check(tt.r, Options{Pins: [][]byte{tt.pin}})
			switch {
			case tt.code == "" && (len(faults) > 0 || !sum.Anchored):
				t.Errorf("%+v anchored %v", faults, sum.Anchored)
			case tt.code != "" && !hasFault(faults, tt.code, -1):
				t.Errorf("want %q in %+v", tt.code, faults)
			case tt.code == FaultPin && sum.Anchored:
				t.Error("anchored by a pin that is not the log's")
			}
		})
	}
}

func TestOtherKey(t *testing.T) {
	s, public := testKey(t, 1)
	_, wrong := testKey(t, 2)
	faults, _ := check(seal(t, job(public), s), Options{Key: wrong})
	if !hasFault(faults, FaultLogKey, 0) || !hasFault(faults, FaultCheckpoint, -1) {
		t.Errorf("%+v", faults)
	}
}

// TestEmpty: nothing at all is not a ledger that verifies.
func TestEmpty(t *testing.T) {
	if faults, sum := check(&memory{}, Options{}); len(faults) == 0 || sum.Size != 0 {
		t.Errorf("%+v %+v", faults, sum)
	}
}

// far has one record with a number that cannot be.
type far struct{ memory }

func (f *far) Records(from int64, limit int) ([]Row, error) {
	rows, err := f.memory.Records(from, limit)
	if len(rows) > 7 {
		rows[7].Seq = 1 << 60
		rows = rows[:8]
	}
	return rows, err
}

func TestNumberFarOff(t *testing.T) {
	defer goleak.VerifyNone(t) // the reader ahead has been told to stop
	s, public := testKey(t, 1)
	faults, sum := check(&far{*seal(t, job(public), s)}, Options{})
	if !hasFault(faults, FaultGap, 7) || sum.First != 7 || sum.Size != 7 {
		t.Errorf("%+v %+v", faults, sum)
	}
}

// stuck gives the same page for ever.
type stuck struct{ memory }

func (s *stuck) Records(int64, int) ([]Row, error) { return s.memory.Records(3, 2) }

func TestReaderThatGoesRound(t *testing.T) {
	s, public := testKey(t, 1)
	done := make(chan struct{})
	go func() {
		check(&stuck{*seal(t, job(public), s)}, Options{})
		close(done)
	}()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatal("does not end")
	}
}
