package boltstore

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"syscall"
	"testing"
	"time"

	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// question is one kind of question, with other words each time.
type question struct {
	name string
	ask  func(rng *rand.Rand) ledger.Filter
	sql  string // of the same, see postgres_test.go
	args func(f ledger.Filter) []any
}

// day is a day within the first month, which every size of ledger has.
func day(rng *rand.Rand) time.Time {
	return time.Date(2025, 1, 7+rng.IntN(20), 0, 0, 0, 0, time.UTC)
}

const pageSQL = " ORDER BY r.seq DESC LIMIT 50"

// timeSQL is the same order, said so that the planner takes the index on time: with
// pageSQL it walked back from the last record, 600 ms for a day long past.
const timeSQL = " ORDER BY r.logged DESC, r.seq DESC LIMIT 50"

func questions() []question {
	from := "SELECT r.body FROM record r WHERE "
	found := "SELECT r.body FROM finding f JOIN record r USING (seq) WHERE "
	none := func(ledger.Filter) []any { return nil }
	return []question{
		{"bore", func(g *rand.Rand) ledger.Filter { return ledger.Filter{Bore: fmt.Sprintf("B-%06d", 1+g.IntN(3000))} },
			from + "r.bore = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Bore} }},
		{"person", func(g *rand.Rand) ledger.Filter { return ledger.Filter{Person: enginetest.ManyPerson(g.IntN(200))} },
			from + "r.person = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Person} }},
		{"role", func(*rand.Rand) ledger.Filter { return ledger.Filter{Role: "drill_operator"} },
			from + "r.role = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Role} }},
		{"kind", func(*rand.Rand) ledger.Filter { return ledger.Filter{Kind: ledger.KindReport} },
			from + "r.kind = $1" + pageSQL, func(f ledger.Filter) []any { return []any{string(f.Kind)} }},
		{"waivers", func(*rand.Rand) ledger.Filter { return ledger.Filter{Kind: ledger.KindWaive} },
			from + "r.kind = $1" + pageSQL, func(f ledger.Filter) []any { return []any{string(f.Kind)} }},
		{"check", func(g *rand.Rand) ledger.Filter { return ledger.Filter{Check: enginetest.ManyCheck(g.IntN(40))} },
			found + "f.check_id = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Check} }},
		{"check and status", func(g *rand.Rand) ledger.Filter {
			return ledger.Filter{Check: enginetest.ManyCheck(g.IntN(40)), Status: "fail"}
		},
			found + "f.check_id = $1 AND f.status = $2" + pageSQL, func(f ledger.Filter) []any { return []any{f.Check, f.Status} }},
		{"status", func(*rand.Rand) ledger.Filter { return ledger.Filter{Status: "waived"} },
			found + "f.status = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Status} }},
		{"county", func(g *rand.Rand) ledger.Filter { return ledger.Filter{Place: enginetest.ManyPlace(g.IntN(40))} },
			from + "r.place = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Place} }},
		{"state", func(*rand.Rand) ledger.Filter { return ledger.Filter{Place: "US-VA"} },
			from + "(r.place = $1 OR r.place LIKE $1 || '/%')" + pageSQL, func(f ledger.Filter) []any { return []any{f.Place} }},
		{"serial", func(g *rand.Rand) ledger.Filter { return ledger.Filter{Serial: enginetest.ManyReceiver(g.IntN(300))} },
			"SELECT r.body FROM serial s JOIN record r USING (seq) WHERE s.serial = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Serial} }},
		{"time", func(g *rand.Rand) ledger.Filter {
			d := day(g)
			return ledger.Filter{Since: d, Until: d.Add(6 * time.Hour)}
		},
			from + "r.logged >= $1 AND r.logged < $2" + timeSQL, func(f ledger.Filter) []any { return []any{f.Since, f.Until} }},
		{"voids", func(*rand.Rand) ledger.Filter { return ledger.Filter{Voids: true} }, from + "r.void <> ''" + pageSQL, none},
		{"loosened", func(*rand.Rand) ledger.Filter { return ledger.Filter{Loose: "ground.standoff"} },
			"SELECT r.body FROM loose l JOIN record r USING (seq) WHERE l.name = $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Loose} }},
		{"releases", func(*rand.Rand) ledger.Filter { return ledger.Filter{Release: true} }, from + "r.released" + pageSQL, none},
		{"fast", func(*rand.Rand) ledger.Filter { return ledger.Filter{Fast: 2} },
			from + "r.fast < $1" + pageSQL, func(f ledger.Filter) []any { return []any{f.Fast} }},
		{"person, check and status", func(g *rand.Rand) ledger.Filter {
			return ledger.Filter{Person: enginetest.ManyPerson(2 * g.IntN(100)), Check: enginetest.ManyCheck(g.IntN(40)), Status: "fail"}
		}, found + "f.check_id = $1 AND f.status = $2 AND r.person = $3" + pageSQL,
			func(f ledger.Filter) []any { return []any{f.Check, f.Status, f.Person} }},
		{"county, status and time", func(g *rand.Rand) ledger.Filter {
			d := day(g)
			return ledger.Filter{Place: enginetest.ManyPlace(g.IntN(40)), Status: "fail", Since: d, Until: d.AddDate(0, 0, 3)}
		}, found + "f.status = $1 AND r.place = $2 AND r.logged >= $3 AND r.logged < $4" + timeSQL,
			func(f ledger.Filter) []any { return []any{f.Status, f.Place, f.Since, f.Until} }},
	}
}

const asks = 300 // of each question, for its 99th percentile

// TestFigures measures the first page of 50 records, latest first, of every
// question on a ledger of BOLTSTORE_ROWS records, against PostgreSQL with an index
// for each on the same machine and data, and how fast the index is built. It runs
// with BOLTSTORE_FIGURES=1 alone: it takes minutes.
func TestFigures(t *testing.T) {
	if os.Getenv("BOLTSTORE_FIGURES") == "" {
		t.Skip("BOLTSTORE_FIGURES=1 runs it")
	}
	n := rowsAsked(t)
	start := time.Now()
	s := many(t, t.TempDir(), n)
	t.Logf("%d records written in %v, %d MB", n, time.Since(start).Round(time.Second), fileSize(t, s)>>20)
	start, used := time.Now(), processorTime(t)
	if err := s.Reindex(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	rate := float64(n) / time.Since(start).Seconds()
	t.Logf("index built in %v, %.0f records a second, with %v of processor time; %d MB",
		time.Since(start).Round(time.Second), rate, (processorTime(t) - used).Round(time.Second), fileSize(t, s)>>20)
	if rate < 20_000 {
		t.Errorf("the index is built at %.0f records a second, 20,000 wanted", rate)
	}
	pg := postgres(t, s)
	t.Logf("%-26s %28s %28s %10s", "question", "index p50, p99 ms", "PostgreSQL 15 p50, p99 ms", "rows")
	for _, q := range questions() {
		figure(t, s, pg, q)
	}
}

// processorTime is what this process has had so far: on a busy machine it says
// more than a clock on the wall.
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func fileSize(t *testing.T, s *Store) int64 {
	t.Helper()
	info, err := os.Stat(s.db.Path())
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}

func figure(t *testing.T, s *Store, pg func(q question, f ledger.Filter) ([]int64, error), q question) {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 7))
	var ours, theirs []time.Duration
	rows := 0
	for range asks {
		f := q.ask(rng)
		start := time.Now()
		var got []int64
		byIndex, err := s.Find(context.Background(), Query{Filter: f, Newest: true, Limit: 50}, func(r ledger.Record) error { got = append(got, r.Seq); return nil })
		ours = append(ours, time.Since(start))
		if err != nil || !byIndex && len(f.Clauses()) > 0 {
			t.Fatal(byIndex, err)
		}
		rows += len(got)
		if pg == nil {
			continue
		}
		start = time.Now()
		want, err := pg(q, f)
		theirs = append(theirs, time.Since(start))
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%s %+v: %v, PostgreSQL has %v, %v", q.name, f, got, want, err)
		}
	}
	a, b := percentiles(ours), "-"
	if pg != nil {
		b = fmt.Sprintf("%.3f, %.3f", percentiles(theirs)[0], percentiles(theirs)[1])
		if a[0] > percentiles(theirs)[0] {
			t.Errorf("%s: behind PostgreSQL", q.name)
		}
	}
	t.Logf("%-26s %28s %28s %10.1f", q.name, fmt.Sprintf("%.3f, %.3f", a[0], a[1]), b, float64(rows)/asks)
	if a[1] > 10 {
		t.Errorf("%s: p99 of %.1f ms, 10 wanted", q.name, a[1])
	}
}

// percentiles are the median and the 99th, in milliseconds.
func percentiles(d []time.Duration) [2]float64 {
	slices.Sort(d)
	ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
	return [2]float64{ms(d[len(d)/2]), ms(d[len(d)*99/100])}
}
