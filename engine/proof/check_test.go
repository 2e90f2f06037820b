package proof

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"firstrod/engine/ledger"
)

func TestGoodFile(t *testing.T) {
	m, s, public := sealedJob(t)
	b := made(t, m, Request{Bore: "b1", Since: [][]byte{signed(t, m, 9, s), signed(t, m, 0, s)}})
	faults, v := check(t, b, Options{Key: public, Bore: "b1", Pins: [][]byte{signed(t, m, 9, s)}})
	if len(faults) > 0 {
		t.Fatalf("%+v", faults)
	}
	if v.Bore != "b1" || v.Title != "Creek" || v.State != ledger.StateReleased || v.Versions != 6 || v.Records != 10 || v.Releases != 1 ||
		!v.Pinned || v.Witnessed || v.Signed.Size != 13 || v.First != -1 {
		t.Errorf("%+v", v)
	}
	text := strings.Join(append(v.Proved, v.Unproved...), "\n")
	for _, want := range []string{"versions 1 to 6", "continues the checkpoint that you hold", "nothing came after version 6", "did not judge again", "evidence"} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing of %q in\n%s", want, text)
		}
	}
	if again := made(t, m, Request{Bore: "b1", Since: [][]byte{signed(t, m, 9, s)}}); !bytes.Equal(again, b) {
		t.Error("the same ledger gives another file")
	}
}

// TestOtherProgramsReadIt: the archive is one to archive/zip, which knows nothing
// of this package, and has what the doc says.
func TestOtherProgramsReadIt(t *testing.T) {
	m, s, _ := sealedJob(t)
	b := made(t, m, Request{Bore: "b1", Since: [][]byte{signed(t, m, 9, s)}, Evidence: func(string) ([]byte, error) { return photo, nil }})
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, r); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		names = append(names, f.Name)
	}
	if !slices.IsSorted(names) || len(names) != 30 {
		t.Errorf("%d parts: %q", len(names), names)
	}
	for _, want := range []string{"records/0000000011.json", "proofs/0000000000.tlog-proof", "since/0000000009.proof", "evidence/" + ledger.BlobSum(photo)} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is missing in %q", want, names)
		}
	}
	if faults, v := check(t, b, Options{}); len(faults) > 0 || v.Anchored() {
		t.Errorf("%+v", faults)
	}
}

func TestWriteRefuses(t *testing.T) {
	m, s, _ := sealedJob(t)
	other, _ := testKey(t, 2)
	_, blobs := job("")
	cases := []struct {
		name string
		do   func(m *memory, q *Request)
		want string
	}{
		{"no such bore", func(_ *memory, q *Request) { q.Bore = "b9" }, ErrNoBore.Error()},
		{"checkpoint of another log", func(_ *memory, q *Request) { q.Since = [][]byte{signed(t, m, 9, other)} }, ErrSince.Error()},
		{"checkpoint of later", func(m *memory, q *Request) {
			q.Since = [][]byte{m.note}
			m.note = signed(t, m, 12, s)
		}, ErrSince.Error()},
		{"checkpoint that is not continued", func(_ *memory, q *Request) {
			c := ledger.Checkpoint{Origin: origin, Size: 9}
			q.Since = [][]byte{must(c.Sign(s))}
		}, ErrSince.Error()},
		{"bytes missing", func(m *memory, _ *Request) { delete(m.blobs, ledger.BlobSum(blobs[0])) }, "missing or were changed"},
		{"bytes changed", func(m *memory, _ *Request) { m.blobs[ledger.BlobSum(blobs[0])] = photo }, "missing or were changed"},
		{"hashes changed", func(m *memory, _ *Request) { m.hashes[7][0] ^= 1 }, "do not add up"},
		{"evidence changed", func(_ *memory, q *Request) {
			q.Evidence = func(string) ([]byte, error) { return []byte("another"), nil }
		}, "was changed"},
		{"evidence gone", func(_ *memory, q *Request) {
			q.Evidence = func(string) ([]byte, error) { return nil, errors.New("gone") }
		}, "gone"},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			m, _, _ := sealedJob(t)
			q := Request{Bore: "b1"}
			tt.do(m, &q)
			if _, err := Write(io.Discard, m, q); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("%v, want %q", err, tt.want)
			}
		})
	}
}

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}

// TestPinsOnFiles: what a pin says of a file, by name.
func TestPinsOnFiles(t *testing.T) {
	m, s, public := sealedJob(t)
	other, _ := testKey(t, 2)
	recs, blobs := job(public)
	recs[8].Why = "may not"
	rewritten := seal(t, recs, s, blobs...)
	since := func(m *memory, sizes ...int64) (out [][]byte) {
		for _, n := range sizes {
			out = append(out, signed(t, m, n, s))
		}
		return out
	}
	honest := made(t, m, Request{Bore: "b1", Since: since(m, 7, 9)})
	cases := []struct {
		name   string
		file   []byte
		pins   [][]byte
		code   string
		pinned bool
	}{
		{"older", honest, since(m, 9), "", true},
		{"two older", honest, since(m, 9, 7), "", true},
		{"the same", honest, since(m, 13), "", true},
		{"nothing to check it with", honest, since(m, 8), "", false},
		{"of an empty log", honest, since(m, 0), "", false},
		{"of another key", honest, [][]byte{signed(t, m, 9, other)}, ledger.FaultPin, false},
		{"no checkpoint", honest, [][]byte{[]byte("hello")}, ledger.FaultPin, false},
		{"old file against a newer pin", made(t, seal(t, must2(job(public))[:12], s, blobs...), Request{Bore: "b1"}), since(m, 13), ledger.FaultRollback, false},
		{"rewritten", made(t, rewritten, Request{Bore: "b1", Since: since(rewritten, 9)}), since(m, 9), ledger.FaultRewrite, false},
		{"forked after an older pin", made(t, rewritten, Request{Bore: "b1", Since: since(rewritten, 7, 9)}), since(m, 7, 9), ledger.FaultFork, false},
		{"two logs of one size", made(t, rewritten, Request{Bore: "b1"}), since(m, 13), ledger.FaultFork, false},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			faults, v := check(t, tt.file, Options{Pins: tt.pins})
			if v.Pinned != tt.pinned {
				t.Errorf("pinned %v: %+v", v.Pinned, faults)
			}
			switch {
			case tt.code == "" && len(faults) > 0:
				t.Errorf("%+v", faults)
			case tt.code != "" && (len(faults) != 1 || faults[0].Code != tt.code):
				t.Errorf("want one %q in %+v", tt.code, faults)
			}
		})
	}
}

func must2(recs []ledger.Record, _ [][]byte) []ledger.Record { return recs }

func TestPolicyOnFiles(t *testing.T) {
	m, _, _ := sealedJob(t)
	b := made(t, m, Request{Bore: "b1"})
	for _, tt := range []struct {
		name, who string
		err       error
		faults    int
		witnessed bool
	}{
		{"cosigned", "the yard, 2026-03-02", nil, 0, true},
		{"nobody has to", "", nil, 0, false},
		{"too few", "", errors.New("one of two"), 1, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			policy := func(n []byte) (string, error) {
				if !bytes.Equal(n, m.note) {
					t.Error("asked about another note")
				}
				return tt.who, tt.err
			}
			faults, v := check(t, b, Options{Policy: policy})
			if len(faults) != tt.faults || v.Witnessed != tt.witnessed || v.Anchored() != tt.witnessed {
				t.Errorf("%+v %+v", faults, v)
			}
		})
	}
}

// judge says what it is told to, as a rule engine would.
type judge struct {
	say   map[int]map[string]string // by number of records
	loose []string
	err   error
}

func (j judge) Rerun(_ context.Context, revision string, _ ledger.Pack, packs []byte, recs []ledger.Record) (Judged, error) {
	if revision != rev || string(packs) != "packs of revision one" {
		return Judged{}, fmt.Errorf("asked by rules %q, %q", revision, packs)
	}
	return Judged{j.say[len(recs)], j.loose}, j.err
}

func TestRulesAgain(t *testing.T) {
	m, _, _ := sealedJob(t)
	b := made(t, m, Request{Bore: "b1"})
	is := func(status string) map[string]string { return map[string]string{"verify.far_mark": status} }
	honest := func() map[int]map[string]string {
		return map[int]map[string]string{1: is("needs"), 2: is("fail"), 3: is("pass"), 5: is("pass"), 6: is("pass")}
	}
	faults, v := check(t, b, Options{Rerun: judge{say: honest()}})
	if len(faults) > 0 || v.Rerun != 5 {
		t.Fatalf("%+v, judged %d again", faults, v.Rerun)
	}
	lied := honest()
	lied[6] = is("fail")
	if faults, v := check(t, b, Options{Rerun: judge{say: lied}}); len(faults) != 1 || faults[0].Code != FaultRerun || v.First != 11 {
		t.Errorf("%+v", faults)
	}
	lied[6] = map[string]string{"verify.far_mark": "pass", "verify.near_mark": "fail"}
	if faults, _ := check(t, b, Options{Rerun: judge{say: lied}}); len(faults) != 1 || !strings.Contains(faults[0].Say, "no finding") {
		t.Errorf("%+v", faults)
	}
	// The packs loosen a limit, and the release does not say so.
	faults, v = check(t, b, Options{Rerun: judge{say: honest(), loose: []string{"ground.standoff"}}})
	if len(faults) != 1 || faults[0].Code != FaultRerun || v.First != 11 || !strings.Contains(faults[0].Say, "ground.standoff") || len(v.Proved) > 0 {
		t.Errorf("%+v %q", faults, v.Proved)
	}
	if faults, v := check(t, b, Options{Rerun: judge{err: errors.New("no engine")}}); len(faults) > 0 || v.Rerun != 0 || !strings.Contains(fmt.Sprint(v.Unproved), "no engine") {
		t.Errorf("%+v %+v", faults, v.Unproved)
	}
}
