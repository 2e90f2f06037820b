package ledger

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

func termList(ts []Term) string {
	var out []string
	for _, t := range ts {
		out = append(out, t.Field+":"+t.Value)
	}
	return strings.Join(out, " ")
}

func TestTerms(t *testing.T) {
	at := time.Date(2026, 3, 2, 7, 0, 10, 0, time.UTC)
	before := Trail{Place: "US-VA/alder", By: "p_1", At: at.Add(-1500 * time.Millisecond)}
	hand := &Actor{ID: "p_1", Role: "locating_hand"}
	long := strings.Repeat("x", 200)
	cases := map[string]struct {
		r    Record
		want string
	}{
		"start": {Record{Kind: KindStart}, "kind:start"},
		"person": {Record{Kind: KindPerson, By: hand, Person: &Person{ID: "p_2"}},
			"kind:person person:p_1 role:locating_hand person:p_2"},
		"opened": {Record{Kind: KindOpen, Bore: "b", At: at, Open: &Opening{Jurisdiction: "US-VT"}, Rules: "0123456789abcdef01"},
			"kind:open rules:0123456789abcdef place:US-VT"},
		"opened under the base": {Record{Kind: KindOpen, Bore: "b", Open: &Opening{}}, "kind:open"},
		"fast answer": {Record{Kind: KindAnswer, Bore: "b", At: at, By: hand,
			Facts:    []Fact{{Kind: "serial", Value: "r-1"}, {Kind: "serial", Value: "R-1"}, {Kind: "text", Value: "R-2"}},
			Findings: map[string][]string{"pass": {"a.b@1", "a.b@2"}, "fail": {"a.c"}}, Gone: []string{"a.d@9"}},
			"kind:answer person:p_1 role:locating_hand place:US-VA/alder serial:R-1 fast:1 finding:a.b=pass finding:a.c=fail finding:a.d=gone"},
		"answer of another person": {Record{Kind: KindAnswer, Bore: "b", At: at, By: &Actor{ID: "p_9"}}, "kind:answer person:p_9 place:US-VA/alder"},
		"slow answer":              {Record{Kind: KindAnswer, Bore: "b", At: at.Add(MaxFast), By: hand}, "kind:answer person:p_1 role:locating_hand place:US-VA/alder"},
		"no answer":                {Record{Kind: KindHold, Bore: "b", At: at, By: hand}, "kind:hold person:p_1 role:locating_hand place:US-VA/alder"},
		"clock stepped back":       {Record{Kind: KindAnswer, Bore: "b", At: at.Add(-time.Hour), By: hand}, "kind:answer person:p_1 role:locating_hand place:US-VA/alder"},
		"released": {Record{Kind: KindSign, Bore: "b", Release: &Release{Loose: []string{"x", "y", "x"}}},
			"kind:sign place:US-VA/alder release:yes loose:x loose:y"},
		"moved":    {Record{Kind: KindMoved, Bore: "b", Moved: &Moved{Jurisdiction: "US-VT"}}, "kind:moved place:US-VT"},
		"rules":    {Record{Kind: KindRules, Rules: "r", Pack: &Pack{Place: "US-VT"}}, "kind:rules rules:r place:US-VT"},
		"void":     {Record{Kind: KindReport, Bore: "b", Void: "reported"}, "kind:report place:US-VA/alder void:reported"},
		"odd text": {Record{Kind: KindAnswer, Facts: []Fact{{Kind: "serial", Value: "a\x00b"}, {Kind: "serial", Value: long}}}, ""},
	}
	for name, tt := range cases {
		got := Terms(tt.r, before)
		if tt.want != "" && termList(got) != tt.want {
			t.Errorf("%s:\n%s, want\n%s", name, termList(got), tt.want)
		}
		for _, term := range got {
			if strings.ContainsRune(term.Value, 0) || len(term.Value) > longestValue || term.Value == "" {
				t.Errorf("%s: %q cannot be a key", name, term)
			}
		}
		slices.SortFunc(got, func(a, b Term) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		if len(slices.Compact(got)) != len(got) {
			t.Errorf("%s: a term comes twice", name)
		}
	}
}

func TestWithin(t *testing.T) {
	for _, tt := range []struct {
		place, in string
		want      bool
	}{
		{"US-VA", "US-VA", true}, {"US-VA/alder", "US-VA", true}, {"US-VA", "US", true}, {"US-VA/alder", "US", true},
		{"US-VAX", "US-VA", false}, {"US-VA/alder-creek", "US-VA/alder", false}, {"US", "US-VA", false}, {"", "US", false},
	} {
		if got := within(tt.place, tt.in); got != tt.want {
			t.Errorf("%q in %q: %v", tt.place, tt.in, got)
		}
	}
}
