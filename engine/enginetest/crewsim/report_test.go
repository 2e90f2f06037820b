package crewsim

import (
	"encoding/json"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"firstrod/engine/depth"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var update = flag.Bool("update", false, "write the report anew")

var sizes = Sizes{Seed: 1, Judged: 2000, Diagnosed: 60, HealthyJudged: 20_000, HealthyDiagnosed: 500}

// The figures of the report, and that the file is the one this code makes.
func TestReport(t *testing.T) {
	if testing.Short() {
		t.Skip("a few seconds of simulation")
	}
	rows, err := Report(sizes)
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, rows)
	checkRemarks(t, rows)
	path := filepath.Join("..", "..", "..", "testdata", "crews", "report.md")
	got := Table(rows, sizes)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The last digits of a share hang on the processor's way of multiplying and
	// adding; the file is made on this one.
	if runtime.GOARCH == "amd64" && string(want) != got {
		t.Errorf("%s is not what this code makes: run with -update and look at the difference", path)
	}
}

func checkRows(t *testing.T, rows []Row) {
	t.Helper()
	if blocked := 1 - rows[0].Released[0]; blocked > MostHealthyBlocked {
		t.Errorf("healthy crews blocked: %.3f", blocked)
	}
	if n := rows[0].Plain; n.First < LeastFirst {
		t.Errorf("healthy crews called healthy: %+v", n)
	}
	for _, r := range rows[1:] {
		name := r.Fault.Name + " " + size(r)
		if strings.HasPrefix(r.Stop(), "UNKNOWN") {
			t.Errorf("%s: effect %.3f, released %.3f, and nothing covers it", name, r.Effect, r.Released[0])
		}
		for _, history := range []bool{false, true} {
			if s := r.Named(history); strings.HasPrefix(s, "MISSED") {
				t.Errorf("%s, history %t: %s: %+v %+v", name, history, s, r.Plain, r.History)
			}
		}
	}
}

const base = "../../../policies/base"

// params are those of the base rules, by section and name.
func params(t *testing.T) map[string]map[string]float64 {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(filepath.FromSlash(base), "params.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Params map[string]map[string]any
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	numbers := map[string]map[string]float64{}
	for area, names := range file.Params {
		numbers[area] = map[string]float64{}
		for name, v := range names {
			if n, ok := v.(float64); ok { // a limit may be a list of words
				numbers[area][name] = n
			}
		}
	}
	return numbers
}

// The limits are those the base rules ship with, and the checks named exist.
func TestBaseLimits(t *testing.T) {
	p := params(t)
	l, v := BaseLimits(), p["verification"]
	for name, c := range map[string][2]float64{
		"tape":      {v["tape_doubt_um"] / 1e6, l.Tape},
		"datum":     {v["datum_doubt_um"] / 1e6, l.Datum},
		"step":      {v["display_step_um"] / 1e6, l.Step},
		"cover":     {v["cover_ppm"] / 1e6, l.Cover},
		"guard":     {v["guard_ppm"] / 1e6, l.Guard},
		"tolerance": {v["tolerance_ppm"] / 1e6, l.Tolerance},
		"curvature": {v["curvature_cover_ppm"] / 1e6, l.CurvatureCover},
		"near":      {v["near_mark_um"] / 1e6, nearMark},
		"far":       {v["far_mark_um"] / 1e6, farMark},
		"baseline":  {p["calibration"]["baseline_um"] / 1e6, baseline},
		"margin":    {p["ground"]["noise_margin_mdb"] / 1e3, l.NoiseMargin},
	} {
		if c[0] == 0 || c[0]-c[1] > 1e-9 || c[1]-c[0] > 1e-9 {
			t.Errorf("%s: the base has %g, the simulation %g", name, c[0], c[1])
		}
	}
	for _, f := range Faults() {
		if f.Covers == "" {
			continue
		}
		if _, err := os.Stat(filepath.FromSlash(base + "/" + strings.Replace(f.Covers, ".", "/", 1) + ".rego")); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
}

// The table error_patterns.csv holds the world to account: what its crews would
// read with no hand and no display (derived).
func TestWorldAgainstPatterns(t *testing.T) {
	put := map[string]func(w *World, p float64){
		"scale_tape_only_at_cal":       func(w *World, p float64) { w.BaselineTape = p * Foot },
		"datum_offset_all_marks":       func(w *World, p float64) { w.Datum = p * Foot },
		"const_offset_in_absorbed":     func(w *World, p float64) { w.View, w.ViewAbsorbed = p*Inch, true },
		"const_offset_in_not_absorbed": func(w *World, p float64) { w.View = p * Inch },
		"noise_coherent_plus":          func(w *World, p float64) { w.Background[0].Coherent = p },
		"noise_incoherent":             func(w *World, p float64) { w.Background[0].Incoherent = p },
	}
	lines := patterns(t)
	for _, r := range lines {
		w := World{Planned: 30 * Foot, Background: make([]Background, bands)}
		put[r.name](&w, r.param)
		// Down the hole there is no tape: the table's shift of the mark is taken off.
		down := w.Planned * (1 + w.Effect(0))
		if r.name == "datum_offset_all_marks" {
			down *= (30 + r.param) / 30
		}
		for what, c := range map[string][2]float64{
			"near": {w.AtMark(0, nearMark), r.at5}, "far": {w.AtMark(0, farMark), r.at15}, "down": {down, r.at30},
		} {
			if d := c[0]/Foot - c[1]; d > 1e-10 || d < -1e-10 {
				t.Errorf("%s %g %s: %.12g, want %.12g", r.name, r.param, what, c[0]/Foot, c[1])
			}
		}
	}
	if len(lines) < 15 {
		t.Errorf("only %d lines", len(lines))
	}
}

// The same seed gives the same crews; another does not.
func TestSeeds(t *testing.T) {
	draw := func(seed uint64) Crew { return Draw(rand.New(rand.NewPCG(seed, 0)), nil, 0) }
	a, b, c := draw(1), draw(1), draw(2)
	if a.World.Datum != b.World.Datum || a.Constant[1] != b.Constant[1] {
		t.Error("one seed, two crews")
	}
	if a.World.Datum == c.World.Datum {
		t.Error("two seeds, one crew")
	}
}

// Half healthy crews, half with a fault from the list, all judged and the blocked
// ones diagnosed, on as many processors as there are. The metric is the time for
// 100,000 crews.
func BenchmarkCrews(b *testing.B) {
	judge, err := BaseLimits().Judge()
	if err != nil {
		b.Fatal(err)
	}
	faults := Faults()
	b.RunParallel(func(pb *testing.PB) {
		rng := rand.New(rand.NewPCG(rand.Uint64(), 1))
		for pb.Next() {
			var f Fault
			if rng.IntN(2) == 0 {
				f = faults[rng.IntN(len(faults))]
			}
			c := Draw(rng, f.Put, f.Planned)
			if f.Type != nil {
				f.Type(rng, &c)
			}
			blocked, err := judge.Blocks(c)
			if err == nil && blocked {
				_, err = depth.Diagnose(c.Evidence(false))
			}
			if err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)*100_000, "s/100k-crews")
}
