package engine

import (
	"slices"
	"testing"
	"time"

	"firstrod/engine/quantity"
)

// A reading that was given when the rules asked for one alone counts as the one
// reading that it is; an answer of any other kind is asked for again.
func TestOneReadingIsAListOfOne(t *testing.T) {
	ask := Ask{ID: "near_reading", Check: "a.b", Kind: quantity.Lengths}
	cat := NewCatalogue("", "", nil, []*Check{{ID: "a.b", Asks: []Ask{ask}}}, nil)
	look := func(given quantity.Value) (any, []string) {
		b := newBore("x")
		b.facts["near_reading"] = &Given{Key: "near_reading", Value: given}
		got, missing, err := (&view{bore: b, cat: cat, now: time.Unix(0, 0)}).fact("near_reading", "")
		if err != nil {
			t.Fatal(err)
		}
		return got, missing
	}
	if got, _ := look(quantity.Of(quantity.Length, 1_524_000)); !slices.Equal(got.([]int64), []int64{1_524_000}) {
		t.Errorf("%v", got)
	}
	if _, missing := look(quantity.Of(quantity.Percent, 1)); !slices.Equal(missing, []string{"near_reading"}) {
		t.Errorf("another kind: missing %v", missing)
	}
}
