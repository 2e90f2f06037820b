package rules

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"firstrod/engine"
)

func TestClassifies(t *testing.T) {
	s := load(t, fixture())
	twelve := []int64{12000}
	for _, c := range []struct {
		name, check string
		facts       known
		want        engine.Status
		missing     string
	}{
		{"at the limit", "ground.metal", known{"metal_distance": int64(9144000)}, engine.Pass, ""},
		{"one below", "ground.metal", known{"metal_distance": int64(9143999)}, engine.Fail, ""},
		{"nothing known", "ground.metal", known{}, engine.Needs, "metal_distance"},
		{"exempt asks first", "ground.lines", known{}, engine.Needs, "lines_near"},
		{"exempt needs no more", "ground.lines", known{"lines_near": false}, engine.Exempt, ""},
		{"then pass asks", "ground.lines", known{"lines_near": true}, engine.Needs, "lines_seen"},
		{"pass", "ground.lines", known{"lines_near": true, "lines_seen": "exposed"}, engine.Pass, ""},
		{"undefined fails", "ground.lines", known{"lines_near": true, "lines_seen": "guessed"}, engine.Fail, ""},
		{"list", "gear.frequencies", known{"frequencies": twelve}, engine.Pass, ""},
		{"empty list", "gear.frequencies", known{"frequencies": []int64{}}, engine.Fail, ""},
		{"scope", "gear.noise", known{"frequency.background": int64(-50000), "frequency.hz": int64(12000)}, engine.Pass, ""},
		{"scope, over", "gear.noise", known{"frequency.background": int64(-49999), "frequency.hz": int64(12000)}, engine.Fail, ""},
		{"helper", "gear.battery", known{"charge_a": int64(200000), "charge_b": int64(900000)}, engine.Pass, ""},
		{"helper, order of asks", "gear.battery", known{}, engine.Needs, "charge_a charge_b"},
		{"no crossing, not said", "crossing.none", known{"crossings": []string{}}, engine.Needs, "none_confirmed"},
		{"no crossing, denied", "crossing.none", known{"crossings": []string{}, "none_confirmed": false}, engine.Fail, ""},
		{"crossings", "crossing.none", known{"crossings": []string{"Gas"}}, engine.Exempt, ""},
		{"equal texts", "ticket.serial", known{"serial_a": "X1", "serial_b": "X1"}, engine.Pass, ""},
		{"other texts", "ticket.serial", known{"serial_a": "X1", "serial_b": "X2"}, engine.Fail, ""},
		{"huge", "ground.metal", known{"metal_distance": int64(1<<63 - 1)}, engine.Pass, ""},
		{"negative", "ground.metal", known{"metal_distance": int64(-1 << 63)}, engine.Fail, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := one(t, s, c.check, c.facts)
			if f.Status != c.want || strings.Join(f.Missing, " ") != c.missing || f.Note != "" {
				t.Errorf("got %s %v %q, want %s %s", f.Status, f.Missing, f.Note, c.want, c.missing)
			}
		})
	}
}

// A value of the wrong form must not reach a rule: Rego holds "2" >= 3 to be
// true, as it holds [] >= 3 (policy reference of the rule engine: ordering is
// total over all types).
func TestWrongFormIsBroken(t *testing.T) {
	s := load(t, fixture())
	for _, v := range []any{"2", "99999999999", []int64{1}, []string{"a"}, true, nil, 3, 9144000.0, struct{}{}, []any{}} {
		f := one(t, s, "ground.metal", known{"metal_distance": v})
		if f.Status != engine.Broken || f.Note == "" {
			t.Errorf("%T %v: %s %q", v, v, f.Status, f.Note)
		}
	}
	for leaf, v := range map[string]any{"lines_near": "true", "lines_seen": "dug"} {
		facts := known{"lines_near": true, "lines_seen": "exposed"}
		facts[leaf] = v
		if f := one(t, s, "ground.lines", facts); f.Status != engine.Broken {
			t.Errorf("%s = %v: %s", leaf, v, f.Status)
		}
	}
	if f := one(t, s, "gear.frequencies", known{"frequencies": []string{"12000"}}); f.Status != engine.Broken {
		t.Errorf("texts for numbers: %s", f.Status)
	}
}

type panics struct{}

func (panics) Value(string) (any, []string, error) { panic("no such thing") }

type nothing struct{}

func (nothing) Value(string) (any, []string, error) { return nil, nil, nil }

func TestOddIsBroken(t *testing.T) {
	s := load(t, fixture())
	metal, noise := target(t, s, "ground.metal"), target(t, s, "gear.noise")
	good := known{"metal_distance": int64(9144000)}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	for _, c := range []struct {
		name   string
		ctx    context.Context
		target engine.Target
		facts  engine.Facts
	}{
		{"facts fail", nil, metal, known{"metal_distance": errors.New("cannot be known")}},
		{"facts panic", nil, metal, panics{}},
		{"no facts", nil, metal, nil},
		{"no value", nil, metal, nothing{}},
		{"no check", nil, engine.Target{}, good},
		{"unknown check", nil, engine.Target{Check: &engine.Check{ID: "ground.none"}}, good},
		{"subject too many", nil, engine.Target{Check: metal.Check, Subject: "12000"}, good},
		{"subject missing", nil, engine.Target{Check: noise.Check}, good},
		{"stopped", stopped, metal, good},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.ctx == nil {
				c.ctx = context.Background()
			}
			facts := func(engine.Target) engine.Facts { return c.facts }
			for _, f := range append(s.Evaluate(c.ctx, []engine.Target{c.target}, facts), s.Confirm(c.ctx, []engine.Target{c.target}, facts)...) {
				if f.Status != engine.Broken || f.Note == "" || f.Missing != nil {
					t.Errorf("got %+v", f)
				}
			}
		})
	}
}

// A rule that breaks on some answers only is loaded with a note, and breaks
// there and nowhere else.
func TestRuleThatBreaksSometimes(t *testing.T) {
	for _, c := range []struct {
		name, body string
		bad, good  int64
	}{
		{"divides by zero", "pass if 1000 % input.metal_distance >= 0\n", 0, 1},
		{"conflict", "_x := 1 if input.metal_distance > 0\n\n_x := 2 if input.metal_distance % 10 == 6\n\npass if _x >= 1\n", 6, 7},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := fixture()
			body(c.body)(t, m)
			s := load(t, m)
			if f := one(t, s, "ground.metal", known{"metal_distance": c.bad}); f.Status != engine.Broken || f.Note == "" {
				t.Errorf("got %+v", f)
			}
			if f := one(t, s, "ground.metal", known{"metal_distance": c.good}); f.Status != engine.Pass {
				t.Errorf("got %+v", f)
			}
			if f := one(t, s, "ground.lines", known{"lines_near": false}); f.Status != engine.Exempt {
				t.Errorf("another check broke with it: %+v", f)
			}
		})
	}
}

func TestDeadline(t *testing.T) {
	m := fixture()
	body("_d := [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]\n\n_m := [1 | some a in _d; some b in _d; some c in _d; some d in _d; "+
		"some e in _d; some f in _d; some g in _d; some h in _d; a + b + c + d + e + f + g + h >= 0]\n\n"+
		"pass if {\n\tinput.metal_distance % 100 == 7\n\tcount(_m) > 0\n}\n")(t, m)
	s, err := Load(context.Background(), m, Options{Deadline: 30 * time.Millisecond})
	if err != nil {
		t.Fatal(err) // made-up answers do not hit the 7
	}
	begin := time.Now()
	f := one(t, s, "ground.metal", known{"metal_distance": int64(7)})
	if took := time.Since(begin); f.Status != engine.Broken || !strings.HasPrefix(f.Note, "stopped: ") || took > 2*time.Second {
		t.Errorf("%s %q after %s", f.Status, f.Note, took)
	}
}

func TestMissingInOrderOfJob(t *testing.T) {
	s := load(t, fixture())
	got := s.ranked([]string{"signature", "serial_b", "background@12000", "charge_b", "background@8000", "charge_a", "charge_b", "metal_distance"})
	want := []string{"metal_distance", "background@12000", "background@8000", "charge_a", "charge_b", "serial_b", "signature"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// seen notes which leaves were asked for.
type seen struct {
	known
	leaves *[]string
}

func (s seen) Value(leaf string) (any, []string, error) {
	*s.leaves = append(*s.leaves, leaf)
	return s.known.Value(leaf)
}

func TestLooksAtNothingMoreThanItNeeds(t *testing.T) {
	s := load(t, fixture())
	var leaves []string
	facts := func(engine.Target) engine.Facts { return seen{known{"lines_near": false}, &leaves} }
	s.Evaluate(context.Background(), []engine.Target{target(t, s, "ground.lines")}, facts)
	if !slices.Equal(leaves, []string{"lines_near"}) {
		t.Errorf("looked at %v", leaves)
	}
}

func TestManyAtOnce(t *testing.T) {
	s := load(t, fixture())
	metal, battery := target(t, s, "ground.metal"), target(t, s, "gear.battery")
	var wg sync.WaitGroup
	for worker := range 8 {
		wg.Go(func() {
			for i := range 50 {
				d := int64(worker*1000+i) * 1000
				facts := known{"metal_distance": d, "charge_a": d, "charge_b": int64(200000)}.of
				run := s.Evaluate
				if i%2 == 1 {
					run = s.Confirm
				}
				got := run(context.Background(), []engine.Target{metal, battery}, facts)
				want := []engine.Status{engine.Fail, engine.Fail}
				if d >= 9144000 {
					want[0] = engine.Pass
				}
				if d >= 200000 {
					want[1] = engine.Pass
				}
				for j := range got {
					if got[j].Status != want[j] {
						t.Errorf("%s at %d: %s %s", got[j].Check, d, got[j].Status, got[j].Note)
					}
				}
			}
		})
	}
	wg.Wait()
}
