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
}

func (a *app) depthNulls() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "nulls",
		Short: "Depth from the spacing of the front and rear nulls; needs no calibration",
		Long: `nulls gives the depth below the antenna from the distance between the front and
the rear axial null, and the cover below the ground when the height of the
antenna over it is given.

--pitch is in percent, as a receiver shows it: "10 %", or 10. Since 0.1 may mean
0.1 % or 10 %, a pitch below 1 needs the sign.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			pitch, err := pitchFlag(cmd.Flags())
			if err != nil {
				return err
			}
			l := lengthsOf(cmd.Flags())
			spacing := l.need("spacing")
			height, withHeight := l.may("height")
			if l.err != nil {
				return l.err
			}
			return a.runNulls(l, spacing, pitch, height, withHeight)
		},
	}
	f := cmd.Flags()
	f.String("spacing", "", "distance between the front and the rear null")
	f.String("pitch", "", `pitch in percent, nose up positive: "10 %"`)
	f.String("height", "", "height of the antenna over the ground")
	return a.jsonFlag(cmd)
}

// pitchFlag reads --pitch as a slope ratio.
func pitchFlag(flags *pflag.FlagSet) (float64, error) {
	percent, signed, err := numberFlag(flags, "pitch", "%")
	switch {
	case err != nil:
		return 0, err
	case !signed && percent != 0 && math.Abs(percent) < 1:
		return 0, wrong(`--pitch: is %s meant as %s %% or as %s %%? Write it with the sign`,
			plain(percent), plain(percent), plain(percent*100))
	}
	return percent / 100, nil
}

func (a *app) runNulls(l *lengths, spacing, pitch, height float64, withHeight bool) error {
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
	if a.json {
		return a.printJSON(j)
	}
	a.printf("%s below the antenna, pitch %s %%; %s\n", l.say(below), plain(j.Pitch), said)
	return nil
}
