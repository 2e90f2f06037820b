package ledger

import (
	"crypto/sha256"
	"fmt"
	"syscall"
	"testing"
	"time"
)

// bigLog is n records of the size an answer has.
func bigLog(b *testing.B, n int) *memory {
	b.Helper()
	s, public := testKey(b, 1)
	recs := job(public)[:5]
	answer := job(public)[7]
	for i := len(recs); i < n; i++ {
		answer.Key, answer.Ver = fmt.Sprintf("key-%d", i), recs[i-1].Ver+1
		answer.Logged, answer.At = minute(i), minute(i)
		recs = append(recs, answer)
	}
	return seal(b, recs, s)
}

func (m *memory) bytes() (n int64) {
	for _, r := range m.recs {
		n += int64(len(r))
	}
	return n
}

// BenchmarkVerify compares checking with the least it could cost: one SHA-256
// over the same bytes in one go. "hashes" is the tree and the comparison with
// what is stored, on one core; "all" also decodes every record and follows what it means, on
// all cores.
func BenchmarkVerify(b *testing.B) {
	m := bigLog(b, 20_000)
	var flat []byte
	for _, r := range m.recs {
		flat = append(flat, r...)
	}
	b.Run("sha256", func(b *testing.B) {
		b.SetBytes(m.bytes())
		for b.Loop() {
			sha256.Sum256(flat)
		}
	})
	b.Run("hashes", func(b *testing.B) {
		b.SetBytes(m.bytes())
		for b.Loop() {
			v := &verifier{r: m, report: func(Fault) {}}
			hashes := &pager{fetch: m.Hashes}
			var h leafHasher
			for recs := (&pager{fetch: m.Records}); ; recs.take() {
				row, ok := recs.peek()
				if !ok {
					break
				}
				v.hash(row.Seq, h.leaf(row.Data), hashes)
			}
			if v.sum.Faults > 0 {
				b.Fatal("faults")
			}
		}
	})
	for name, r := range map[string]Reader{"all": m, "records": plainReader{m}} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(m.bytes())
			for b.Loop() {
				if faults, _ := check(r, Options{}); len(faults) > 0 {
					b.Fatalf("%+v", faults[0])
				}
			}
		})
	}
}

// plainReader has the records and the checkpoint and nothing beside them.
type plainReader struct{ m *memory }

func (p plainReader) Records(from int64, limit int) ([]Row, error) { return p.m.Records(from, limit) }
func (p plainReader) Checkpoint() ([]byte, error)                  { return p.m.Checkpoint() }

// BenchmarkVerifyRatio is how fast a whole verification is against one SHA-256 over
// the same bytes, both in turn in one run. "cpu-ratio" is of processor time, which a
// busy machine does not change; "ratio" is of time on the wall.
func BenchmarkVerifyRatio(b *testing.B) {
	m := bigLog(b, 20_000)
	var flat []byte
	for _, r := range m.recs {
		flat = append(flat, r...)
	}
	for name, r := range map[string]Reader{"all": m, "records": plainReader{m}} {
		b.Run(name, func(b *testing.B) {
			var raw, full spent
			for b.Loop() {
				raw.add(b, func() {
					for range 5 { // long enough for the clock
						sha256.Sum256(flat)
					}
				})
				full.add(b, func() { check(r, Options{}) })
			}
			b.ReportMetric(raw.wall.Seconds()/5/full.wall.Seconds(), "ratio")
			b.ReportMetric(raw.cpu.Seconds()/5/full.cpu.Seconds(), "cpu-ratio")
		})
	}
}

// spent is time used.
type spent struct{ wall, cpu time.Duration }

func (s *spent) add(b *testing.B, fn func()) {
	cpu := func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	wall, before := time.Now(), cpu()
	fn()
	s.wall += time.Since(wall)
	s.cpu += cpu() - before
}
