package depth_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// log10 is the worked log of 8 rods of 10 ft (derived, 40-digit arithmetic).
func log10() depth.RodLog {
	l := depth.RodLog{Start: depth.Value{U: 0.5 * in}, Pitch: -0.20, PitchU: 0.0003, ZeroU: 0.0002, LengthU: 0.001}
	for _, p := range []float64{-20, -16, -12, -8, -4, 0, 0, 4} {
		l.Rods = append(l.Rods, depth.Rod{Length: 10 * ft, Pitch: p / 100})
	}
	return l
}

// Table rod_log.csv, derived: depth after each rod and the way forward.
func TestRodLog(t *testing.T) {
	l := log10()
	stations, err := l.Stations()
	if err != nil {
		t.Fatal(err)
	}
	rows := table(t, "rod_log.csv")
	if len(rows) != len(stations) {
		t.Fatalf("%d rows, %d stations", len(rows), len(stations))
	}
	for i, r := range rows {
		near(t, "depth after rod "+r["rod"], stations[i].Depth/ft, r.num(t, "depth_ft"), 1e-10)
		near(t, "pitch", l.Rods[i].Pitch*100, r.num(t, "pitch_end_pct"), 1e-12)
	}
	near(t, "forward", stations[7].Advance/ft, 79.4758370975, 1e-10)
}

// The uncertainty by a second way: moving one input at a time.
func TestRodLogUncertainty(t *testing.T) {
	l := log10()
	last := func(l depth.RodLog) depth.Station {
		s, err := l.Stations()
		if err != nil {
			t.Fatal(err)
		}
		return s[len(s)-1]
	}
	base, sum := last(l), l.Start.U*l.Start.U
	moved := func(change func(l *depth.RodLog, by float64), u float64) {
		const by = 1e-6
		m := log10()
		change(&m, by)
		d := (last(m).Depth - base.Depth) / by * u
		sum += d * d
	}
	moved(func(l *depth.RodLog, by float64) { l.Pitch += by }, l.PitchU)
	for i := range l.Rods {
		moved(func(l *depth.RodLog, by float64) { l.Rods[i].Pitch += by }, l.PitchU)
	}
	moved(func(l *depth.RodLog, by float64) {
		l.Pitch += by
		for i := range l.Rods {
			l.Rods[i].Pitch += by
		}
	}, l.ZeroU)
	moved(func(l *depth.RodLog, by float64) {
		for i := range l.Rods {
			l.Rods[i].Length *= 1 + by
		}
	}, l.LengthU)
	near(t, "u", base.U, math.Sqrt(sum), 2e-4*math.Sqrt(sum))
}

// Worked (derived): L = 14 ft at +10 % is 9.844275755085 ft; at 20 % with the
// antenna 1.5 ft up 8.184002494125 ft of cover. 0.1 ft on each null gives 0.1 ft.
func TestNullSight(t *testing.T) {
	n := depth.NullSight{Front: depth.Value{Value: 9 * ft, U: 0.1 * ft}, Rear: depth.Value{Value: -5 * ft, U: 0.1 * ft},
		Pitch: depth.Value{Value: 0, U: 0.0003}, Height: depth.Value{Value: 0, U: 0.01 * in}}
	c, err := n.Cover()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "level", c.Value/ft, 9.899494936612, 1e-11)
	near(t, "u", c.U/ft, 0.1, 1e-4)
	n.Pitch.Value = 0.1
	if c, err = n.Cover(); err != nil {
		t.Fatal(err)
	}
	near(t, "at 10 %", c.Value/ft, 9.844275755085, 1e-11)
	n.Pitch.Value, n.Height.Value = 0.2, 1.5*ft
	if c, err = n.Cover(); err != nil {
		t.Fatal(err)
	}
	near(t, "cover", c.Value/ft, 8.184002494125, 1e-11)
	a, err := depth.CheckNulls(depth.Value{Value: 8.3 * ft, U: 1 * in}, n, 2)
	if err != nil || !a.Agrees {
		t.Errorf("%+v, %v", a, err)
	}
	a, err = depth.CheckNulls(depth.Value{Value: 8.6 * ft, U: 1 * in}, n, 2)
	if err != nil || a.Agrees {
		t.Errorf("%+v, %v", a, err)
	}
	near(t, "difference", a.Difference/ft, 8.6-8.184002494125, 1e-11)
	n.Rear.Value = n.Front.Value
	_, err = n.Cover()
	refused(t, err, "Front.Value")
	n.Rear.Value, n.Pitch.U = -1, 0
	_, err = n.Cover()
	refused(t, err, "Pitch.U")
	n.Pitch.U, n.Height.Value = 0.001, 1e3
	_, err = depth.CheckNulls(depth.Value{Value: 3, U: 0.1}, n, 2)
	refused(t, err, "height")
}

func TestCheckKnown(t *testing.T) {
	read, known := depth.Value{Value: 6*ft + 1.1*in, U: 0.5 * in}, depth.Value{Value: 6 * ft, U: 0.25 * in}
	a, err := depth.CheckKnown(read, known, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", a.U, 0.559016994374947*in, 1e-12)
	near(t, "difference", a.Difference, 1.1*in, 1e-12)
	if !a.Agrees { // 1.1 in against 1.118
		t.Errorf("%+v", a)
	}
	read.Value = 6*ft + 1.13*in
	if a, err = depth.CheckKnown(read, known, 2); err != nil || a.Agrees {
		t.Errorf("%+v, %v", a, err)
	}
	for field, c := range map[string][2]depth.Value{
		"read.Value": {{Value: -1, U: 1}, known}, "read.U": {{Value: 1}, known},
		"known.Value": {read, {Value: math.Inf(1), U: 1}}, "known.U": {read, {Value: 1, U: math.NaN()}},
	} {
		_, err := depth.CheckKnown(c[0], c[1], 2)
		refused(t, err, field)
	}
	_, err = depth.CheckKnown(read, known, 0)
	refused(t, err, "cover")
}

func TestCheckRods(t *testing.T) {
	read := depth.Value{Value: 6.71 * ft, U: 0.5 * in}
	a, err := depth.CheckRods(read, log10(), 2)
	if err != nil || !a.Agrees {
		t.Errorf("%+v, %v", a, err)
	}
	read.Value = 7.2 * ft // a missed rod would do more
	if a, err = depth.CheckRods(read, log10(), 2); err != nil || a.Agrees {
		t.Errorf("%+v, %v", a, err)
	}
	for field, spoil := range map[string]func(l *depth.RodLog){
		"Start.U": func(l *depth.RodLog) { l.Start.U = 0 },
		"Pitch":   func(l *depth.RodLog) { l.Pitch = math.NaN() },
		"PitchU":  func(l *depth.RodLog) { l.PitchU = 0 },
		"ZeroU":   func(l *depth.RodLog) { l.ZeroU = -1 },
		"LengthU": func(l *depth.RodLog) { l.LengthU = 1 },
		"Rods":    func(l *depth.RodLog) { l.Rods = nil },
		"Rods[3]": func(l *depth.RodLog) { l.Rods[3].Length = 0 },
		"Rods[7]": func(l *depth.RodLog) { l.Rods[7].Pitch = math.Inf(-1) },
	} {
		l := log10()
		spoil(&l)
		_, err := depth.CheckRods(read, l, 2)
		refused(t, err, field)
	}
	l := log10()
	l.Rods = make([]depth.Rod, 100_000)
	_, err = l.Stations()
	refused(t, err, "Rods")
}

// Cutting straight rods into pieces changes no depth; turning all pitches about
// mirrors it; more rods never make the log surer.
func TestRodLogProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := log10()
		l.Pitch = rapid.Float64Range(-0.5, 0.5).Draw(t, "pitch")
		l.Rods = nil
		turned, cut := l, l
		turned.Pitch = -l.Pitch
		before := l.Pitch
		for i := range rapid.IntRange(1, 8).Draw(t, "rods") {
			r := depth.Rod{Length: rapid.Float64Range(1, 10).Draw(t, fmt.Sprint("rod ", i)), Pitch: rapid.Float64Range(-0.5, 0.5).Draw(t, "end")}
			half := math.Tan((math.Atan(before) + math.Atan(r.Pitch)) / 2)
			l.Rods = append(l.Rods, r)
			turned.Rods = append(turned.Rods, depth.Rod{Length: r.Length, Pitch: -r.Pitch})
			cut.Rods = append(cut.Rods, depth.Rod{Length: r.Length / 2, Pitch: half}, depth.Rod{Length: r.Length / 2, Pitch: r.Pitch})
			before = r.Pitch
		}
		a, errA := l.Stations()
		b, errB := turned.Stations()
		c, errC := cut.Stations()
		if errA != nil || errB != nil || errC != nil {
			t.Fatal(errA, errB, errC)
		}
		for i := range a {
			near(t, "turned", b[i].Depth, -a[i].Depth, 1e-10)
			near(t, "cut", c[2*i+1].Depth, a[i].Depth, 1e-10)
			near(t, "forward", c[2*i+1].Advance, a[i].Advance, 1e-10)
			if a[i].U < l.Start.U {
				t.Fatal("surer than at the start")
			}
		}
	})
}
