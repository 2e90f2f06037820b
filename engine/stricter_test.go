package engine_test

import (
	"math/rand/v2"
	"strconv"
	"testing"

	"firstrod/engine"
	"firstrod/engine/enginetest"
)

// near is what a crew may say so that many checks stand close to their limits, on
// either side.
var near = map[string][]string{
	"metal_distance": {"20 ft", "31 ft", "60 ft"}, "metal_distance_far": {"20 ft", "31 ft", "60 ft"},
	"background": {"-30 dB", "-8 dB", "0 dB"}, "background_again": {"-30 dB", "-8 dB", "0 dB"}, "signal": {"62 dB", "58 dB"},
	"baseline": {"10 ft", "9 ft 11 1/2 in", "10 ft 3/4 in"}, "second_tape": {"10 ft", "10 ft 1/2 in", "10 ft 1 in"},
	"near_mark": {"5 ft", "5 ft 1/2 in", "5 ft 1 in"}, "far_mark": {"15 ft", "15 ft 1/2 in", "14 ft 11 in"},
	"near_reading":  {"5 ft, 5 ft, 5 ft 1 in", "5 ft 2 in, 5 ft 2 in, 5 ft 2 in", "4 ft 10 in, 4 ft 11 in, 4 ft 10 in", "5 ft", "5 ft 1 in, 5 ft"},
	"far_reading":   {"15 ft, 15 ft, 15 ft 1 in", "15 ft 5 in, 15 ft 5 in, 15 ft 5 in", "14 ft 6 in, 14 ft 6 in, 14 ft 7 in", "15 ft 1 in, 15 ft 2 in, 15 ft 3 in"},
	"known_reading": {"6 ft 3 in", "5 ft 8 in", "6 ft"}, "pitch_first": {"0.2 %", "0.3 %", "0.5 %"}, "pitch_reversed": {"-0.2 %", "0 %"},
	"receiver_charge": {"50 %", "62 %", "80 %"}, "transmitter_charge": {"40 %", "52 %", "80 %"}, "hours_planned": {"8 h", "10 h", "12 h"},
	"line_depth": {"6 ft", "9 ft", "10 ft 6 in", "11 ft"}, "line_size": {"4 in", "24 in"}, "hand_dug": {"1 ft", "4 ft", "5 ft"},
	"bore_depth": {"12 ft", "13 ft"}, "planned_depth": {"14 ft", "40 ft", "80 ft"}, "reamer_size": {"8 in", "20 in"},
	"overhead_line": {"yes"}, "overhead_distance": {"12 ft", "18 ft", "50 ft"}, "overhead_kv": {"40 kV", "120 kV", "400 kV"},
	"null_reading": {"5 ft 2 in", "6 ft 4 in", "6 ft 8 in"}, "rod_reading": {"6 ft", "7 ft 2 in", "7 ft 6 in"}, "seen_reading": {"6 ft 6 in", "5 ft 6 in"},
	"grade_wanted": {"yes"}, "grade": {"-0.4 %", "-0.8 %"}, "grade_tolerance": {"0.1 %", "0.3 %"},
}

// move is a limit of the base, by its name in params.yaml, made stricter.
type move struct {
	name, was, is string
	rare          bool // nothing that these crews say comes close to it
}

// tightened lists every limit that has a stricter direction, by path.
func tightened() map[string]move {
	return map[string]move{
		"calibration.aim_um":                {"aim", "1 in", "0.25 in", true},
		"calibration.baseline_tolerance_um": {"baseline_tolerance", "0.5 in", "0.25 in", false},
		"crew.clearance_to_50kv_um":         {"clearance_to_50kv", "10 ft", "15 ft", false},
		"crew.clearance_to_200kv_um":        {"clearance_to_200kv", "15 ft", "20 ft", true},
		"crew.clearance_to_350kv_um":        {"clearance_to_350kv", "20 ft", "25 ft", true},
		"crew.clearance_to_500kv_um":        {"clearance_to_500kv", "25 ft", "60 ft", false},
		"crew.clearance_to_750kv_um":        {"clearance_to_750kv", "35 ft", "60 ft", true},
		"crew.clearance_to_1000kv_um":       {"clearance_to_1000kv", "45 ft", "60 ft", true},
		"crossings.clearance_um":            {"clearance", "12 in", "48 in", false},
		"crossings.line_doubt_um":           {"line_doubt", "1 in", "36 in", false},
		"crossings.tolerance_zone_um":       {"tolerance_zone", "48 in", "60 in", false},
		"gear.battery_reserve_ppm":          {"battery_reserve", "125 %", "150 %", false},
		"gear.pitch_bias_ppm":               {"pitch_bias", "0.2 %", "0.05 %", false},
		"ground.noise_margin_mdb":           {"noise_margin", "17.4 dB", "40 dB", false},
		"ground.standoff_um":                {"standoff", "30 ft", "45 ft", false},
		"ground.standoff_far_um":            {"standoff_far", "30 ft", "45 ft", false},
		"signoff.longest_s":                 {"longest", "12 h", "6 h", false},
		"signoff.people":                    {"people", "2", "3", true},
		"signoff.roles":                     {"roles", "2", "3", true},
		"verification.curvature_cover_ppm":  {"curvature_cover", "200 %", "100 %", false},
		"verification.good_for_s":           {"good_for", "12 h", "6 h", true},
		"verification.guard_ppm":            {"guard", "100 %", "200 %", false},
		"verification.mark_tolerance_um":    {"mark_tolerance", "0.5 in", "0.25 in", false},
		"verification.readings":             {"readings", "3", "4", false},
		"verification.tolerance_ppm":        {"tolerance", "5 %", "3 %", false},
	}
}

// A limit that is tightened the way its pack calls stricter must never let something
// through that was stopped: by that word local packs may do it without anybody's leave.
func TestWhatIsCalledStricterLoosensNothing(t *testing.T) {
	m := newMemory()
	set := baseRules(t)
	e := remembered(t, m, engine.Everywhere(set)).engine
	random := rand.New(rand.NewPCG(7, 11))
	for i := range 80 {
		crew := &enginetest.Crew{Engine: e, Say: map[string]string{}}
		for ask, words := range near {
			if random.IntN(3) == 0 {
				crew.Say[ask] = words[random.IntN(len(words))]
			}
		}
		bore := "S-" + strconv.Itoa(i)
		hand, _, err := crew.Open(t.Context(), bore)
		if err != nil {
			t.Fatal(err)
		}
		for _, gate := range []engine.Gate{engine.GateRelease, engine.GateDrilling, engine.GateClose} {
			if err := crew.AnswerAll(t.Context(), bore, hand, gate); err != nil {
				t.Fatal(err)
			}
		}
	}
	moved := tightened()
	for _, p := range set.Catalogue().Params {
		if _, there := moved[p.Path]; there != (p.Stricter == "higher" || p.Stricter == "lower") {
			t.Errorf("%s, stricter %q, is tightened here: %t", p.Path, p.Stricter, there)
		}
	}
	for path, c := range moved {
		out := replayed(t, m, set, limit(t, c.name, c.was, c.is), engine.ReplayOptions{Full: true, Examples: 1000})
		fails, holds := 0, ""
		for _, row := range out.Checks {
			fails += row.Fails
			for _, e := range row.Worst {
				// Exempt is no hole: a check that stands back does so where another one stops.
				if e.Is == engine.Pass {
					holds += " " + e.Key + " on " + e.Bore
				}
			}
		}
		if len(out.Passable) > 0 {
			t.Errorf("%s from %s to %s, called stricter, leaves nothing in the way of %+v", path, c.was, c.is, out.Passable)
		}
		if fails == 0 && !c.rare {
			t.Errorf("%s from %s to %s stops nothing; the crews say nothing close to it", path, c.was, c.is)
		}
		if holds != "" {
			t.Errorf("%s from %s to %s, called stricter, lets through:%s", path, c.was, c.is, holds)
		}
	}
}
