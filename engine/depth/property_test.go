package depth_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// The scale of the site cannot matter to anything that has no unit.
func TestScaleInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0.01, 100).Draw(t, "factor")
		d := rapid.Float64Range(0.5, 20).Draw(t, "depth")
		x := rapid.Float64Range(-30, 30).Draw(t, "x")
		y := rapid.Float64Range(-30, 30).Draw(t, "y")
		pitch := rapid.Float64Range(-1, 1).Draw(t, "pitch")
		v := must(t)
		a, err := depth.Over(x, y, d, pitch)
		if err != nil {
			t.Fatal(err)
		}
		b, err := depth.Over(f*x, f*y, f*d, pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "total", b.Total/a.Total, 1, 1e-11)
		near(t, "shown", b.Depth/(f*a.Depth), 1, 1e-11)
		near(t, "bound", v(depth.SignalBound(f*d, f*30, f*40))/v(depth.SignalBound(d, 30, 40)), 1, 1e-12)
		near(t, "standoff", v(depth.StandoffFor(f*d, 0.01))/(f*v(depth.StandoffFor(d, 0.01))), 1, 1e-12)
		near(t, "nulls", v(depth.DepthFromNulls(f*d, pitch))/(f*v(depth.DepthFromNulls(d, pitch))), 1, 1e-12)
	})
}

// Turning the bore about, or stepping to the other side, mirrors the field.
func TestFieldSymmetry(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-30, 30).Draw(t, "x")
		y := rapid.Float64Range(-30, 30).Draw(t, "y")
		pitch := rapid.Float64Range(-1, 1).Draw(t, "pitch")
		a, err := depth.Over(x, y, 3, pitch)
		if err != nil {
			t.Fatal(err)
		}
		b, err := depth.Over(-x, -y, 3, -pitch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "X", b.X, a.X, 1e-12)
		near(t, "Y", b.Y, a.Y, 1e-12)
		near(t, "Z", b.Z, -a.Z, 1e-12)
	})
}

// Deeper is weaker, weaker shows deeper, further metal does less.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		near := rapid.Float64Range(0.1, 50).Draw(t, "near")
		far := near * rapid.Float64Range(1.0001, 10).Draw(t, "ratio")
		v := must(t)
		if v(depth.SignalAt(0, 3, far)) >= v(depth.SignalAt(0, 3, near)) {
			t.Fatal("deeper is not weaker")
		}
		if v(depth.FromSignal(1, 1/far)) <= v(depth.FromSignal(1, 1/near)) {
			t.Fatal("weaker does not show deeper")
		}
		if v(depth.SignalBound(3, far, far)) >= v(depth.SignalBound(3, near, near)) {
			t.Fatal("metal further off does not do less")
		}
	})
}

// More doubt never lets through what less doubt held back; a larger miss never
// holds where a smaller one does not; a wider tolerance never holds back.
func TestDecideMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		miss := rapid.Float64Range(-2, 2).Draw(t, "miss")
		u := rapid.Float64Range(1e-6, 2).Draw(t, "expanded")
		tol := rapid.Float64Range(1e-6, 2).Draw(t, "tolerance")
		guard := rapid.SampledFrom([]float64{0, 0.83, 1, 1.5, 3}).Draw(t, "guard")
		more := rapid.Float64Range(1, 3).Draw(t, "more")
		decide := func(miss, u, tol, guard float64) depth.Verdict {
			v, err := depth.Decide(miss, u, tol, guard)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		was := decide(miss, u, tol, guard)
		if was != decide(-miss, u, tol, guard) {
			t.Fatal("the sign of the miss matters")
		}
		if was == depth.Holds {
			if math.Abs(miss) > tol {
				t.Fatal("holds outside the tolerance")
			}
			if decide(miss, u, tol*more, guard) != depth.Holds {
				t.Fatal("a wider tolerance holds back")
			}
			return
		}
		for _, v := range []depth.Verdict{
			decide(miss, u*more, tol, guard), decide(miss*more, u, tol, guard), decide(miss, u, tol, guard*more),
		} {
			if v == depth.Holds {
				t.Fatalf("%q turned into holds", was)
			}
		}
	})
}

// More parts, or larger ones, never make the doubt smaller; the order of the
// parts and the split between figure and sensitivity do not matter; the degrees
// of freedom lie between the least and the sum.
func TestCombineProperties(t *testing.T) {
	part := rapid.Custom(func(t *rapid.T) depth.Part {
		return depth.Part{
			U:           rapid.Float64Range(1e-6, 10).Draw(t, "u"),
			DOF:         float64(rapid.IntRange(0, 40).Draw(t, "dof")),
			Sensitivity: rapid.SampledFrom([]float64{1, -1, 0.5, 3}).Draw(t, "sensitivity"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(part, 1, 6).Draw(t, "parts")
		combine := func(parts []depth.Part) depth.Budget {
			b, err := depth.Combine(parts, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			return b
		}
		b := combine(parts)
		turned := slices.Clone(parts)
		slices.Reverse(turned)
		for i := range turned {
			turned[i].U, turned[i].Sensitivity = turned[i].U*math.Abs(turned[i].Sensitivity), 1
		}
		r := combine(turned)
		near(t, "u in another order", r.U/b.U, 1, 1e-12)
		near(t, "dof in another order", r.DOF, b.DOF, 1e-9*(1+b.DOF))
		if more := combine(append(slices.Clone(parts), depth.Part{U: 1, Sensitivity: 1})); more.U <= b.U {
			t.Fatal("one part more and less doubt")
		}
		least, sum := math.Inf(1), 0.0
		for _, p := range parts {
			if p.DOF == 0 {
				sum = math.Inf(1)
				continue
			}
			least, sum = min(least, p.DOF), sum+p.DOF
		}
		if b.DOF != 0 && (b.DOF < least*(1-1e-12) || b.DOF > sum*(1+1e-12)) {
			t.Fatalf("dof %g outside %g to %g", b.DOF, least, sum)
		}
		if b.K < 1.9599 {
			t.Fatalf("k %g below the normal factor", b.K)
		}
	})
}

// What a margin is needed for is what that margin gives.
func TestNoiseThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rel := rapid.Float64Range(1e-4, 0.4).Draw(t, "relError")
		for how, sign := range map[depth.Adding]float64{
			depth.Incoherent: -1, depth.InPhase: -1, depth.OutOfPhase: 1,
		} {
			v := must(t)
			got := v(depth.NoiseError(v(depth.NeededMargin(rel, how)), how))
			near(t, string(how), got, sign*rel, 1e-12)
		}
	})
}

// Marks made from a line give the line back, and a shift of the origin moves
// only the intercept.
func TestFitGivesTheLineBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b0 := rapid.Float64Range(-1, 1).Draw(t, "b0")
		b1 := rapid.Float64Range(0.8, 1.2).Draw(t, "b1")
		n := rapid.IntRange(3, 8).Draw(t, "n")
		var marks, moved []depth.Mark
		for i := range n {
			x := 1.5*float64(i) + rapid.Float64Range(0.1, 1).Draw(t, "x")
			m := depth.Mark{True: x, Read: b0 + b1*x, U: rapid.Float64Range(0.01, 0.1).Draw(t, "u")}
			marks = append(marks, m)
			m.True += 7
			moved = append(moved, m)
		}
		a, err := depth.FitLine(marks)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "b0", a.Intercept, b0, 1e-11)
		near(t, "b1", a.Slope, b1, 1e-11)
		near(t, "scatter", a.ResidualSD, 0, 1e-11)
		b, err := depth.FitLine(moved)
		if err != nil {
			t.Fatal(err)
		}
		ya, ua, _ := a.At(20)
		yb, ub, _ := b.At(27)
		near(t, "same point", yb, ya, 1e-10)
		near(t, "same doubt", ub, ua, 1e-11)
	})
}

// A sheet further than its standoff cannot do what the standoff was asked for.
func TestStandoffHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.Float64Range(1, 10).Draw(t, "baseline")
		rel := rapid.Float64Range(0.001, 0.2).Draw(t, "relError")
		s := must(t)(depth.StandoffFor(base, rel)) * rapid.Float64Range(1, 4).Draw(t, "further")
		wall := rapid.SampledFrom([]depth.Wall{depth.Beside, depth.Under, depth.Across}).Draw(t, "wall")
		metal := rapid.SampledFrom([]depth.Metal{depth.Conductor, depth.Permeable}).Draw(t, "metal")
		c, err := depth.SheetChange(base, s, wall, metal)
		if err != nil {
			t.Fatal(err)
		}
		for _, change := range []float64{c.Axis, c.Total} {
			if e := must(t)(depth.DepthError(change)); math.Abs(e) > rel {
				t.Fatalf("depth error %g with a standoff for %g", e, rel)
			}
		}
	})
}

// Bias and slope put back together give the two readings.
func TestPitchZeroThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bias := rapid.Float64Range(-0.2, 0.2).Draw(t, "bias")
		ground := rapid.Float64Range(-0.5, 0.5).Draw(t, "ground")
		first, second := math.Tan(bias+ground), math.Tan(bias-ground)
		b, s, err := depth.PitchZero(first, second)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "bias", math.Atan(b), bias, 1e-13)
		near(t, "ground", math.Atan(s), ground, 1e-13)
	})
}
