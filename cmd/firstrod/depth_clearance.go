package main

import (
	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// clearanceJSON is a crossing in JSON; separations are from centre to centre.
type clearanceJSON struct {
	Planned      float64  `json:"planned"`
	Bare         float64  `json:"bare"` // both radii and the code clearance
	NeededLinear float64  `json:"needed_linear"`
	NeededRSS    float64  `json:"needed_rss"`
	P            float64  `json:"p"` // that the true separation is at least bare
	NeededP      *float64 `json:"needed_p,omitempty"`
	Clear        bool     `json:"clear"` // planned is at least needed_linear
	Unit         string   `json:"unit"`
}

// crossingFlags are the flags of a crossing by the engine's names.
func crossingFlags() map[string]string {
	return map[string]string{
		"BoreDepth": "--bore-depth", "BoreU": "--bore-u", "UtilityDepth": "--utility-depth",
		"UtilityU": "--utility-u", "UtilityDiameter": "--utility-diameter", "ReamerDiameter": "--reamer",
		"CodeClearance": "--code", "probability": "--probability",
	}
}

func (a *app) depthClearance() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "clearance",
		Short: "Separation planned and needed at a crossed utility, and the chance it is kept",
		Long: `clearance compares the separation planned at a crossing with the one needed:
both radii, the code's clearance between the walls, and the doubt of both
depths, from centre to centre. The doubts are added in full (linear), which
holds always, and in quadrature (RSS), which holds only for doubts shown to be
random. --bore-u and --utility-u are expanded, at k = 2.

A utility that was not exposed has no usable doubt: there is no answer for it.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l := lengthsOf(cmd.Flags())
			c := depth.Crossing{
				BoreDepth: l.need("bore-depth"), BoreU: l.need("bore-u"),
				UtilityDepth: l.need("utility-depth"), UtilityU: l.need("utility-u"),
				UtilityDiameter: l.need("utility-diameter"), ReamerDiameter: l.need("reamer"),
				CodeClearance: l.need("code"),
			}
			if l.err != nil {
				return l.err
			}
			j := clearanceJSON{Unit: l.unit}
			if cmd.Flags().Changed("probability") {
				p, percent, err := numberFlag(cmd.Flags(), "probability", "%")
				if err != nil {
					return err
				}
				if percent {
					p /= 100
				}
				needed, err := c.RequiredFor(p)
				if err != nil {
					return l.refused(err, crossingFlags())
				}
				needed = l.out(needed)
				j.NeededP = &needed
			}
			return a.runClearance(l, c, j)
		},
	}
	f := cmd.Flags()
	f.String("bore-depth", "", "depth of the bore's centre")
	f.String("bore-u", "", "its expanded uncertainty, k = 2")
	f.String("utility-depth", "", "depth of the utility's centre, where it was exposed")
	f.String("utility-u", "", "its expanded uncertainty, k = 2")
	f.String("utility-diameter", "", "outside diameter of the utility")
	f.String("reamer", "", "diameter of the largest tool that will go through")
	f.String("code", "", "clearance between the walls that the code asks for")
	f.String("probability", "", "also give the separation that keeps the code clearance with this probability")
	return a.jsonFlag(cmd)
}

func (a *app) runClearance(l *lengths, c depth.Crossing, j clearanceJSON) error {
	r, err := c.Assess()
	if err != nil {
		return l.refused(err, crossingFlags())
	}
	j.Planned, j.Bare, j.P = l.out(r.Planned), l.out(r.Bare), r.Probability
	j.NeededLinear, j.NeededRSS, j.Clear = l.out(r.Linear), l.out(r.RSS), r.Planned >= r.Linear
	if a.json {
		return a.printJSON(j)
	}
	word := "HOLDS"
	if !j.Clear {
		word = "BLOCKED"
	}
	a.printf("%s: planned %s, needed %s (random doubts only: %s), centre to centre\n", word,
		l.say(r.Planned, r.Linear, r.RSS), l.say(r.Linear, r.Planned), l.say(r.RSS, r.Planned))
	a.printf("Chance that walls and code clearance are kept: %s\n", chance(j.P))
	if j.NeededP != nil {
		a.printf("For the probability asked for: %s\n", l.sayUp(*j.NeededP*l.size))
	}
	return nil
}
