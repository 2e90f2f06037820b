package audit

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

func at(minutes int) time.Time {
	return time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC).Add(time.Duration(minutes) * time.Minute)
}

// job is a bore from its opening to its end, as its records would be.
func job() []ledger.Record {
	dana, luis := &ledger.Actor{ID: "p_1", Role: "locating_hand"}, &ledger.Actor{ID: "p_2", Role: "drill_operator"}
	return []ledger.Record{
		{Seq: 3, Kind: ledger.KindOpen, Bore: "OR-4", Ver: 1, At: at(0), By: dana, State: "open", Rules: "0123456789ab",
			Open:     &ledger.Opening{Title: "OR-4", Zone: "America/Phoenix", Place: "Otter Run", Jurisdiction: "US-AZ"},
			Findings: map[string][]string{"needs": {"a.b", "a.c@9500"}}},
		{Seq: 4, Kind: ledger.KindAnswer, Bore: "OR-4", Ver: 2, At: at(1), By: dana, State: "open",
			Facts:    []ledger.Fact{{Key: "near_reading@9500", Kind: "length", Typed: "5 ft", Value: "1524000", Unit: "um"}},
			Findings: map[string][]string{"fail": {"a.b"}, "pass": {"a.c@9500"}}},
		{Seq: 6, Kind: ledger.KindWaive, Bore: "OR-4", Ver: 3, At: at(200), By: luis, State: "open", Check: "a.b", Why: "seen \x1b[2J by hand",
			Findings: map[string][]string{"waived": {"a.b"}}},
		{Seq: 7, Kind: ledger.KindSign, Bore: "OR-4", Ver: 4, At: at(202), By: luis, State: "released", Sign: &ledger.Sign{Meaning: "I stand by it."},
			Release: &ledger.Release{Until: at(600), Signers: []ledger.Actor{*dana, *luis}, Checks: 2, Waived: []string{"a.b"}, Loose: []string{"ground.standoff"}}},
		{Seq: 9, Kind: ledger.KindReport, Bore: "OR-4", Ver: 5, At: at(203), By: dana, State: "held", Event: "hard_hit", Why: "rod 9", Void: engine.VoidReport,
			Drops: []string{"near_reading@9500"}},
		{Seq: 10, Kind: ledger.KindUndo, Bore: "OR-4", Ver: 6, At: at(204), By: dana, State: "held", Drops: []string{"x"}},
		{Seq: 11, Kind: ledger.KindHold, Bore: "OR-4", Ver: 7, At: at(205), By: dana, State: "held", Why: "storm"},
		{Seq: 12, Kind: ledger.KindRefused, Bore: "OR-4", Ver: 8, At: at(206), By: dana, State: "held", Typed: "sign", Why: "not now"},
		{Seq: 13, Kind: ledger.KindShown, Bore: "OR-4", Ver: 9, At: at(207), By: dana, State: "held",
			Shown: []ledger.File{{Name: "../../etc/passwd", Type: "image/png", Size: 9, Sum: "abcdef0123456789"}}},
		{Seq: 14, Kind: ledger.KindClose, Bore: "OR-4", Ver: 10, At: at(3 * 24 * 60), By: luis, State: "closed"},
	}
}

const wantStory = `07:00 Dana, locating hand [3] opened the bore at Otter Run, under the rules of US-AZ (rules 01234567, 2 findings)
07:01 Dana, locating hand [4] near mark [9.5 kHz]: 5 ft (1.52 m) | DOES NOT HOLD: Metal is far (a.b) | holds: a.c [9.5 kHz]
07:01  [6] nothing is recorded for 3 h 19 min
10:20 p_2, drill operator [6] waived Metal is far (a.b): "seen \x1b[2J by hand" | WAIVED: Metal is far (a.b)
10:22 p_2, drill operator [7] signed: "I stand by it." | READY TO DRILL until 2026-03-02 17:00; 2 findings hold; signed by Dana, locating hand and p_2, drill operator; waived: Metal is far (a.b); looser than the base: ground.standoff | the bore was open and is now released
10:23 Dana, locating hand [9] reported hard hit: "rod 9" | to be given again: near mark [9.5 kHz] | RELEASE VOID: something was reported | the bore was released and is now held
10:24 Dana, locating hand [10] took the last answer back: x
10:25 Dana, locating hand [11] stopped the bore: "storm"
10:26 Dana, locating hand [12] typed "sign" and was refused: "not now"
10:27 Dana, locating hand [13] showed "../../etc/passwd" (image/png, 9 bytes, SHA-256 abcdef01)
10:27  [14] nothing is recorded for 2 days 20 h
07:00 p_2, drill operator [14] closed the bore | the bore was held and is now closed
`

func TestStory(t *testing.T) {
	known := func(m map[string]string) func(string) string { return func(id string) string { return m[id] } }
	s := NewStory(Words{
		Person: known(map[string]string{"p_1": "Dana"}), Ask: known(map[string]string{"near_reading": "near mark"}),
		Check: known(map[string]string{"a.b": "Metal is far"}),
	}, 2*time.Hour, nil)
	var got strings.Builder
	for _, r := range job() {
		for _, m := range s.Tell(r) {
			fmt.Fprintf(&got, "%s %s [%d] %s\n", m.At.Format("15:04"), m.Who, m.Record, strings.Join(m.What, " | "))
		}
	}
	if got.String() != wantStory {
		t.Errorf("got\n%s\nwant\n%s", got.String(), wantStory)
	}
}

// Every reason that a release can end for has words.
func TestVoidsHaveWords(t *testing.T) {
	for _, v := range engine.Voids() {
		if Void(v) == plain(v) {
			t.Errorf("%q has none", v)
		}
	}
}

func TestTally(t *testing.T) {
	for by, names := range map[By]string{ByAll: "", ByCrew: "p_1+p_2", ByMonth: "2026-03", ByPlace: "US-AZ"} {
		tally := NewTally(by)
		for _, r := range job() {
			tally.Add(r)
		}
		g := tally.Groups()
		if len(g) != 1 || g[0].Name != names || g[0].Bores != 1 || g[0].Releases != 1 || g[0].Voids["reported"] != 1 {
			t.Fatalf("%q: %+v", by, g)
		}
		// 202 minutes from opening to release, by hand.
		if m := g[0].Median * 60; m < 201.99 || m > 202.01 {
			t.Errorf("%q: %v minutes", by, m)
		}
		want := "[{a.b 1 0 0 1 0} {a.c 1 1 1 0 0}]"
		if got := fmt.Sprint(g[0].Checks); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// Only the first judgement of a finding is its first.
func TestFirstTimeIsOnce(t *testing.T) {
	tally := NewTally(ByAll)
	for i, status := range []string{"needs", "exempt", "fail", "pass", "fail", "broken"} {
		tally.Add(ledger.Record{Kind: ledger.KindAnswer, Bore: "b", Ver: int64(i) + 1, At: at(i), Findings: map[string][]string{status: {"a.b@1"}}})
	}
	if got := fmt.Sprint(tally.Groups()[0].Checks); got != "[{a.b 1 0 0 2 1}]" {
		t.Error(got)
	}
}

// Nearest rank, on the example that the percentile article of an encyclopedia
// works out: 15, 20, 35, 40, 50 (from memory).
func TestRanks(t *testing.T) {
	v := []float64{15, 20, 35, 40, 50}
	for p, want := range map[int]float64{5: 15, 30: 20, 40: 20, 50: 35, 90: 50, 100: 50} {
		if got := rank(v, p); got != want {
			t.Errorf("%d: %v, want %v", p, got, want)
		}
	}
	if median(v) != 35 || median(v[:4]) != 27.5 || median(nil) != 0 || rank(nil, 90) != 0 {
		t.Error("median")
	}
}
