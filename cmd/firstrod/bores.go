package main

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// boreRow is one bore in JSON.
type boreRow struct {
	Bore    string    `json:"bore"`
	Title   string    `json:"title"`
	State   string    `json:"state"`
	Verdict string    `json:"verdict,omitempty"` // of a released bore, by the rules in force now
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
			return a.within(cmd.Context(), manner{readOnly: true, ask: true}, func(s *site) error {
				lines, err := s.engine.Bores(cmd.Context(), limit)
				if err != nil {
					return err
				}
				rows := []boreRow{}
				for _, l := range lines {
					verdict, err := s.verdictOf(cmd.Context(), l)
					if err != nil {
						return err
					}
					rows = append(rows, boreRow{l.Bore, l.Title, l.State, verdict, l.Ver, l.Last, l.Logged})
				}
				if a.json {
					return a.printJSON(rows)
				}
				for _, r := range rows {
					state := r.State
					if r.Verdict != "" && r.Verdict != string(engine.Ready) {
						state = "void"
					}
					a.printf("%-20s %-9s %5d records, last %s\n", r.Bore, state, r.Records, r.Logged.Format(time.RFC3339))
				}
				return nil
			})
		},
	}
	cmd.Flags().IntVar(&limit, "limit", 0, "how many at the most; 0 is all")
	return a.jsonFlag(cmd)
}

// verdictOf is how a bore that was released stands now: its time may be over, and
// other rules may have come into force. It is empty for any other bore, and where the
// rules at hand are not those in force.
func (s *site) verdictOf(ctx context.Context, l ledger.BoreLine) (string, error) {
	if l.State != string(engine.Released) || s.engine.Older(s.opening.Publication.Serial) != nil {
		return "", nil
	}
	board, err := s.engine.Board(ctx, l.Bore)
	return string(board.Verdict), err
}
