package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"firstrod/engine/depth"
)

// standoffJSON is a standoff and its effect in JSON; the one that was asked for
// is worked out, the other as it was given.
type standoffJSON struct {
	Standoff float64 `json:"standoff"`
	Error    float64 `json:"error"` // share of depth: 0.01 is 1 %
	Baseline float64 `json:"baseline"`
	Unit     string  `json:"unit"`
}

func (a *app) depthStandoff() *cobra.Command {
	var bothSides bool
	cmd := &cobra.Command{
		Use:   "standoff",
		Short: "How far metal must stay from a calibration line, or what it can do where it is",
		Long: `standoff gives the distance at which metal on one side of a line (with
--both-sides on both) cannot move the depth by more than --error, or with
--standoff the most it can do from there. It holds for any passive metal behind
some plane at that distance, whatever its shape; it is derived, not published. It
does not hold for anything that carries a current of its own.

--error is a share of depth, such as 0.01, or a percentage, such as "1 %".`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l := lengthsOf(cmd.Flags())
			baseline := l.need("baseline")
			standoff, fromStandoff := l.may("standoff")
			if l.err != nil {
				return l.err
			}
			if fromStandoff == cmd.Flags().Changed("error") {
				return wrong("give either --error or --standoff")
			}
			if fromStandoff {
				return a.effectOfMetal(l, baseline, standoff, bothSides)
			}
			share, err := shareFlag(cmd.Flags(), "error")
			if err != nil {
				return err
			}
			return a.roomForMetal(l, baseline, share, bothSides)
		},
	}
	f := cmd.Flags()
	f.String("baseline", "", "length of the calibration line")
	f.String("error", "", `error of depth to stay within: 0.01 or "1 %"`)
	f.String("standoff", "", "distance from the line to the nearest metal")
	f.BoolVar(&bothSides, "both-sides", false, "metal stands on both sides, neither nearer than the standoff")
	return a.jsonFlag(cmd)
}

// shareFlag reads a share of depth. A bare number above 0.1 is more likely meant
// in percent, so it has to say.
func shareFlag(flags *pflag.FlagSet, name string) (float64, error) {
	v, percent, err := numberFlag(flags, name, "%")
	switch {
	case err != nil:
		return 0, err
	case percent:
		return v / 100, nil
	case v > 0.1:
		return 0, wrong(`--%s: is %s meant as %s %% or as %s %%? Write it with the sign`, name, plain(v), plain(v), plain(v*100))
	}
	return v, nil
}

func (a *app) roomForMetal(l *lengths, baseline, share float64, bothSides bool) error {
	room, sides := depth.StandoffFor, "one side"
	if bothSides {
		room, sides = depth.StandoffForBetween, "both sides"
	}
	s, err := room(baseline, share)
	if err != nil {
		return l.refused(err, map[string]string{"baseline": "--baseline", "relError": "--error"})
	}
	if a.json {
		return a.printJSON(standoffJSON{l.out(s), share, l.out(baseline), l.unit})
	}
	a.printf("Metal on %s has to stay %s from a line of %s to move the depth by no more than %s %%.\n",
		sides, l.sayUp(s), l.say(baseline), plain(share*100))
	return nil
}

func (a *app) effectOfMetal(l *lengths, baseline, standoff float64, bothSides bool) error {
	worst, sides := depth.WorstDepthError, "one side"
	if bothSides {
		worst, sides = depth.WorstDepthErrorBetween, "both sides"
	}
	e, err := worst(baseline, standoff)
	if err != nil {
		return l.refused(err, map[string]string{"baseline": "--baseline", "standoff": "--standoff"})
	}
	if a.json {
		return a.printJSON(standoffJSON{l.out(standoff), e, l.out(baseline), l.unit})
	}
	a.printf("Metal on %s at %s from a line of %s can move the depth by up to %s.\n",
		sides, l.say(standoff), l.say(baseline), percentUp(e))
	return nil
}
