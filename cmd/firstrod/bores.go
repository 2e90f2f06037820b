package main

import (
	"time"

	"github.com/spf13/cobra"
)

// boreRow is one bore in JSON.
type boreRow struct {
	Bore    string    `json:"bore"`
	Title   string    `json:"title"`
	State   string    `json:"state"`
	Records int64     `json:"records"`
	Last    int64     `json:"last_record"`
	Logged  time.Time `json:"logged"`
}

func (a *app) bores() *cobra.Command {
	limit := 0
	cmd := &cobra.Command{
		Use:   "bores",
		Short: "List the bores, the one that moved last first",
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.with(cmd.Context(), func(s *site) error {
				lines, err := s.engine.Bores(cmd.Context(), limit)
				if err != nil {
					return err
				}
				rows := []boreRow{}
				for _, l := range lines {
					rows = append(rows, boreRow{l.Bore, l.Title, l.State, l.Ver, l.Last, l.Logged})
				}
				if a.json {
					return a.printJSON(rows)
				}
				for _, r := range rows {
					a.printf("%-20s %-9s %5d records, last %s\n", r.Bore, r.State, r.Records, r.Logged.Format(time.RFC3339))
				}
				return nil
			})
		},
	}
	cmd.Flags().IntVar(&limit, "limit", 0, "how many at the most; 0 is all")
	return a.jsonFlag(cmd)
}
