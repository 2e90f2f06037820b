package keep_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/keep"
	"firstrod/engine/ledger"
)

// records is a ledger in memory.
type records []ledger.Record

func (l records) Records(_ context.Context, _ int64, fn func(ledger.Record) error) error {
	for _, r := range l {
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

func day(year int) time.Time { return time.Date(year, 5, 4, 12, 0, 0, 0, time.UTC) }

var (
	photo  = strings.Repeat("a", 64)
	shared = strings.Repeat("b", 64)
)

// told is two bores: b1 closed in 2020, b2 in 2024; a file is shown on both. p_sign
// signed on b1, p_talk only spoke on b2, p_mute was introduced and never spoke.
func told() records {
	by := func(id string) *ledger.Actor { return &ledger.Actor{ID: id, Role: "foreman"} }
	return records{
		{Kind: ledger.KindPerson, Logged: day(2019), Person: &ledger.Person{ID: "p_sign"}},
		{Kind: ledger.KindPerson, Logged: day(2019), Person: &ledger.Person{ID: "p_talk"}},
		{Kind: ledger.KindPerson, Logged: day(2019), Person: &ledger.Person{ID: "p_mute"}},
		{Kind: ledger.KindSign, Bore: "b1", Logged: day(2020), By: by("p_sign")},
		{Kind: ledger.KindShown, Bore: "b1", Logged: day(2020), By: by("p_sign"), Shown: []ledger.File{{Sum: photo}, {Sum: shared}}},
		{Kind: ledger.KindClose, Bore: "b1", Logged: day(2020), By: by("p_sign")},
		{Kind: ledger.KindShown, Bore: "b2", Logged: day(2023), By: by("p_talk"), Shown: []ledger.File{{Sum: shared}}},
		{Kind: ledger.KindClose, Bore: "b2", Logged: day(2024), By: by("p_talk")},
	}
}

func hold(by string, h ledger.LegalHold) ledger.Record {
	return ledger.Record{Kind: ledger.KindLegalHold, By: &ledger.Actor{ID: by}, Why: "a claim", LegalHold: &h}
}

func look(t *testing.T, l records) *keep.Survey {
	t.Helper()
	s, err := keep.Look(t.Context(), l)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestWhatIsPastItsTime(t *testing.T) {
	list := func(l records, rule keep.Rule, year int) (out []string) {
		for _, d := range look(t, l).Past(rule, day(year)) {
			held := ""
			if d.Held {
				held = " held"
			}
			out = append(out, d.Person+d.Bore+strings.Repeat("+", len(d.Sums))+held)
		}
		return out
	}
	heldBore := append(told(), hold("p_1", ledger.LegalHold{Bore: "b1"}))
	removed := append(told(), ledger.Record{Kind: ledger.KindRemoved, Removed: &ledger.Removed{Bore: "b1", Sums: []string{photo}}})
	for name, c := range map[string]struct {
		l    records
		rule keep.Rule
		year int
		want []string
	}{
		"for ever":                     {told(), keep.Rule{}, 2999, nil},
		"names of 5 years":             {told(), keep.Rule{Names: 5}, 2025, []string{"p_mute", "p_sign"}},
		"to the day":                   {told(), keep.Rule{Names: 6}, 2025, []string{"p_mute"}},
		"evidence of one bore":         {told(), keep.Rule{Evidence: 5}, 2025, []string{"b1+"}},
		"a file of two waits for both": {told(), keep.Rule{Evidence: 5}, 2029, []string{"b1++", "b2+"}},
		"a hold on the bore":           {heldBore, keep.Rule{Names: 5, Evidence: 5}, 2029, []string{"p_mute", "p_sign held", "p_talk", "b1++ held", "b2+ held"}},
		"removed already":              {removed, keep.Rule{Evidence: 5}, 2025, nil},
		"an open bore is never past":   {told()[:5], keep.Rule{Evidence: 1}, 2999, nil},
	} {
		if got := list(c.l, c.rule, c.year); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

func TestWhoMayBeErased(t *testing.T) {
	end := ledger.LegalHold{Person: "p_talk", Release: true}
	held := slices.Clip(append(told(), hold("p_1", ledger.LegalHold{Person: "p_talk"})))
	for name, c := range map[string]struct {
		l    records
		id   string
		rule keep.Rule
		year int
		no   string // part of why not; empty: may
	}{
		"never signed":           {told(), "p_talk", keep.Rule{}, 2024, ""},
		"signed, for ever":       {told(), "p_sign", keep.Rule{}, 2999, "kept for ever"},
		"signed, too early":      {told(), "p_sign", keep.Rule{Names: 7}, 2026, "until 2027-05-04"},
		"signed, time over":      {told(), "p_sign", keep.Rule{Names: 7}, 2027, ""},
		"held":                   {held, "p_talk", keep.Rule{}, 2024, "under a legal hold"},
		"one voice":              {append(held, hold("p_1", end)), "p_talk", keep.Rule{}, 2024, "under a legal hold"},
		"one voice twice":        {append(held, hold("p_1", end), hold("p_1", end)), "p_talk", keep.Rule{}, 2024, "under a legal hold"},
		"two voices":             {append(held, hold("p_1", end), hold("p_2", end)), "p_talk", keep.Rule{}, 2024, ""},
		"held again":             {append(held, hold("p_1", end), hold("p_3", ledger.LegalHold{Person: "p_talk"}), hold("p_2", end)), "p_talk", keep.Rule{}, 2024, "under a legal hold"},
		"the bore is held":       {append(told(), hold("p_1", ledger.LegalHold{Bore: "b2"})), "p_talk", keep.Rule{}, 2024, "acted on bore b2"},
		"another bore is held":   {append(told(), hold("p_1", ledger.LegalHold{Bore: "b1"})), "p_talk", keep.Rule{}, 2024, ""},
		"nobody of that id":      {told(), "p_none", keep.Rule{}, 2024, "nobody in this ledger"},
		"held, though time over": {append(told(), hold("p_1", ledger.LegalHold{Bore: "b1"})), "p_sign", keep.Rule{Names: 1}, 2999, "acted on bore b1"},
	} {
		err := look(t, slices.Clone(c.l)).MayErase(c.id, c.rule, day(c.year))
		if (err == nil) != (c.no == "") || err != nil && !strings.Contains(err.Error(), c.no) {
			t.Errorf("%s: %v, want %q", name, err, c.no)
		}
		if err != nil && c.id != "p_none" && engine.KindOf(err) != engine.Forbidden {
			t.Errorf("%s: kind %s", name, engine.KindOf(err))
		}
	}
}
