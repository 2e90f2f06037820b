package depth_test

import (
	"math"
	"slices"
	"testing"

	"firstrod/engine/depth"
)

// oddNumbers are what a caller must never get a result from by mistake, and a few
// that are fine.
func oddNumbers() []float64 {
	return []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, math.SmallestNonzeroFloat64,
		math.Copysign(0, -1), 0, -1, 1e-6, 0.01, 1, 3.048, 1e6}
}

// every calls f with every mixture of n odd numbers.
func every(n int, f func(v []float64)) {
	odd, at := oddNumbers(), make([]int, n)
	for {
		v := make([]float64, n)
		for i, k := range at {
			v[i] = odd[k]
		}
		f(v)
		i := 0
		for ; i < n; i++ {
			if at[i]++; at[i] < len(odd) {
				break
			}
			at[i] = 0
		}
		if i == n {
			return
		}
	}
}

// one and two give the results of a calculator as a list.
func one(v float64, err error) ([]float64, error)    { return []float64{v}, err }
func two(a, b float64, err error) ([]float64, error) { return []float64{a, b}, err }

// Whatever mixture of NaN, infinities, negative, tiny and huge numbers goes in: no
// calculator panics, an error names a field and comes with zero results, and a
// result without an error is finite.
func TestNoOddNumberComesThrough(t *testing.T) {
	type calculator struct {
		name string
		n    int
		of   func(v []float64) ([]float64, error)
	}
	for _, c := range []calculator{
		{"Constant", 2, func(v []float64) ([]float64, error) { return one(depth.Constant(v[0], v[1])) }},
		{"FromSignal", 2, func(v []float64) ([]float64, error) { return one(depth.FromSignal(v[0], v[1])) }},
		{"ChangeDB", 2, func(v []float64) ([]float64, error) { return one(depth.ChangeDB(v[0], v[1])) }},
		{"DepthFactor", 1, func(v []float64) ([]float64, error) { return one(depth.DepthFactor(v[0])) }},
		{"DepthError", 1, func(v []float64) ([]float64, error) { return one(depth.DepthError(v[0])) }},
		{"Misaim", 1, func(v []float64) ([]float64, error) { return two(depth.Misaim(v[0])) }},
		{"SignalAt", 3, func(v []float64) ([]float64, error) { return one(depth.SignalAt(v[0], v[1], v[2])) }},
		{"Margin", 4, func(v []float64) ([]float64, error) { return one(depth.Margin(v[0], v[1], v[2], v[3])) }},
		{"DeepestForMargin", 4, func(v []float64) ([]float64, error) { return one(depth.DeepestForMargin(v[0], v[1], v[2], v[3])) }},
		{"SignalBound", 3, func(v []float64) ([]float64, error) { return one(depth.SignalBound(v[0], v[1], v[2])) }},
		{"WorstDepthError", 2, func(v []float64) ([]float64, error) { return one(depth.WorstDepthError(v[0], v[1])) }},
		{"WorstDepthErrorBetween", 2, func(v []float64) ([]float64, error) { return one(depth.WorstDepthErrorBetween(v[0], v[1])) }},
		{"StandoffFor", 2, func(v []float64) ([]float64, error) { return one(depth.StandoffFor(v[0], v[1])) }},
		{"StandoffForBetween", 2, func(v []float64) ([]float64, error) { return one(depth.StandoffForBetween(v[0], v[1])) }},
		{"DepthFromNulls", 2, func(v []float64) ([]float64, error) { return one(depth.DepthFromNulls(v[0], v[1])) }},
		{"CoverFromNulls", 3, func(v []float64) ([]float64, error) { return one(depth.CoverFromNulls(v[0], v[1], v[2])) }},
		{"PitchAngle", 1, func(v []float64) ([]float64, error) { return one(depth.PitchAngle(v[0])) }},
		{"AnglePitch", 1, func(v []float64) ([]float64, error) { return one(depth.AnglePitch(v[0])) }},
		{"PitchZero", 2, func(v []float64) ([]float64, error) { return two(depth.PitchZero(v[0], v[1])) }},
		{"PitchZeroU", 1, func(v []float64) ([]float64, error) { return one(depth.PitchZeroU(v[0])) }},
		{"PitchDrift", 3, func(v []float64) ([]float64, error) { return two(depth.PitchDrift(v[0], v[1], v[2])) }},
		{"Rise", 2, func(v []float64) ([]float64, error) { return one(depth.Rise(v[0], v[1])) }},
		{"Bend", 3, func(v []float64) ([]float64, error) { return two(depth.Bend(v[0], v[1], v[2])) }},
		{"Over", 4, func(v []float64) ([]float64, error) {
			s, err := depth.Over(v[0], v[1], v[2], v[3])
			return []float64{s.X, s.Y, s.Z, s.Total, s.Depth}, err
		}},
		{"WorstAt", 3, func(v []float64) ([]float64, error) {
			e, err := depth.WorstAt(v[0], v[1], v[2], true)
			return []float64{e.Far, e.Later}, err
		}},
		{"Grade.Proof", 4, func(v []float64) ([]float64, error) {
			p, err := depth.Grade{Planned: v[0], Tolerance: v[1], Step: v[2], Zero: v[3]}.Proof()
			return []float64{p.U, p.Expanded}, err
		}},
		{"ReadingsBudget", 4, func(v []float64) ([]float64, error) {
			mean, b, err := depth.ReadingsBudget(v[0], v[1], v[2], []float64{v[3], 1, v[3]}, 0.95)
			return []float64{mean, b.U, b.DOF, b.K, b.Expanded}, err
		}},
		{"CheckKnown", 4, func(v []float64) ([]float64, error) {
			a, err := depth.CheckKnown(depth.Value{Value: v[0], U: v[1]}, depth.Value{Value: v[2], U: v[3]}, 2)
			return []float64{a.Other, a.Difference, a.U, a.Expanded}, err
		}},
		{"CheckNulls", 4, func(v []float64) ([]float64, error) {
			at := depth.Value{Value: v[0], U: v[1]}
			a, err := depth.CheckNulls(depth.Value{Value: 3, U: 0.1}, depth.NullSight{Front: at, Rear: depth.Value{U: v[1]},
				Pitch: depth.Value{Value: v[2], U: 0.001}, Height: depth.Value{Value: v[3], U: 0.01}}, 2)
			return []float64{a.Other, a.Difference, a.U, a.Expanded}, err
		}},
		{"CheckRods", 4, func(v []float64) ([]float64, error) {
			a, err := depth.CheckRods(depth.Value{Value: 3, U: 0.1}, depth.RodLog{Start: depth.Value{Value: v[0], U: v[1]}, Pitch: v[2],
				Rods: []depth.Rod{{Length: v[3], Pitch: v[2]}}, PitchU: 0.001, ZeroU: 0.001, LengthU: 0.001}, 2)
			return []float64{a.Other, a.Difference, a.U, a.Expanded}, err
		}},
	} {
		every(c.n, func(v []float64) {
			results, err := c.of(v)
			kind(t, err)
			whole(t, results...)
			if err != nil && slices.ContainsFunc(results, func(r float64) bool { return r != 0 }) {
				t.Fatalf("%s of %g: %v beside %v", c.name, v, results, err)
			}
		})
	}
}

// One mark, marks all at one place, and thousands of them.
func TestFewAndManyMarks(t *testing.T) {
	_, err := depth.FitLine([]depth.Mark{{True: 1, Read: 1, U: 0.1}})
	refused(t, err, "marks")
	same := slices.Repeat([]depth.Mark{{True: 3, Read: 3, U: 0.1}}, 50)
	_, err = depth.FitLine(same)
	refused(t, err, "marks")
	_, err = depth.FitLineByScatter(same)
	refused(t, err, "marks")
	_, err = depth.FitLine(nil)
	refused(t, err, "marks")
	// Each of three marks twenty thousand times over, and exactly on a line of scale
	// 1.02: the uncertainty falls with the root of their number (derived, 3.2 of the
	// table of patterns: u/sqrt(50) for one reading each).
	var many []depth.Mark
	const n = 20_000
	for range n {
		for _, x := range []float64{5, 10, 15} {
			many = append(many, depth.Mark{True: x, Read: 1.02 * x, U: 0.1})
		}
	}
	line, err := depth.FitLine(many)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", line.Slope, 1.02, 1e-9)
	near(t, "u of the slope", line.USlope, 0.1/math.Sqrt(50*n), 1e-12)
	mean, b, err := depth.ReadingsBudget(0, 0, 0.01, slices.Repeat([]float64{2, 2.02}, n), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", mean, 2.01, 1e-9)
	near(t, "u", b.U, 0.005/math.Sqrt(3), 1e-6) // what is left is the display step
}

// As many rods as a log may have, and one more.
func TestThousandsOfRods(t *testing.T) {
	log := depth.RodLog{Start: depth.Value{U: 0.01}, PitchU: 0.001, ZeroU: 0.001, LengthU: 0.001,
		Rods: slices.Repeat([]depth.Rod{{Length: 3}}, 5000)}
	stations, err := log.Stations()
	if err != nil || len(stations) != 5000 || stations[4999].Advance != 15_000 || stations[4999].Depth != 0 {
		t.Errorf("%d stations, %v", len(stations), err)
	}
	log.Rods = append(log.Rods, depth.Rod{Length: 3})
	_, err = log.Stations()
	refused(t, err, "Rods")
	// One rod, its pitch that of the start: the sine rule.
	log.Rods, log.Pitch = []depth.Rod{{Length: 10, Pitch: -0.2}}, -0.2
	stations, err = log.Stations()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "one rod", stations[0].Depth, 1.96116135138, 1e-11) // rod_log.csv
}
