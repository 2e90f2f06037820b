package rules

import (
	"context"
	"errors"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

// All faults of a stage are listed, in file order, each with its place.
func TestFaultsListsEachByItself(t *testing.T) {
	m := fixture()
	for _, edit := range []func(testing.TB, fstest.MapFS){
		change(metal, "severity: stop", "sevrity: stop"),
		change("params.yaml", `"30 ft"`, `"30"`),
		change("gear/noise.rego", `title: "Title of noise"`, "title: 12.10"),
	} {
		edit(t, m)
	}
	_, err := Load(context.Background(), m, Options{})
	var places []string
	for _, f := range Faults(err) {
		places = append(places, f.Place())
		if f.Say == "" {
			t.Errorf("%+v says nothing", f)
		}
	}
	want := []string{"gear/noise.rego:2", "ground/metal.rego:8", "ground/metal.rego:10", "params.yaml:4"}
	if len(places) != len(want) {
		t.Fatalf("%q", places)
	}
	for i := range want {
		if places[i] != want[i] {
			t.Errorf("%q, want %q", places, want)
		}
	}
	if _, ok := errors.AsType[*engine.Error](err); !ok || engine.KindOf(err) != engine.Rules {
		t.Errorf("not an error of ours: %v", err)
	}
}

func TestOneFaultHasItsPlaceAndHint(t *testing.T) {
	m := fixture()
	body("_a := _b\n\n_b := _a\n\npass if input.metal_distance > _a\n")(t, m)
	_, err := Load(context.Background(), m, Options{})
	all := Faults(err)
	if len(all) != 2 || all[0].Hint == "" || all[0].Place() != "ground/metal.rego:36" {
		t.Errorf("%+v", all)
	}
	if all := Faults(errors.New("another")); all != nil {
		t.Errorf("%+v", all)
	}
}

// The stock engine takes a ref for an address: RFC 3986, section 4.2, a first
// segment with a colon in it is none.
func TestRefMustSuitTheStockEngine(t *testing.T) {
	for _, ref := range []string{"20 VAC 5: 309", "100 % of it"} {
		m := fixture()
		swap(t, m, metal, `ref: "common practice, no source"`, `ref: "`+ref+`"`)
		_, err := Load(context.Background(), m, Options{})
		if all := Faults(err); len(all) != 1 || all[0].Place() != "ground/metal.rego:5" {
			t.Errorf("%q: %v", ref, err)
		}
	}
}
