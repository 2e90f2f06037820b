package engine_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// many is one crew's bore over and over, each time with metal somewhere else.
type many struct {
	n       int
	records []ledger.Record
	metal   int // the record that gives the distance
	fact    int
}

// manyBores releases one bore with metal 31 ft off and repeats its records.
func manyBores(b *testing.B, n int) *many {
	b.Helper()
	m := newMemory()
	w := remembered(b, m, engine.Everywhere(baseRules(b)))
	w.crew.Say = map[string]string{"metal_distance": "31 ft"}
	if _, err := w.crew.Release(b.Context(), "OR-1"); err != nil {
		b.Fatal(err)
	}
	all := &many{n: n}
	for _, at := range m.bores["OR-1"] {
		r := m.all[at]
		for i, f := range r.Facts {
			if f.Key == "metal_distance" {
				all.metal, all.fact = len(all.records), i
			}
		}
		all.records = append(all.records, r)
	}
	return all
}

func (m *many) Bores(context.Context, int) ([]ledger.BoreLine, error) {
	lines := make([]ledger.BoreLine, m.n)
	for i := range lines {
		lines[i].Bore = fmt.Sprintf("OR-%d", i)
	}
	return lines, nil
}

// Bore gives the records with metal 30 to 49 ft off, by the number of the bore.
func (m *many) Bore(_ context.Context, id string, _ int64, fn func(ledger.Record) error) error {
	_, number, _ := strings.Cut(id, "-")
	var n int64
	fmt.Sscan(number, &n)
	for i, r := range m.records {
		if r.Bore = id; i == m.metal {
			r.Facts = slices.Clone(r.Facts)
			r.Facts[m.fact].Value = quantity.Of(quantity.Length, (30+n%20)*304800).Exact()
		}
		for f := range r.Facts {
			switch r.Facts[f].Key { // no two bores have the same of these
			case "ticket_number", "receiver_serial", "transmitter_serial", "site_address":
				r.Facts = slices.Clone(r.Facts)
				r.Facts[f].Value = id
			case "signal@9500", "signal@22000":
				r.Facts = slices.Clone(r.Facts)
				r.Facts[f].Value = quantity.Of(quantity.Decibel, 60_000+n).Exact()
			}
		}
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

// forms replays bores under a stricter standoff, and wants the right number of
// flips: metal at 30 to 33 ft of 30 to 49 is nearer than 34 ft.
func forms(b *testing.B, past *many, full bool) time.Duration {
	b.Helper()
	base := baseRules(b)
	stricter := limit(b, "standoff", "30 ft", "34 ft")
	began := time.Now()
	out, err := engine.Replay(b.Context(), past, everywhere(base), everywhere(stricter), engine.ReplayOptions{Full: full})
	if err != nil {
		b.Fatal(err)
	}
	took := time.Since(began)
	if out.Releases != past.n || len(out.Refused) != past.n/5 || row(out, tooClose).Fails != past.n/5 {
		b.Fatalf("%d releases, %d refused, %d flips", out.Releases, len(out.Refused), row(out, tooClose).Fails)
	}
	return took
}

// processorTime is what this process has used of all processors, so that a busy
// machine does not show in the figure.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkReplay is 100,000 recorded forms under one changed limit, on all
// processors: a bore's facts at its release, folded from its records. Beside it a
// hundredth of them with both sets of rules asked about everything.
func BenchmarkReplay(b *testing.B) {
	past := manyBores(b, 100_000)
	for b.Loop() {
		began := processorTime(b)
		took := forms(b, past, false)
		spent := processorTime(b) - began
		rate := float64(past.n) / took.Seconds()
		few := *past
		few.n = past.n / 100
		whole := float64(few.n) / forms(b, &few, true).Seconds()
		b.ReportMetric(rate, "forms/s")
		b.ReportMetric(float64(past.n)/spent.Seconds(), "forms/processor-s")
		b.ReportMetric(whole, "forms/s-in-full")
		b.ReportMetric(rate/whole, "times")
	}
}
