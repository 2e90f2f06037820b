package depth

import (
	"cmp"
	"math"
)

// Agreement is a depth from the receiver held against one found another way,
// while drilling; metres. If they disagree by more than the combined expanded
// uncertainty, the check has failed and drilling must stop.
type Agreement struct {
	Other      float64 // the depth found the other way
	Difference float64 // receiver less other
	U          float64 // combined standard uncertainty
	Expanded   float64 // cover times U
	Agrees     bool
}

// CheckKnown holds a depth read by the receiver against one that is measured in
// the open: an exposed utility the head passes, a pit, an exit. Both are values
// with standard uncertainties, in metres; cover is the coverage factor, commonly
// 2. Errors: a [*FieldError]; an uncertainty of zero is refused.
//
// Source: JCGM 100:2008, 5.1.2 for the combination; both taken as independent.
func CheckKnown(read, known Value, cover float64) (Agreement, error) {
	err := cmp.Or(length("read.Value", read.Value), doubt("read.U", read.U),
		length("known.Value", known.Value), doubt("known.U", known.U), within("cover", cover, 1, 10))
	if err != nil {
		return Agreement{}, err
	}
	return agree(read, known, cover), nil
}

func agree(read, other Value, cover float64) Agreement {
	a := Agreement{Other: other.Value, Difference: read.Value - other.Value, U: math.Hypot(read.U, other.U)}
	a.Expanded = cover * a.U
	a.Agrees = math.Abs(a.Difference) <= a.Expanded
	return a
}

// NullSight is where the front and rear axial nulls were found; metres, pitch as
// a slope ratio, each value with its standard uncertainty. Front and Rear are
// places along one line over the bore, from any zero.
type NullSight struct {
	Front, Rear Value
	Pitch       Value
	Height      Value // of the antenna over the ground; 0 with its U if depth is to the antenna
}

// Cover is the depth below the ground in metres from the spacing of the nulls, with
// its standard uncertainty. It needs no calibration. Errors: a [*FieldError] naming
// the field; an uncertainty of zero is refused.
//
// Source: [CoverFromNulls]; derivatives of 2L/sqrt(8+9t^2).
func (n NullSight) Cover() (Value, error) {
	err := cmp.Or(position("Front.Value", n.Front.Value), doubt("Front.U", n.Front.U),
		position("Rear.Value", n.Rear.Value), doubt("Rear.U", n.Rear.U),
		slope("Pitch.Value", n.Pitch.Value), within("Pitch.U", n.Pitch.U, finest, steepest),
		doubt("Height.U", n.Height.U))
	if err != nil {
		return Value{}, err
	}
	spacing := n.Front.Value - n.Rear.Value
	if spacing < shortest {
		return Value{}, &FieldError{"Front.Value", "is not ahead of the rear null"}
	}
	t := n.Pitch.Value
	cover, err := CoverFromNulls(spacing, t, n.Height.Value)
	if err != nil {
		return Value{}, err
	}
	root := 8 + 9*t*t
	bySpacing := 2 / math.Sqrt(root)
	byPitch := 18 * t * spacing / (root * math.Sqrt(root))
	u := math.Hypot(math.Hypot(bySpacing*n.Front.U, bySpacing*n.Rear.U), math.Hypot(byPitch*n.Pitch.U, n.Height.U))
	return settled(Value{cover, u}, "Front.Value", cover, u)
}

// CheckNulls holds a depth below the ground read by the receiver against the
// spacing of the nulls. Errors as in [CheckKnown] and [NullSight.Cover].
//
// Source: [NullSight.Cover] and [CheckKnown].
func CheckNulls(read Value, nulls NullSight, cover float64) (Agreement, error) {
	v, err := nulls.Cover()
	if err != nil {
		return Agreement{}, err
	}
	return CheckKnown(read, v, cover)
}

// CheckRods holds a depth read by the receiver against pitch and rods, at the
// last station of the log. A log that comes out above the ground, as one with its
// signs turned round does, is no error: it disagrees. Errors as in [CheckKnown] for
// read and cover, and as in [RodLog.Stations].
//
// Source: [RodLog.Stations]; JCGM 100:2008, 5.1.2 for the combination.
func CheckRods(read Value, log RodLog, cover float64) (Agreement, error) {
	err := cmp.Or(length("read.Value", read.Value), doubt("read.U", read.U), within("cover", cover, 1, 10))
	if err != nil {
		return Agreement{}, err
	}
	stations, err := log.Stations()
	if err != nil {
		return Agreement{}, err
	}
	last := stations[len(stations)-1]
	a := agree(read, Value{last.Depth, last.U}, cover)
	return settled(a, "Rods", a.Difference, a.Expanded)
}
