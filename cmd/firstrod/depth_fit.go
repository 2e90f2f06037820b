package main

import (
	"cmp"

	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// fitJSON is a fitted line in JSON. Fields are only ever added.
type fitJSON struct {
	Intercept   float64  `json:"intercept"`
	InterceptU  float64  `json:"intercept_u"`
	Slope       float64  `json:"slope"`
	SlopeU      float64  `json:"slope_u"`
	Correlation float64  `json:"correlation"`
	ResidualSD  float64  `json:"residual_sd"`
	DOF         int      `json:"dof"`
	Marks       int      `json:"marks"`
	ChiSquared  *float64 `json:"chi_squared,omitempty"`
	At          *float64 `json:"at,omitempty"`
	Predicted   *float64 `json:"predicted,omitempty"`
	PredictedU  *float64 `json:"predicted_u,omitempty"`
}

func (a *app) depthFit() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "fit FILE.csv",
		Short: "Fit a straight line through readings (y) at known distances (x)",
		Long: `fit puts a straight line through the rows of a table with the columns y (what
was read) and x (what is true), in any one unit. Its doubt comes from the
scatter of the rows about the line. With a third column u, the standard
uncertainty of each row, the rows are weighted and the doubt comes from u.

--at gives the reading that the line foretells at another distance. Beyond the
rows its doubt grows.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			line, marks, err := a.fitLine(args[0])
			if err != nil {
				return err
			}
			j := fitJSON{
				Intercept: line.Intercept, InterceptU: line.UIntercept, Slope: line.Slope, SlopeU: line.USlope,
				Correlation: line.Correlation, ResidualSD: line.ResidualSD, DOF: line.DOF, Marks: marks,
			}
			if line.ChiSquared > 0 {
				j.ChiSquared = &line.ChiSquared
			}
			if cmd.Flags().Changed("at") {
				x, _, err := numberFlag(cmd.Flags(), "at", "")
				if err != nil {
					return err
				}
				y, u, err := line.At(x)
				if err != nil {
					return refused(err, map[string]string{"x": "--at"})
				}
				j.At, j.Predicted, j.PredictedU = &x, &y, &u
			}
			return a.printFit(j)
		},
	}
	cmd.Flags().String("at", "", "distance at which to foretell the reading, in the unit of x")
	return a.jsonFlag(cmd)
}

func (a *app) fitLine(path string) (depth.Line, int, error) {
	t, err := a.readTable(path, "y", "x")
	if err != nil {
		return depth.Line{}, 0, err
	}
	marks, fit := make([]depth.Mark, len(t.rows)), depth.FitLineByScatter
	for i := range marks {
		var errU error
		x, errX := t.number(i, "x")
		y, errY := t.number(i, "y")
		marks[i] = depth.Mark{True: x, Read: y}
		if t.has("u") {
			fit = depth.FitLine
			marks[i].U, errU = t.number(i, "u")
		}
		if err := cmp.Or(errX, errY, errU); err != nil {
			return depth.Line{}, 0, err
		}
	}
	line, err := fit(marks)
	return line, len(marks), t.refused(err, map[string]string{"True": "x", "Read": "y", "U": "u"})
}

func (a *app) printFit(j fitJSON) error {
	if a.json {
		return a.printJSON(j)
	}
	offset, offsetU := withDoubt(j.Intercept, j.InterceptU)
	scale, scaleU := withDoubt(j.Slope, j.SlopeU)
	a.printf("reading = %s + %s x distance, from %d rows; they scatter by %s\n", offset, scale, j.Marks, plain(j.ResidualSD))
	a.printf("standard uncertainty: offset %s, scale %s\n", offsetU, scaleU)
	if j.Predicted != nil {
		y, u := withDoubt(*j.Predicted, *j.PredictedU)
		a.printf("at %s it reads %s, standard uncertainty %s\n", plain(*j.At), y, u)
	}
	return nil
}
