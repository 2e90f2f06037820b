package rules

import (
	"context"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"firstrod/engine"
)

// realLayers is the base and the local packs as they lie on disk.
func realLayers(t testing.TB) Layers {
	t.Helper()
	l, err := LayersIn(os.DirFS("../../policies"))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func realBook(t testing.TB) *Book {
	t.Helper()
	l := realLayers(t)
	pinned, err := IDs(l.Base)
	if err != nil {
		t.Fatal(err)
	}
	b, err := LoadBook(context.Background(), l, Options{Pinned: pinned})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestLocalPacksLoad(t *testing.T) {
	b := realBook(t)
	for _, n := range b.Notes() {
		t.Error(n)
	}
	// 50 states and the District of Columbia, the base and the county.
	if n := len(b.Places()); n != 53 {
		t.Errorf("%d places", n)
	}
	base := b.Set("", 0).Catalogue()
	for _, place := range b.Places() {
		cat := b.Set(place, 0).Catalogue()
		for _, c := range base.Checks {
			if _, ok := cat.Check(c.ID); !ok {
				t.Errorf("%s loses %s", place, c.ID)
			}
		}
	}
	if n := len(b.Set("US-VA", 0).Catalogue().Checks) - len(base.Checks); n != 7 {
		t.Errorf("Virginia adds %d checks", n)
	}
}

// Each local pack's tests pass, reach every line, and notice every slip.
func TestLocalPacksNoticeEverySlip(t *testing.T) {
	for _, p := range realBook(t).Packs() {
		r, err := TestLocal(context.Background(), realLayers(t), p.Code)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range r.Checks {
			if !c.OK() {
				t.Errorf("%s: %s: failed %v, uncovered %v, lacks %v", p.Code, c.ID, c.Failed, c.Uncovered, c.Lacks)
			}
		}
		slips, err := MutateLocal(context.Background(), realLayers(t), p.Code, MutateOptions{Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range slips.Survivors {
			t.Errorf("%s:%s", m.File, m)
		}
		if !r.OK() || slips.Err() != nil || slips.Killed < 5 || slips.Refused != 0 {
			t.Errorf("%s: %d noticed of %d, %d cannot be loaded", p.Code, slips.Killed, slips.Total(), slips.Refused)
		}
	}
}

// The stock engine takes each local pack with the base, as it lies on disk.
func TestLocalPacksSuitTheStockEngine(t *testing.T) {
	for _, p := range realBook(t).Packs() {
		texts := map[string][]byte{}
		for _, dir := range []string{"base", "local/" + p.Code} {
			err := fs.WalkDir(os.DirFS("../../policies"), dir, func(name string, d fs.DirEntry, err error) error {
				if err != nil || path.Ext(name) != ".rego" {
					return err
				}
				texts[name], err = os.ReadFile("../../policies/" + name)
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		stock(t, texts)
	}
}

// What the county does to the rules of its state.
func TestAlder(t *testing.T) {
	b := realBook(t)
	now, later := b.Set("US-VA/alder", day(t, "2027-06-30")), b.Set("US-VA/alder", day(t, "2027-07-01"))
	for _, c := range []struct {
		set        *Set
		path, want string
	}{
		{now, "ground.standoff_um", feet(40)},
		{later, "ground.standoff_um", feet(40)},
		{now, "gear.battery_reserve_ppm", "1150000"},
		{later, "gear.battery_reserve_ppm", "1250000"},
		{now, "signoff.roles_needed", "foreman locating_hand"},
		{now, "crossings.tolerance_zone_um", "609600"}, // 24 in of 25.4 mm
		{b.Set("", 0), "crossings.tolerance_zone_um", "1219200"},
		{b.Set("US-VA", 0), "ground.standoff_um", feet(30)},
	} {
		if got := limitOf(t, c.set, c.path); got != c.want {
			t.Errorf("%s is %s, want %s", c.path, got, c.want)
		}
	}
	for _, s := range []*Set{now, later} {
		if c, _ := s.Catalogue().Check("ticket.owners_answered"); c.Waivable {
			t.Error("the county lets owners be waived")
		}
	}
	roles := known{"signing.signed_as": []string{"drill_operator", "locating_hand"}}
	if f := one(t, now, "signoff.roles_needed", roles); f.Status != engine.Fail {
		t.Errorf("without a foreman: %+v", f)
	}
	roles["signing.signed_as"] = []string{"foreman", "locating_hand"}
	if f := one(t, now, "signoff.roles_needed", roles); f.Status != engine.Pass {
		t.Errorf("with a foreman: %+v", f)
	}
	if cat := later.Catalogue(); cat.Day != day(t, "2027-07-01") || len(cat.Loose) != 0 || cat.OnPublish != engine.PublishRecheck {
		t.Errorf("%d %+v", cat.Day, cat.Loose)
	}
	if ids := idsOf(now.Catalogue(), "va-alder"); !slices.Equal(ids, []string{"ticket.county_permit"}) {
		t.Errorf("%v", ids)
	}
}

func idsOf(cat *engine.Catalogue, layer string) []string {
	var ids []string
	for _, c := range cat.Checks {
		if c.Layer == layer {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// Each value that each check of a local pack reads, in each wrong form, breaks the
// finding, as with the base.
func TestLocalPacksWrongForms(t *testing.T) {
	s := realBook(t).Set("US-VA/alder", 0)
	forms := map[shape]any{number: int64(1), text: "2", flag: true, numbers: []int64{1}, texts: []string{"2"}}
	for _, c := range s.Catalogue().Checks {
		if c.Layer == "base" {
			continue
		}
		u := s.units[c.ID]
		for i, wrong := range u.slots {
			for form, v := range forms {
				if form == wrong.shape {
					continue
				}
				facts := known{}
				for _, other := range u.slots {
					facts[other.name], _, _ = madeUp{u, 1}.Value(other.name)
				}
				facts[u.slots[i].name] = v
				if f := one(t, s, c.ID, facts); f.Status == engine.Pass || strings.Contains(f.Note, "panic") {
					t.Errorf("%s with %s = %v: %+v", c.ID, wrong.name, v, f)
				}
			}
		}
	}
}

func BenchmarkLoadBook(b *testing.B) {
	l := realLayers(b)
	for b.Loop() {
		if _, err := LoadBook(context.Background(), l, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// The base as a book: with an edition for each state of its table.
func BenchmarkLoadBookBase(b *testing.B) {
	l := Layers{Base: realLayers(b).Base}
	for b.Loop() {
		if _, err := LoadBook(context.Background(), l, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
