package main

import (
	"math"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"firstrod/engine/depth"
)

// nullsJSON is a depth from null spacing in JSON; cover is null without a height.
type nullsJSON struct {
	Depth float64  `json:"depth"` // below the antenna
	Cover *float64 `json:"cover"` // below the ground
	Pitch float64  `json:"pitch"` // percent, as it was taken
	Unit  string   `json:"unit"`
	// Of the cover, or of the depth where there is no height; only where the
	// uncertainties of what was measured are given.
	U        *float64 `json:"u,omitempty"`
	Expanded *float64 `json:"U,omitempty"` // at k = 2
}

func (a *app) depthNulls() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "nulls",
		Short: "Depth from the spacing of the front and rear nulls; needs no calibration",
		Long: `nulls gives the depth below the antenna from the distance between the front and
the rear axial null, and the cover below the ground when the height of the
antenna over it is given.

--pitch is in percent, as a receiver shows it: "10 %", or 10. Since 0.1 may mean
0.1 % or 10 %, a pitch below 1 needs the sign.

With --spacing-u and --pitch-u (and --height-u beside a height), all standard
uncertainties (one sigma), it also gives the uncertainty of the result and twice
that, U at k = 2. The half-range of a null point over the root of three is the u of
that point; the spacing has the root of two times as much.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			pitch, err := pitchFlag(cmd.Flags(), "pitch")
			if err != nil {
				return err
			}
			l := lengthsOf(cmd.Flags())
			spacing := l.need("spacing")
			height, withHeight := l.may("height")
			if l.err != nil {
				return l.err
			}
			sight, err := nullDoubts(cmd.Flags(), l, withHeight)
			if err != nil {
				return err
			}
			return a.runNulls(l, spacing, pitch, height, withHeight, sight)
		},
	}
	f := cmd.Flags()
	f.String("spacing", "", "distance between the front and the rear null")
	f.String("pitch", "", `pitch in percent, nose up positive: "10 %"`)
	f.String("height", "", "height of the antenna over the ground")
	f.String("spacing-u", "", "standard uncertainty of the spacing")
	f.String("pitch-u", "", `standard uncertainty of the pitch, in percent: "0.06 %"`)
	f.String("height-u", "", "standard uncertainty of the height")
	return a.jsonFlag(cmd)
}

// nullDoubts are the uncertainties of what is measured, nil where none is given.
func nullDoubts(flags *pflag.FlagSet, l *lengths, withHeight bool) (*depth.NullSight, error) {
	spacing, withSpacing := l.may("spacing-u")
	height, withHeightU := l.may("height-u")
	switch withPitch := flags.Changed("pitch-u"); {
	case l.err != nil:
		return nil, l.err
	case !withSpacing && !withPitch && !withHeightU:
		return nil, nil
	case !withSpacing || !withPitch:
		return nil, wrong("--spacing-u and --pitch-u go together")
	case withHeight != withHeightU:
		return nil, wrong("--height-u goes with --height")
	case !withHeight:
		height = 1e-9 // nothing is taken off: as good as none
	}
	pitch, err := pitchFlag(flags, "pitch-u")
	if err != nil {
		return nil, err
	}
	each := spacing / math.Sqrt2
	return &depth.NullSight{Front: depth.Value{U: each}, Rear: depth.Value{U: each}, Pitch: depth.Value{U: pitch}, Height: depth.Value{U: height}}, nil
}

// pitchFlag reads a pitch in percent as a slope ratio.
func pitchFlag(flags *pflag.FlagSet, name string) (float64, error) {
	percent, signed, err := numberFlag(flags, name, "%")
	switch {
	case err != nil:
		return 0, err
	case !signed && percent != 0 && math.Abs(percent) < 1:
		return 0, wrong(`--%s: is %s meant as %s %% or as %s %%? Write it with the sign`,
			name, plain(percent), plain(percent), plain(percent*100))
	}
	return percent / 100, nil
}

func (a *app) runNulls(l *lengths, spacing, pitch, height float64, withHeight bool, sight *depth.NullSight) error {
	names := map[string]string{"spacing": "--spacing", "pitch": "--pitch", "height": "--height"}
	below, err := depth.DepthFromNulls(spacing, pitch)
	if err != nil {
		return l.refused(err, names)
	}
	j := nullsJSON{Depth: l.out(below), Pitch: pitch * 100, Unit: l.unit}
	said := "without --height the cover below the ground is not known"
	if withHeight {
		cover, err := depth.CoverFromNulls(spacing, pitch, height)
		if err != nil {
			return l.refused(err, names)
		}
		shown := l.out(cover)
		j.Cover, said = &shown, "cover "+l.say(cover)+" below the ground"
	}
	if sight != nil {
		sight.Front.Value, sight.Pitch.Value, sight.Height.Value = spacing, pitch, height
		v, err := sight.Cover()
		if err != nil {
			return l.refused(err, map[string]string{"Front.Value": "--spacing", "Front.U": "--spacing-u", "Rear.U": "--spacing-u",
				"Pitch.Value": "--pitch", "Pitch.U": "--pitch-u", "Height.U": "--height-u"})
		}
		u, expanded := l.out(v.U), l.out(2*v.U)
		j.U, j.Expanded = &u, &expanded
		said += "; good to " + l.sayUp(2*v.U) + " at k = 2"
	}
	if a.json {
		return a.printJSON(j)
	}
	a.printf("%s below the antenna, pitch %s %%; %s\n", l.say(below), plain(j.Pitch), said)
	return nil
}
