package main

import (
	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// conformJSON is a decision in JSON.
type conformJSON struct {
	P       float64       `json:"p"`
	Verdict depth.Verdict `json:"verdict"`
	Guard   float64       `json:"guard"` // width of the guard band, in the unit of the value
}

// limits is what a value is held against; a nil limit is none.
type limits struct {
	lower, upper *float64
	value, u     float64
}

func (a *app) depthConform() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "conform",
		Short: "Chance that a measured value lies within its limits, and a guarded verdict",
		Long: `conform takes a measured value, its standard uncertainty u and one or two
limits, all in one unit. p is the probability that the true value lies within
the limits, for a normal distribution.

The verdict keeps a band of guard times U = 2u from each limit:
  holds        inside by at least the band
  fails        outside by more than the band
  repeat       between: too close to say
  not_capable  the bands fill the whole space between two limits`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l := lengthsOf(cmd.Flags())
			w := limits{value: l.need("value"), u: l.need("u")}
			if v, given := l.may("lower"); given {
				w.lower = &v
			}
			if v, given := l.may("upper"); given {
				w.upper = &v
			}
			if l.err != nil {
				return l.err
			}
			guard, _, err := numberFlag(cmd.Flags(), "guard", "")
			if err != nil {
				return err
			}
			if guard < 0 || guard > 10 {
				return wrong("--guard: %g is outside 0 to 10", guard)
			}
			return a.runConform(l, w, guard)
		},
	}
	f := cmd.Flags()
	f.String("lower", "", "lower limit")
	f.String("upper", "", "upper limit")
	f.String("value", "", "the value measured")
	f.String("u", "", "its standard uncertainty (one sigma)")
	f.String("guard", "1", "width of the guard band, as a multiple of U = 2u")
	return a.jsonFlag(cmd)
}

func (a *app) runConform(l *lengths, w limits, guard float64) error {
	p, err := depth.Conformance(w.lower, w.upper, w.value, w.u)
	if err != nil {
		return l.refused(err, map[string]string{"lower": "--lower", "upper": "--upper", "value": "--value", "u": "--u"})
	}
	band := guard * 2 * w.u
	verdict := w.verdict(band)
	if a.json {
		return a.printJSON(conformJSON{P: p, Verdict: verdict, Guard: l.out(band)})
	}
	a.printf("%s\nChance that the true value lies within the limits: %s.\n", verdictLine(verdict), chance(p))
	return nil
}

// verdict is depth.Decide for limits that need not be two, nor lie evenly about
// zero: the room to the nearer limit decides.
func (w limits) verdict(band float64) depth.Verdict {
	if w.lower != nil && w.upper != nil && 2*band >= *w.upper-*w.lower {
		return depth.NotCapable
	}
	holds, fails := true, false
	if w.lower != nil {
		holds = w.value >= *w.lower+band
		fails = w.value < *w.lower-band
	}
	if w.upper != nil {
		holds = holds && w.value <= *w.upper-band
		fails = fails || w.value > *w.upper+band
	}
	switch {
	case holds:
		return depth.Holds
	case fails:
		return depth.Fails
	}
	return depth.Repeat
}
