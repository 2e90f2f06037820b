package ledger

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
)

// TestPinsNameWhatHappened: rollback, rewrite and fork are told apart as far as
// the kept checkpoints allow, and the sentence begins with the name.
func TestPinsNameWhatHappened(t *testing.T) {
	s, public := testKey(t, 1)
	recs := job(public)
	changed := func(at int) *memory {
		other := job(public)
		other[at].Typed = "water"
		return seal(t, other, s)
	}
	sealed := func(n int, by note.Signer) []byte { return seal(t, recs[:n], by).note }
	cases := []struct {
		name string
		now  *memory
		pins [][]byte
		want string // codes, in order
	}{
		{"continues all", seal(t, recs, s), [][]byte{sealed(3, s), sealed(12, s)}, ""},
		{"shorter", seal(t, recs[:12], s), [][]byte{sealed(19, s)}, "rollback"},
		{"shorter, but goes on from the older", seal(t, recs[:12], s), [][]byte{sealed(19, s), sealed(12, s)}, "rollback"},
		{"changed before the only one", changed(6), [][]byte{sealed(12, s)}, "rewrite"},
		{"changed before all", changed(6), [][]byte{sealed(8, s), sealed(12, s)}, "rewrite rewrite"},
		{"changed between two", changed(6), [][]byte{sealed(12, s), sealed(6, s)}, "fork"},
		{"of one size and not the same", changed(6), [][]byte{sealed(19, s)}, "fork"},
		{"an empty log says nothing of where", changed(6), [][]byte{sealed(0, s), sealed(12, s)}, "rewrite"},
		{"two views of one size", seal(t, recs, s), [][]byte{sealed(12, s), seal(t, append(job(public)[:11], job(public)[12]), s).note}, "fork fork"},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			faults, _ := check(tt.now, Options{Pins: tt.pins})
			var got []string
			for _, f := range faults {
				got = append(got, f.Code)
				if !strings.HasPrefix(f.Say, f.Code+": ") {
					t.Errorf("%q does not begin with its name", f.Say)
				}
			}
			if fmt.Sprint(got) != "["+tt.want+"]" {
				t.Errorf("got %v, want %s: %+v", got, tt.want, faults)
			}
		})
	}
}

// TestPart: a bore of the ledger with what it leans on means the same alone, and
// what is left out of it shows.
func TestPart(t *testing.T) {
	s, public := testKey(t, 1)
	m := seal(t, job(public), s)
	rows := func(skip ...int) (out []Row) {
	next:
		for i, b := range m.recs {
			for _, n := range append(skip, 12, 14) { // 12 and 14 are of the other bore
				if i == n {
					continue next
				}
			}
			out = append(out, Row{Seq: int64(i), Data: b})
		}
		return out
	}
	verify := func(rows []Row) ([]Fault, Summary, []BoreLine) {
		var all []Fault
		sum, lines := VerifyPart(rows, m, public, func(f Fault) { all = append(all, f) })
		return all, sum, lines
	}
	faults, sum, lines := verify(rows())
	if len(faults) > 0 || sum.Size != 17 || sum.Releases != 2 || len(lines) != 1 || lines[0].State != StateClosed || lines[0].Ver != 13 {
		t.Fatalf("%+v %+v %+v", faults, sum, lines)
	}
	for _, tt := range []struct {
		skip int
		code string
		seq  int64
	}{{0, FaultUnknown, 1}, {1, FaultUnknown, 4}, {2, FaultUnknown, 4}, {7, FaultVer, 8}, {10, FaultSign, 11}} {
		faults, _, _ := verify(rows(tt.skip))
		if tt.skip == 0 {
			// Record 0 says whose log it is; the fold alone does not miss it.
			if len(faults) > 0 {
				t.Errorf("without record 0: %+v", faults)
			}
			continue
		}
		if !hasFault(faults, tt.code, tt.seq) {
			t.Errorf("without record %d: no %q at %d in %+v", tt.skip, tt.code, tt.seq, faults)
		}
	}
	delete(m.blobs, BlobSum([]byte("packs one")))
	if faults, _, _ := verify(rows()); !hasFault(faults, FaultBlob, 4) {
		t.Errorf("without the packs: %+v", faults)
	}
	twice := rows()
	twice[5] = twice[4]
	if faults, _, _ := verify(twice); !hasFault(faults, FaultSeq, 4) {
		t.Errorf("one twice: %+v", faults)
	}
}
