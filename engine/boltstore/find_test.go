package boltstore

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

// The small worlds that random ledgers are made of, so that filters meet.
var (
	people   = []string{"p_1", "p_2", "p_3"}
	roles    = []string{"locating_hand", "drill_operator"}
	checks   = []string{"ground.metal_baseline", "gear.serials", "verification.near_mark"}
	statuses = []string{"pass", "fail", "needs", "broken", "waived", "exempt"}
	places   = []string{"", "US", "US-VA", "US-VA/alder", "US-VT", "CA"}
	serials  = []string{"R-114", "r-115", "T-27\x00x"}
	revs     = []string{"rev-aaaaaaaaaaaaaaaaaaaa1", "rev-aaaaaaaaaaaaaaaaaaaa2", "rev-b"}
	voids    = []string{"reported", "hold"}
	loose    = []string{"ground.standoff", "verification.tolerance"}
)

// randomRecord is a record that a store takes; what rules and people say of it
// is not its concern.
func randomRecord(t *rapid.T, bore string, ver int64, key string, at time.Time) ledger.Record {
	r := enginetest.Answer(bore, ver, key).Record
	r.At = at
	pick := func(from []string, name string) string { return rapid.SampledFrom(from).Draw(t, name) }
	often := func(name string) bool { return rapid.IntRange(0, 3).Draw(t, name) == 0 }
	if ver == 1 {
		r.Open.Jurisdiction = pick(places, "place")
	} else {
		r.Kind = rapid.SampledFrom([]ledger.Kind{ledger.KindAnswer, ledger.KindAnswer, ledger.KindWaive, ledger.KindSign, ledger.KindHold}).Draw(t, "kind")
	}
	if !often("nobody") {
		r.By = &ledger.Actor{ID: pick(people, "by"), Role: pick(roles, "role")}
	}
	r.Rules = pick(revs, "rules")
	for range rapid.IntRange(0, 2).Draw(t, "findings") {
		if r.Findings == nil {
			r.Findings = map[string][]string{}
		}
		s := pick(statuses, "status")
		r.Findings[s] = append(r.Findings[s], pick(checks, "check")+pick([]string{"", "@9500", "@22000"}, "subject"))
	}
	if often("gone") {
		r.Gone = []string{pick(checks, "gone check")}
	}
	if often("serial") {
		r.Facts = []ledger.Fact{{Key: "receiver_serial", Kind: "serial", Typed: "x", Value: pick(serials, "serial no")}}
	}
	if often("void") {
		r.Void = pick(voids, "why")
	}
	if often("release") {
		r.Release = &ledger.Release{Until: at.Add(time.Hour), Loose: rapid.SliceOfN(rapid.SampledFrom(loose), 0, 2).Draw(t, "loose")}
	}
	return r
}

func randomFilter(t *rapid.T, from, to time.Time) ledger.Filter {
	var f ledger.Filter
	maybe := func(name string, set func()) {
		if rapid.IntRange(0, 4).Draw(t, name) == 0 {
			set()
		}
	}
	pick := func(of []string) string { return rapid.SampledFrom(of).Draw(t, "of") }
	moment := func() time.Time {
		return from.Add(time.Duration(rapid.Int64Range(-int64(time.Second), int64(to.Sub(from))+int64(time.Second)).Draw(t, "moment")))
	}
	maybe("bore", func() { f.Bore = pick([]string{"b1", "b2", "b3", "none"}) })
	maybe("since", func() { f.Since = moment() })
	maybe("until", func() { f.Until = moment() })
	maybe("person", func() { f.Person = pick(people) })
	maybe("role", func() { f.Role = pick(roles) })
	maybe("kind", func() { f.Kind = ledger.Kind(pick([]string{"answer", "open", "waive", "start"})) })
	maybe("check", func() { f.Check = pick(checks) + pick([]string{"", "", "@9500"}) })
	maybe("status", func() { f.Status = pick(append(slices.Clone(statuses), "gone")) })
	maybe("place", func() { f.Place = pick([]string{"US", "US-VA", "US-VA/alder", "CA", "US-V"}) })
	maybe("rules", func() { f.Rules = pick([]string{"rev", "rev-aaaaaaaaaaaaaaaaaaaa1", "rev-b", "x"}) })
	maybe("serial", func() { f.Serial = pick([]string{"r-114", "R-115", "T-27\x00x", "T-27"}) })
	maybe("void", func() { f.Void = pick(voids) })
	maybe("voids", func() { f.Voids = true })
	maybe("loose", func() { f.Loose = pick(loose) })
	maybe("looser", func() { f.Looser = true })
	maybe("release", func() { f.Release = true })
	maybe("fast", func() { f.Fast = rapid.IntRange(1, 10).Draw(t, "seconds") })
	if f.Valid() != nil {
		f.Since, f.Until = time.Time{}, time.Time{}
	}
	return f
}

// plainly is the filter once more, on the fields of a record themselves and
// without terms; prev is the bore's record before, place what it was opened with.
func plainly(f ledger.Filter, r ledger.Record, prev *ledger.Record, place string) bool {
	became := false
	for status, keys := range r.Findings {
		for _, k := range keys {
			became = became || oneFinding(f, k, status)
		}
	}
	for _, k := range r.Gone {
		became = became || oneFinding(f, k, "gone")
	}
	below := f.Place == "" || place == f.Place || strings.HasPrefix(place, f.Place+"/") || len(f.Place) == 2 && strings.HasPrefix(place, f.Place+"-")
	serial := f.Serial == "" || slices.ContainsFunc(r.Facts, func(x ledger.Fact) bool { return x.Kind == "serial" && strings.EqualFold(x.Value, f.Serial) })
	fast := f.Fast == 0 || r.Kind == ledger.KindAnswer && prev != nil && prev.By != nil && r.By != nil && prev.By.ID == r.By.ID &&
		!r.At.Before(prev.At) && r.At.Sub(prev.At) < time.Duration(f.Fast)*time.Second
	return (f.Bore == "" || r.Bore == f.Bore) && (f.Since.IsZero() || !r.Logged.Before(f.Since)) && (f.Until.IsZero() || r.Logged.Before(f.Until)) &&
		(f.Person == "" || r.By != nil && r.By.ID == f.Person) && (f.Role == "" || r.By != nil && r.By.Role == f.Role) &&
		(f.Kind == "" || r.Kind == f.Kind) && (f.Check == "" && f.Status == "" || became) && below && strings.HasPrefix(r.Rules, f.Rules) &&
		serial && fast && (f.Void == "" || r.Void == f.Void) && (!f.Voids || r.Void != "") &&
		(f.Loose == "" || r.Release != nil && slices.Contains(r.Release.Loose, f.Loose)) &&
		(!f.Looser || r.Release != nil && len(r.Release.Loose) > 0) && (!f.Release || r.Release != nil)
}

func oneFinding(f ledger.Filter, key, status string) bool {
	check, _, _ := strings.Cut(key, "@")
	return (f.Status == "" || f.Status == status) && (f.Check == "" || f.Check == key || f.Check == check)
}

// randomLedger writes some records and gives them with what came before each.
func randomLedger(t *rapid.T, s *Store, clock *time.Time) (rows []ledger.Record, prev map[int64]*ledger.Record, place map[string]string) {
	at := *clock
	prev, place = map[int64]*ledger.Record{}, map[string]string{}
	last := map[string]*ledger.Record{}
	for i := range rapid.IntRange(1, 60).Draw(t, "records") {
		bore := rapid.SampledFrom([]string{"b1", "b2", "b3"}).Draw(t, "bore")
		ver := int64(1)
		if last[bore] != nil {
			ver = last[bore].Ver + 1
		}
		at = at.Add(time.Duration(rapid.IntRange(0, 4000).Draw(t, "ms")) * time.Millisecond)
		*clock = at
		r := randomRecord(t, bore, ver, fmt.Sprint("k", i), at)
		receipt, err := s.Append(context.Background(), ledger.Entry{Record: r})
		if err != nil {
			t.Fatal(err)
		}
		r.Seq, r.Logged = receipt.Seq, at
		rows = append(rows, r)
		if r.Open != nil {
			place[bore] = r.Open.Jurisdiction
		}
		prev[r.Seq] = last[bore]
		last[bore] = &r
	}
	return rows, prev, place
}

func numbers(t *rapid.T, s *Store, q Query, byIndex bool) (out []int64) {
	by, err := s.Find(context.Background(), q, func(r ledger.Record) error { out = append(out, r.Seq); return nil })
	if err != nil || by != byIndex && len(q.Clauses()) > 0 {
		t.Fatalf("by index %v, want %v: %v", by, byIndex, err)
	}
	return out
}

// Whatever is asked of whatever ledger, the index gives what reading every
// record gives, in either order, in pages of any size, also after it was thrown
// away and built again; and what it gives while it is away.
func TestFindIsAPlainFilter(t *testing.T) {
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		clock := time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)
		begin := clock
		s, err := Open(filepath.Join(dir, fmt.Sprint(n)), Options{Clock: func() time.Time { return clock }})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		rows, prev, place := randomLedger(t, s, &clock)
		type asked struct {
			q    Query
			want []int64
		}
		var all []asked
		for range 12 {
			q := Query{Filter: randomFilter(t, begin, clock), Newest: rapid.Bool().Draw(t, "newest"), Limit: rapid.IntRange(0, 5).Draw(t, "limit")}
			var want []int64
			for _, r := range rows {
				if plainly(q.Filter, r, prev[r.Seq], place[r.Bore]) {
					want = append(want, r.Seq)
				}
			}
			// The record that starts the log is found by time and kind alone.
			if f := q.Filter; ledgerStart(f, begin) {
				want = append([]int64{0}, want...)
			}
			if q.Newest {
				slices.Reverse(want)
			}
			all = append(all, asked{q, want})
		}
		ask := func(byIndex bool) {
			for _, a := range all {
				if got := paged(t, s, a.q, byIndex); !slices.Equal(got, a.want) {
					t.Fatalf("%+v: %v, want %v", a.q, got, a.want)
				}
			}
		}
		ask(true)
		if err := s.DropTerms(context.Background()); err != nil {
			t.Fatal(err)
		}
		ask(false)
		if err := s.Reindex(context.Background(), nil); err != nil {
			t.Fatal(err)
		}
		ask(true)
	})
}

func ledgerStart(f ledger.Filter, at time.Time) bool {
	g := f
	g.Since, g.Until, g.Kind = time.Time{}, time.Time{}, ""
	return g == ledger.Filter{} && (f.Kind == "" || f.Kind == ledger.KindStart) && !at.Before(f.Since) && (f.Until.IsZero() || at.Before(f.Until))
}

// paged puts the pages of a query together.
func paged(t *rapid.T, s *Store, q Query, byIndex bool) (all []int64) {
	for {
		some := numbers(t, s, q, byIndex)
		all = append(all, some...)
		if q.Limit == 0 || len(some) < q.Limit {
			return all
		}
		last := some[len(some)-1]
		q.After = &last
	}
}

func TestFindRefuses(t *testing.T) {
	s := open(t, t.TempDir())
	for _, f := range []ledger.Filter{{Kind: "poem"}, {Status: "maybe"}, {Fast: 11}, {Fast: -1}, {Since: time.Unix(9, 0), Until: time.Unix(9, 0)}} {
		_, err := s.Find(t.Context(), Query{Filter: f}, func(ledger.Record) error { return nil })
		wantKind(t, err, engine.Usage)
	}
	stop := errors.New("enough")
	if _, err := s.Find(t.Context(), Query{}, func(ledger.Record) error { return stop }); !errors.Is(err, stop) {
		t.Error(err)
	}
}
