package engine

import (
	"firstrod/engine/depth"
	"firstrod/engine/quantity"
)

// rodDerivations hold the depth shown at the end of the last rod against pitch and
// rods. The depth shown is taken to be as good as its verification says, the log as
// its rods, its start and its pitches, both at the rules' coverage factor.
func rodDerivations() []derivation {
	reads := []string{"rod_length", "rod_entry_pitch", "rod_pitches", "rod_start", "rod_reading"}
	params := []string{"tracking.rod_doubt_ppm", "tracking.start_doubt_um", "tracking.pitch_doubt_ppm",
		"gear.pitch_bias_ppm", "verification.tolerance_ppm", "verification.cover_ppm"}
	pick := func(leaf string, kind quantity.Kind, of func(a depth.Agreement) (int64, error)) derivation {
		return derivation{leaf: leaf, kind: kind, reads: reads, params: params, of: func(v known) (int64, error) {
			a, err := rodAgreement(v)
			if err != nil {
				return 0, err
			}
			return of(a)
		}}
	}
	return []derivation{
		pick("derived.rods_depth_um", quantity.Length, func(a depth.Agreement) (int64, error) { return down(a.Other / micro) }),
		pick("derived.rods_error_um", quantity.Length, func(a depth.Agreement) (int64, error) { return away(a.Difference / micro) }),
		pick("derived.rods_allowed_um", quantity.Length, func(a depth.Agreement) (int64, error) { return down(a.Expanded / micro) }),
		{
			leaf: "derived.rods_count", kind: quantity.Count, reads: []string{"rod_pitches"},
			of: func(v known) (int64, error) { return int64(len(v.list("rod_pitches"))), nil },
		},
	}
}

func rodAgreement(v known) (depth.Agreement, error) {
	share := func(param string) float64 { return depth.Rectangular(v.param(param) * micro) }
	log := depth.RodLog{
		Start: depth.Value{Value: v.num("rod_start") * micro, U: share("tracking.start_doubt_um")},
		Pitch: v.num("rod_entry_pitch") * micro, PitchU: share("tracking.pitch_doubt_ppm"),
		ZeroU: share("gear.pitch_bias_ppm"), LengthU: share("tracking.rod_doubt_ppm"),
	}
	for _, pitch := range v.list("rod_pitches") {
		log.Rods = append(log.Rods, depth.Rod{Length: v.num("rod_length") * micro, Pitch: pitch * micro})
	}
	cover, read := v.param("verification.cover_ppm")*micro, v.num("rod_reading")*micro
	return depth.CheckRods(depth.Value{Value: read, U: read * v.param("verification.tolerance_ppm") * micro / cover}, log, cover)
}
