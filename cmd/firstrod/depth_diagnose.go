package main

import (
	"errors"
	"math"

	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// diagnosisJSON is a diagnosis in JSON, most likely cause first.
type diagnosisJSON struct {
	Causes []causeJSON   `json:"causes"`
	Apart  bool          `json:"apart"`  // the first is clearly likelier than the rest
	Rivals int           `json:"rivals"` // how many of the first are as good as one another
	Next   depth.ExtraID `json:"next,omitempty"`
	Ask    string        `json:"ask,omitempty"` // next, in words
}

type causeJSON struct {
	ID         depth.CauseID `json:"id"`
	Likelihood float64       `json:"likelihood"`
	Size       float64       `json:"size"`
	Unit       string        `json:"size_unit,omitempty"`
	Where      string        `json:"where,omitempty"`
	Say        string        `json:"say"`
	Do         string        `json:"do"`
}

func (a *app) depthDiagnose() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "diagnose FILE.csv",
		Short: "The likely cause of readings that do not agree, and what to do",
		Long: `diagnose ranks what may be wrong with the readings of a table: its columns are y
(what was read) and x (the distance of the mark), one row for each reading, as
numbers in the unit of --baseline. Further columns may be there:
  frequency   name of the frequency; without it all rows are of one
  fresh       yes for a mark at the length of the baseline that was laid out
              anew, with another tape
  constant    signal at the baseline less what this pair used to give, in dB,
  constant_u  and its standard uncertainty
  margin      signal at the baseline over the background, in dB
The last three are facts of a frequency: one of its rows has them, or all the same.

--tape and --datum are half-ranges, --step is the whole step of the display. All
lengths need a unit here, since a slip of units shows only in one. --lang es gives
the sentences in Spanish.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			l := lengthsOf(cmd.Flags())
			e := depth.Evidence{Baseline: l.need("baseline"), Tape: l.need("tape"), Datum: l.need("datum"), Step: l.need("step")}
			e.Hand, _ = l.may("hand")
			if l.err == nil && l.unit == "" {
				l.err = wrong(`--baseline: give it a unit, such as "10 ft"`)
			}
			if l.err != nil {
				return l.err
			}
			return a.runDiagnose(l, args[0], e)
		},
	}
	f := cmd.Flags()
	f.String("baseline", "", "distance the receiver was told while calibrating")
	f.String("tape", "", "how far off one taped distance may be, either way")
	f.String("datum", "", "how far off the centre marks may be, either way, the same at every mark")
	f.String("step", "", "step of the display")
	f.String("hand", "", "standard uncertainty of one reading from how the receiver is held; without it the step covers it")
	return a.jsonFlag(cmd)
}

func (a *app) runDiagnose(l *lengths, path string, e depth.Evidence) error {
	s, err := a.sightings(path, l.size)
	if err != nil {
		return err
	}
	e.Bands = s.bands
	d, err := depth.Diagnose(e)
	if field, ok := errors.AsType[*depth.FieldError](err); ok {
		return l.refused(s.refused(field), map[string]string{
			"Baseline": "--baseline", "Tape": "--tape", "Datum": "--datum", "Step": "--step", "Hand": "--hand"})
	}
	if err != nil {
		return err
	}
	j := diagnosisJSON{Apart: d.Apart, Rivals: d.Rivals, Next: d.Next}
	for _, c := range d.Ranked {
		row := causeJSON{ID: c.ID, Likelihood: c.Likelihood, Where: s.say(c.Where)}
		row.Size, row.Unit = sizeShown(l, c)
		if row.Say, row.Do, err = depth.CauseWords(a.config.Lang, c.ID); err != nil {
			return err
		}
		j.Causes = append(j.Causes, row)
	}
	if d.Next != "" {
		if j.Ask, err = depth.ExtraWords(a.config.Lang, d.Next); err != nil {
			return err
		}
	}
	return a.printDiagnosis(j)
}

// sizeShown is the size of a cause in a unit that people read.
func sizeShown(l *lengths, c depth.Cause) (float64, string) {
	switch c.ID {
	case depth.CauseBaseline, depth.CauseDatum, depth.CauseView, depth.CauseViewAbsorbed, depth.CauseMetal, depth.CauseSlip:
		return l.out(c.Size), l.unit
	case depth.CauseInterference, depth.CauseBackground, depth.CauseGear:
		return c.Size, "dB"
	case depth.CauseAim:
		return c.Size * 180 / math.Pi, "deg"
	case depth.CauseTape:
		return c.Size * 100, "%"
	}
	return c.Size, ""
}

func (a *app) printDiagnosis(j diagnosisJSON) error {
	if a.json {
		return a.printJSON(j)
	}
	first := j.Causes[0]
	where := ""
	if first.Where != "" {
		where = " (" + first.Where + ")"
	}
	a.printf("%s: %s%s\n%s\n", chance(first.Likelihood), first.Say, where, first.Do)
	if j.Apart {
		return nil
	}
	for _, c := range j.Causes[1:min(max(j.Rivals, 2), len(j.Causes))] {
		a.printf("%s: %s\n", chance(c.Likelihood), c.Say)
	}
	a.printf("%s\n", j.Ask)
	return nil
}
