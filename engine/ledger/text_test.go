package ledger

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the ledgers in testdata again")

// TestLedgerFiles verifies the ledgers in testdata. They stay readable for
// ever: a change that makes one of them fail breaks every log out there.
// With -update they are written again.
func TestLedgerFiles(t *testing.T) {
	s, public := testKey(t, 1)
	load := func(t *testing.T, name string, make func() *memory) *Text {
		t.Helper()
		path := filepath.Join("..", "..", "testdata", "ledgers", name+".ledger")
		if *update {
			var b bytes.Buffer
			if err := WriteText(&b, make()); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		text, err := ReadText(f)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	good := load(t, "good", func() *memory { return seal(t, job(public), s) })
	if faults, sum := check(good, Options{Key: public}); len(faults) > 0 || sum.Size != 19 {
		t.Errorf("good: %+v %+v", faults, sum)
	}
	damaged := resealed()
	for _, tt := range damaged[:8] {
		t.Run(tt.name, func(t *testing.T) {
			text := load(t, tt.name, func() *memory { return seal(t, tt.do(job(public)), s) })
			faults, sum := check(text, Options{Key: public})
			if !hasFault(faults, tt.code, tt.seq) || sum.First != tt.seq {
				t.Errorf("want %q at %d, first is %d in %+v", tt.code, tt.seq, sum.First, faults)
			}
		})
	}
	// Without stored hashes a changed value is known by the root alone.
	for _, tt := range []struct {
		name, code string
		seq        int64
		do         func(m *memory)
	}{
		{"value_changed", FaultRoot, -1, func(m *memory) { m.recs[7] = bytes.Replace(m.recs[7], []byte("4572000"), []byte("4572001"), 1) }},
		{"record_deleted", FaultSeq, 7, func(m *memory) { m.recs = append(m.recs[:7], m.recs[8:]...) }},
		{"records_swapped", FaultSeq, 7, func(m *memory) { m.recs[7], m.recs[8] = m.recs[8], m.recs[7] }},
		{"record_duplicated", FaultSeq, 8, func(m *memory) {
			m.recs = append(m.recs[:8], append([][]byte{m.recs[7]}, m.recs[8:]...)...)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := load(t, tt.name, func() *memory { m := seal(t, job(public), s); tt.do(m); return m })
			faults, sum := check(text, Options{Key: public})
			if !hasFault(faults, tt.code, tt.seq) || sum.First != tt.seq {
				t.Errorf("want %q at %d, first is %d in %+v", tt.code, tt.seq, sum.First, faults)
			}
		})
	}
}

func TestTextRoundTrip(t *testing.T) {
	s, public := testKey(t, 1)
	m := seal(t, job(public), s)
	var a, b bytes.Buffer
	if err := WriteText(&a, m); err != nil {
		t.Fatal(err)
	}
	text, err := ReadText(bytes.NewReader(a.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteText(&b, text); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Errorf("%v\n%s\n%s", err, a.Bytes(), b.Bytes())
	}
	if _, err := ReadText(strings.NewReader("hello\n")); err == nil {
		t.Error("took a text that is no ledger")
	}
}
