package rules

import (
	"context"
	"testing"

	"firstrod/engine"
)

func BenchmarkLoad(b *testing.B) {
	m := base(b)
	for b.Loop() {
		load(b, m)
	}
}

func BenchmarkEvaluateOne(b *testing.B) {
	s := load(b, base(b))
	benchmark(b, s, "ground.metal_baseline")
}

// Three checks are what one answer touches as a rule.
func BenchmarkEvaluateThree(b *testing.B) {
	s := load(b, base(b))
	benchmark(b, s, "ground.metal_baseline", "verification.near_mark", "verification.straight")
}

func BenchmarkEvaluateAll(b *testing.B) {
	s := load(b, base(b))
	var ids []string
	for _, c := range s.Catalogue().Checks {
		ids = append(ids, c.ID)
	}
	benchmark(b, s, ids...)
}

func benchmark(b *testing.B, s *Set, ids ...string) {
	var ts []engine.Target
	for _, id := range ids {
		ts = append(ts, target(b, s, id))
	}
	facts := func(t engine.Target) engine.Facts { return madeUp{s.units[t.Check.ID], 2} }
	b.ReportAllocs()
	for b.Loop() {
		for _, f := range s.Evaluate(context.Background(), ts, facts) {
			if f.Status == engine.Broken || f.Status == engine.Needs {
				b.Fatalf("%+v", f)
			}
		}
	}
}

func BenchmarkTestBase(b *testing.B) {
	m := base(b)
	for b.Loop() {
		if r, err := Test(context.Background(), m); err != nil || !r.OK() {
			b.Fatal(err)
		}
	}
}

func BenchmarkMutateBase(b *testing.B) {
	m := base(b)
	for b.Loop() {
		r, err := Mutate(context.Background(), m, MutateOptions{Workers: 2})
		if err != nil || r.Err() != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(r.Total()), "slips")
	}
}
