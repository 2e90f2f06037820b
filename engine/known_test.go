package engine_test

import (
	"slices"
	"testing"

	"firstrod/engine"
)

func TestLook(t *testing.T) {
	places := []string{"", "US-AZ", "US-MD", "US-TX", "US-VA", "US-VT", "US-VA/alder", "US-VA/alder/two-mills"}
	for _, c := range []struct {
		code, holds, near string
		doubtful          bool
	}{
		{code: ""},
		{code: "US-VA", holds: "US-VA"},
		{code: "US-VA/alder", holds: "US-VA/alder"},
		{code: "US-VA/aldr", holds: "US-VA", near: "US-VA/alder", doubtful: true},
		{code: "US-VA/alder-county", holds: "US-VA", near: "US-VA/alder", doubtful: true},
		{code: "US-VA/two-mills", holds: "US-VA", near: "US-VA/alder/two-mills", doubtful: true},
		{code: "US-VA/brandy", holds: "US-VA", doubtful: true},
		{code: "US-VA/alder/two-mils", holds: "US-VA/alder", near: "US-VA/alder/two-mills", doubtful: true},
		{code: "US-VA/alder/two-mills/old-town", holds: "US-VA/alder/two-mills"},
		{code: "US-WA/alder", near: "US-VA/alder", doubtful: true},
		{code: "US-MD/alder", holds: "US-MD", near: "US-VA/alder", doubtful: true}, // the state may be the slip
		{code: "US-MD/kent-island", holds: "US-MD"},
		{code: "US-XX", near: "US-TX", doubtful: true},
		{code: "US-VX", doubtful: true}, // two states are as near
		{code: "VA", near: "US-VA", doubtful: true},
		{code: "US", doubtful: true},
		{code: "MX-SON", doubtful: true},
	} {
		k := engine.Look(places, c.code)
		if k.Holds != c.holds || k.Near != c.near || k.Doubtful() != c.doubtful {
			t.Errorf("%q: %+v, doubtful %v", c.code, k, k.Doubtful())
		}
	}
	if k := engine.Look([]string{""}, "US-VA/aldr"); k.Doubtful() {
		t.Errorf("no place has rules of its own, and still: %+v", k)
	}
	if k := engine.Look(places, "US-VA/brandy"); !slices.Equal(k.Others, []string{"US-VA/alder", "US-VA/alder/two-mills"}) {
		t.Errorf("known beside it: %v", k.Others)
	}
}
