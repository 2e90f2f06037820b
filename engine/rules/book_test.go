package rules

import (
	"bytes"
	"context"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

// feet in micrometres: 304.8 mm by the foot of 1959.
func feet(n int64) string { return strconv.FormatInt(n*304_800, 10) }

func TestEachPlaceHasItsRules(t *testing.T) {
	b := book(t, layered(t))
	before, after := day(t, "2027-06-30"), day(t, "2027-07-01")
	for _, c := range []struct {
		place    string
		day      int64
		in       string // Catalogue.Place
		standoff string
		checks   string // of the local packs
	}{
		{"", before, "", feet(30), ""},
		{"not a place", before, "", feet(30), ""},
		{"US", before, "", feet(30), ""},
		{"DE-BY", before, "", feet(30), ""},
		{"US-GA", before, "US-GA", feet(30), ""},
		{"US-GA/alder", before, "US-GA", feet(30), ""},
		{"US-VA", before, "US-VA", feet(35), "ticket.compared"},
		{"US-VA/oak", before, "US-VA", feet(35), "ticket.compared"},
		{"US-VA/alder", before, "US-VA/alder", feet(32), "ground.dry ticket.compared"},
		{"US-VA/alder/two-mills", before, "US-VA/alder", feet(32), "ground.dry ticket.compared"},
		{"US-VA/alder-hills", before, "US-VA", feet(35), "ticket.compared"},
		{"US-VA/alder", after, "US-VA/alder", feet(35), "ground.dry ticket.compared"},
	} {
		s := b.Set(c.place, c.day)
		cat := s.Catalogue()
		if b.At(c.place, c.day).Catalogue() != cat {
			t.Error("At and Set differ")
		}
		var local []string
		for _, ch := range cat.Checks {
			if ch.Layer != "base" {
				local = append(local, ch.ID)
			}
		}
		slices.Sort(local)
		if cat.Place != c.in || limitOf(t, s, "ground.standoff_um") != c.standoff || strings.Join(local, " ") != c.checks {
			t.Errorf("%s on %d: %q, %s, %v", c.place, c.day, cat.Place, limitOf(t, s, "ground.standoff_um"), local)
		}
	}
	want := []string{"", "US-AL", "US-GA", "US-HI", "US-IN", "US-VA", "US-VA/alder"}
	if got := b.Places(); !slices.Equal(got, want) {
		t.Errorf("places %v", got)
	}
}

// What a layer says reaches the findings, and not only the catalogue.
func TestLayersJudge(t *testing.T) {
	b := book(t, layered(t))
	at := known{"metal_distance": int64(33 * 304_800), "signing.people": int64(2)}
	for _, c := range []struct {
		place, day, check string
		want              engine.Status
	}{
		{"", "2027-01-01", "ground.metal", engine.Pass},
		{"US-VA", "2027-01-01", "ground.metal", engine.Fail},
		{"US-VA/alder", "2027-06-30", "ground.metal", engine.Pass},
		{"US-VA/alder", "2027-07-01", "ground.metal", engine.Fail},
		{"US-VA/alder", "2027-07-01", "signoff.roles", engine.Pass},
		{"US-VA/alder", "2027-07-01", "ticket.compared", engine.Needs},
	} {
		s := b.Set(c.place, day(t, c.day))
		if f := one(t, s, c.check, at); f.Status != c.want {
			t.Errorf("%s on %s: %s is %s (%s), want %s", c.place, c.day, c.check, f.Status, f.Note, c.want)
		}
	}
}

func TestEditionsChangeAfterTheirEndDates(t *testing.T) {
	b := book(t, layered(t))
	var alder []Edition
	for _, e := range b.Editions() {
		if e.Place == "US-VA/alder" {
			alder = append(alder, e)
		}
	}
	ends := []int64{0, day(t, "2027-04-01"), day(t, "2027-07-01")}
	if len(alder) != len(ends) {
		t.Fatalf("%d editions", len(alder))
	}
	seen := map[string]bool{}
	for i, e := range alder {
		cat := e.Set.Catalogue()
		if e.From != ends[i] || cat.Day != e.From || len(cat.Loose) != 2-i || cat.OnPublish != engine.PublishRecheck {
			t.Errorf("%+v: loose %+v", e, cat.Loose)
		}
		if seen[cat.Revision] {
			t.Error("two editions have one revision")
		}
		seen[cat.Revision] = true
		_, on := cat.Check("crossing.seen")
		if off := i == 0; on == off {
			t.Errorf("crossing.seen is on: %v, from %d", on, e.From)
		}
	}
	cat := alder[0].Set.Catalogue()
	p, _ := cat.Param("ground.standoff_um")
	if p.Pack != "va-alder" || p.Base.Exact() != feet(30) || p.Reason["en"] != "Open ground." {
		t.Errorf("%+v", p)
	}
	l := cat.Loose[0]
	if l.Name != "ground.standoff" || l.Was.Exact() != feet(35) || l.Is.Exact() != feet(32) || l.Until != day(t, "2027-06-30") || l.By != "county safety office" || l.Pack != "va-alder" {
		t.Errorf("%+v", l)
	}
	if l := cat.Loose[1]; l.Name != "crossing.seen" || l.How != "off" || l.Until != day(t, "2027-03-31") {
		t.Errorf("%+v", l)
	}
	if c, _ := cat.Check("ticket.serial"); c.Waivable {
		t.Error("ticket.serial may still be waived where the state says that it may not")
	}
	if c, _ := b.Set("", 0).Catalogue().Check("ticket.serial"); !c.Waivable {
		t.Error("the state's word holds outside of the state")
	}
	var codes []string
	for _, l := range cat.Layers {
		codes = append(codes, l.Code+" "+l.Holds)
	}
	if want := []string{"base ", "one-call US-VA", "va US-VA", "va-alder US-VA/alder"}; !slices.Equal(codes, want) {
		t.Errorf("layers %q", codes)
	}
}

func TestOneCallTable(t *testing.T) {
	b := book(t, layered(t))
	for _, c := range []struct {
		place  string
		inches int64
		pack   string
		notice string
	}{
		{"", 48, "base", "the table of states does not have this place"},
		{"US-VA", 24, "one-call", ""},
		{"US-VA/alder", 24, "one-call", ""},
		{"US-IN", 24, "one-call", ""},
		{"US-GA", 24, "one-call", "sources differ (18 in or 24 in)"},
		{"US-HI", 48, "one-call", "the width of this state is not known"},
		{"US-AL", 48, "one-call", "18 in is said to be the law of this state, and nobody has confirmed it (memory)"},
	} {
		cat := b.Set(c.place, 0).Catalogue()
		p, _ := cat.Param("crossings.tolerance_zone_um")
		if p.Value.Base() != c.inches*25_400 || p.Pack != c.pack {
			t.Errorf("%s: %s from %s", c.place, p.Value.Exact(), p.Pack)
		}
		switch {
		case c.notice == "" && len(cat.Notices) > 0:
			t.Errorf("%s: %v", c.place, cat.Notices)
		case c.notice != "" && (len(cat.Notices) != 1 || !strings.Contains(cat.Notices[0]["en"], c.notice) || !strings.Contains(cat.Notices[0]["es"], "Verifica")):
			t.Errorf("%s: %v", c.place, cat.Notices)
		}
		if len(cat.Loose) > 0 && c.place != "US-VA/alder" {
			t.Errorf("%s: the law counts as loosened: %+v", c.place, cat.Loose)
		}
	}
}

// A further county changes no other place's rules, and no other revision.
func TestRevisionIsOfItsOwnLayers(t *testing.T) {
	m := layered(t)
	first := book(t, m)
	put(m, "local/va-oak/overlay.yaml", "title: {en: \"Oak\", es: \"Oak\"}\nholds: \"US-VA/oak\"\non_publish: \"keep\"\n")
	second := book(t, m)
	for _, e := range first.Editions() {
		now := second.Set(e.Place, e.From).Catalogue()
		if was := e.Set.Catalogue(); was.Revision != now.Revision || !bytes.Equal(was.Packs, now.Packs) {
			t.Errorf("%q from %d has another revision", e.Place, e.From)
		}
	}
	revisions := map[string]string{}
	for _, e := range second.Editions() {
		if r := e.Set.Catalogue().Revision; revisions[r] != "" {
			t.Errorf("%q and %q have one revision", revisions[r], e.Place)
		} else {
			revisions[r] = e.Place + "."
		}
	}
	put(m, "local/va/overlay.yaml", strings.Replace(fixtureOverlay, "35 ft", "36 ft", 1))
	third := book(t, m)
	for _, place := range second.Places() {
		changed := second.Set(place, 0).Catalogue().Revision != third.Set(place, 0).Catalogue().Revision
		if want := strings.HasPrefix(place, "US-VA"); changed != want {
			t.Errorf("%q changed: %v", place, changed)
		}
	}
}

func TestReopenGivesTheSameRevision(t *testing.T) {
	b := book(t, layered(t))
	for _, e := range b.Editions() {
		cat := e.Set.Catalogue()
		again, err := Reopen(context.Background(), cat.Packs, cat.Place, e.From+1)
		if err != nil {
			t.Fatalf("%q: %v", e.Place, err)
		}
		got := again.Catalogue()
		if got.Revision != cat.Revision || got.Day != cat.Day || len(got.Loose) != len(cat.Loose) || len(got.Checks) != len(cat.Checks) {
			t.Errorf("%q from %d: %s is now %s", e.Place, e.From, cat.Revision, got.Revision)
		}
	}
	cat := b.Set("US-VA/alder/two-mills", 0).Catalogue()
	if s, err := Reopen(context.Background(), cat.Packs, "US-VA/alder/two-mills", 0); err != nil || s.Catalogue().Revision != cat.Revision {
		t.Errorf("by the place of the bore: %v", err)
	}
	old := load(t, fixture()).Catalogue()
	s, err := Reopen(context.Background(), old.Packs, "US-VA", 20000)
	if err != nil || s.Catalogue().Revision != old.Revision {
		t.Errorf("of the time before local packs: %v", err)
	}
	if _, err := Reopen(context.Background(), []byte("x"), "", 0); engine.KindOf(err) != engine.Rules {
		t.Errorf("%v", err)
	}
}

func TestLocalPackHasItsOwnTests(t *testing.T) {
	m := layered(t)
	ctx := context.Background()
	r, err := TestLocal(ctx, layersOf(t, m), "va")
	if err != nil || !r.OK() || len(r.Checks) != 1 || len(r.Checks[0].Passed) != 4 {
		t.Errorf("%+v %v", r, err)
	}
	slips, err := MutateLocal(ctx, layersOf(t, m), "va", MutateOptions{})
	if err != nil || slips.Err() != nil || slips.Killed < 3 {
		t.Errorf("%+v %v", slips, err)
	}
	r, err = TestLocal(ctx, layersOf(t, m), "va-alder")
	if err != nil || r.OK() || r.Checks[0].ID != "ground.dry" || len(r.Checks[0].Lacks) == 0 {
		t.Errorf("a check without tests: %+v %v", r, err)
	}
	put(m, "local/va/ticket/compared_test.rego", "package tests.va.ticket.compared\n\nimport data.checks.va.ticket.compared\n\n"+
		"test_pass if compared.pass with input as {\"compared\": true}\n")
	slips, err = MutateLocal(ctx, layersOf(t, m), "va", MutateOptions{})
	if err != nil || slips.Err() == nil || slipFile(slips) != "local/va/ticket/compared.rego" {
		t.Errorf("a slip that nothing notices: %+v %v", slips, err)
	}
	if _, err := TestLocal(ctx, layersOf(t, m), "md"); engine.KindOf(err) != engine.NotFound {
		t.Errorf("%v", err)
	}
}

func slipFile(r MutationReport) string {
	if len(r.Survivors) == 0 {
		return ""
	}
	return r.Survivors[0].File
}

func TestLayersIn(t *testing.T) {
	if l, err := LayersIn(fixture()); err != nil || l.Base == nil || l.Local != nil {
		t.Errorf("a single pack: %+v %v", l, err)
	}
	only := fstest.MapFS{"local/va/overlay.yaml": {Data: []byte("x")}}
	if l, err := LayersIn(only); err != nil || l.Base != nil || l.Local == nil {
		t.Errorf("local alone: %+v %v", l, err)
	}
	if _, err := LoadBook(context.Background(), Layers{}, Options{}); engine.KindOf(err) != engine.Rules {
		t.Errorf("no base: %v", err)
	}
}
