package main

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// budgetJSON is a budget in JSON; dof is null when it is infinite.
type budgetJSON struct {
	U        float64     `json:"u"`
	DOF      *float64    `json:"dof"`
	K        float64     `json:"k"`
	Expanded float64     `json:"U"`
	Coverage float64     `json:"coverage"`
	Shares   []shareJSON `json:"shares"`
}

type shareJSON struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

func (a *app) depthBudget() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "budget FILE.csv",
		Short: "Combine parts of doubt into one expanded uncertainty",
		Long: `budget adds the parts of a table in quadrature. Its columns are name, u
(standard uncertainty), dof (degrees of freedom of u; empty: infinite) and
sensitivity (how much the result moves per unit of it; 1 for a part already in
the unit of the result).

k is Student's factor for the effective degrees of freedom, rounded down, at the
two-sided coverage asked for; U is k times u.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			coverage, percent, err := numberFlag(cmd.Flags(), "coverage", "%")
			if err != nil {
				return err
			}
			if percent {
				coverage /= 100
			}
			b, err := a.budget(args[0], coverage)
			if err != nil {
				return err
			}
			return a.printBudget(b)
		},
	}
	cmd.Flags().String("coverage", "0.9545", `two-sided coverage: 0.95 or "95 %"`)
	return a.jsonFlag(cmd)
}

func (a *app) budget(path string, coverage float64) (depth.Budget, error) {
	t, err := a.readTable(path, "name", "u", "dof", "sensitivity")
	if err != nil {
		return depth.Budget{}, err
	}
	parts := make([]depth.Part, len(t.rows))
	for i := range parts {
		if parts[i], err = t.part(i); err != nil {
			return depth.Budget{}, err
		}
	}
	b, err := depth.Combine(parts, coverage)
	return b, t.refused(err, map[string]string{
		"U": "u", "DOF": "dof", "Sensitivity": "sensitivity", "coverage": "--coverage",
	})
}

// part is one row. Only an empty dof stands for infinite: zero is refused.
func (t *table) part(row int) (depth.Part, error) {
	p := depth.Part{Name: t.text(row, "name")}
	if p.Name == "" {
		return p, wrong("%s line %d: name is empty", t.name, t.lines[row])
	}
	var errU, errS, errDOF error
	p.U, errU = t.number(row, "u")
	p.Sensitivity, errS = t.number(row, "sensitivity")
	if t.text(row, "dof") != "" {
		p.DOF, errDOF = t.number(row, "dof")
		if errDOF == nil && p.DOF == 0 {
			errDOF = wrong("%s line %d: dof is 0; leave it empty for infinite", t.name, t.lines[row])
		}
	}
	return p, cmp.Or(errU, errDOF, errS)
}

func (a *app) printBudget(b depth.Budget) error {
	if a.json {
		j := budgetJSON{U: b.U, K: b.K, Expanded: b.Expanded, Coverage: b.Coverage, Shares: []shareJSON{}}
		if b.DOF > 0 {
			j.DOF = &b.DOF
		}
		for _, s := range b.Shares {
			j.Shares = append(j.Shares, shareJSON(s))
		}
		return a.printJSON(j)
	}
	_, whole := withDoubt(0, b.Expanded)
	_, standard := withDoubt(0, b.U)
	freedom := "infinite"
	if b.DOF > 0 {
		freedom = fmt.Sprintf("%.1f", b.DOF)
	}
	a.printf("U = %s: u %s, k %.2f at %s %%, degrees of freedom %s\n", whole, standard, b.K, plain(b.Coverage*100), freedom)
	largest := make([]string, 0, 3)
	for _, s := range b.Shares[:min(3, len(b.Shares))] {
		largest = append(largest, fmt.Sprintf("%s %.0f %%", s.Name, s.Share*100))
	}
	a.printf("largest: %s\n", strings.Join(largest, ", "))
	return nil
}
