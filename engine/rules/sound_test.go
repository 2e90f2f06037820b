package rules

import (
	"context"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine"
)

// value draws a value for a slot: around the limits that rules compare with,
// often, and anywhere.
func value(t *rapid.T, s *Set, sl slot) any {
	switch sl.shape {
	case number:
		around := []int64{0, 1, sl.low, sl.high}
		for _, p := range s.catalogue.Params {
			around = append(around, p.Value.Base())
		}
		return rapid.SampledFrom(around).Draw(t, "near") + rapid.Int64Range(-1, 1).Draw(t, "off")
	case flag:
		return rapid.Bool().Draw(t, "flag")
	case text:
		if len(sl.options) > 0 {
			return rapid.SampledFrom(sl.options).Draw(t, "option")
		}
		return rapid.SampledFrom([]string{"A", "B", " "}).Draw(t, "text")
	case numbers:
		return rapid.SliceOfN(rapid.Int64Range(0, 40000), 0, 3).Draw(t, "numbers")
	}
	return rapid.SliceOfN(rapid.SampledFrom([]string{"A", "B"}), 0, 2).Draw(t, "texts")
}

// filled draws values for everything that a check reads.
func filled(t *rapid.T, s *Set, u *unit) known {
	facts := known{}
	for _, sl := range u.slots {
		facts[sl.name] = value(t, s, sl)
	}
	return facts
}

func judgeOne(s *Set, u *unit, facts known, confirm bool) engine.Finding {
	subject := map[engine.Scope]string{engine.PerFrequency: "12000", engine.PerCrossing: "Gas"}[u.check.Each]
	ts := []engine.Target{{Check: u.check, Subject: subject}}
	if confirm {
		return s.Confirm(context.Background(), ts, facts.of)[0]
	}
	return s.Evaluate(context.Background(), ts, facts.of)[0]
}

// A verdict with values missing is never another once they are given: the
// needs that were derived are all that the rules can read.
func TestNeedsAreSound(t *testing.T) {
	for name, s := range map[string]*Set{"fixture": load(t, fixture()), "base": load(t, base(t))} {
		t.Run(name, func(t *testing.T) {
			early := map[engine.Status]int{}
			rapid.Check(t, func(t *rapid.T) {
				for _, id := range sortedKeys(s.units) {
					early[sound(t, s, s.units[id])]++
				}
			})
			t.Log(early)
			if early[engine.Pass] == 0 || early[engine.Fail] == 0 || early[engine.Exempt] == 0 {
				t.Errorf("not every verdict was seen: %v", early)
			}
		})
	}
}

// sound judges a check on a part of random answers, then on the whole, filled
// up in several ways.
func sound(t *rapid.T, s *Set, u *unit) engine.Status {
	all, part := filled(t, s, u), known{}
	for _, sl := range u.slots {
		if rapid.IntRange(0, 3).Draw(t, "there") > 0 {
			part[sl.name] = all[sl.name]
		}
	}
	f := judgeOne(s, u, part, false)
	if f.Status == engine.Needs {
		if len(part) == len(all) {
			t.Fatalf("%s needs %v with everything given", u.check.ID, f.Missing)
		}
		return f.Status
	}
	for range 3 {
		other := filled(t, s, u)
		for leaf, v := range part {
			other[leaf] = v
		}
		if g := judgeOne(s, u, other, false); g.Status != f.Status {
			t.Fatalf("%s is %s with %v and %s with %v", u.check.ID, f.Status, part, g.Status, other)
		}
	}
	return f.Status
}

// The second route through the rule engine finds the same.
func TestConfirmIsEvaluate(t *testing.T) {
	for name, s := range map[string]*Set{"fixture": load(t, fixture()), "base": load(t, base(t))} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				for _, id := range sortedKeys(s.units) {
					same(t, s, s.units[id])
				}
			})
		})
	}
}

func same(t *rapid.T, s *Set, u *unit) {
	facts := filled(t, s, u)
	for _, sl := range u.slots {
		if rapid.IntRange(0, 9).Draw(t, "gone") == 0 {
			delete(facts, sl.name)
		}
	}
	a, b := judgeOne(s, u, facts, false), judgeOne(s, u, facts, true)
	if !reflect.DeepEqual(a, b) {
		t.Fatalf("%+v\n%+v\nwith %v", a, b, facts)
	}
}
