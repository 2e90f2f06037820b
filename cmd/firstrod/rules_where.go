package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/quantity"
	"firstrod/engine/rules"
)

// where is the place and the day that a verb looks at.
type where struct {
	place, day string
	notes      func() io.Writer // for what is odd about them, beside the output
	noted      bool             // a verb may look at two folders
}

func (w *where) flags(cmd *cobra.Command) *cobra.Command {
	cmd.Flags().StringVar(&w.place, "place", "", "where the bore is, such as US-VA/alder (default: no place, the base alone)")
	cmd.Flags().StringVar(&w.day, "day", "", "the day, such as 2027-06-30 (default: today)")
	w.notes = cmd.ErrOrStderr
	return cmd
}

// set is the rules there on that day.
func (w *where) set(b *rules.Book) (*rules.Set, error) {
	if w.place != "" && !engine.ValidJurisdiction(w.place) {
		return nil, &engine.Error{Kind: engine.Usage, Say: w.place + " is not a place",
			Hint: "write the state, then county and town in small letters, as in US-VA/alder"}
	}
	day := today()
	if w.day != "" {
		v, err := quantity.ParseHuman(quantity.Date, w.day)
		if err != nil {
			return nil, &engine.Error{Kind: engine.Usage, Say: w.day + " is not a day", Hint: "write it like 2027-06-30", Err: err}
		}
		day = v.Base()
	}
	w.noteUnknown(b)
	return b.Set(w.place, day), nil
}

// noteUnknown says whose rules are shown for a place that has none of its own: one
// wrong letter would else pass for a county that changes nothing.
func (w *where) noteUnknown(b *rules.Book) {
	k := engine.Look(b.Places(), w.place)
	if k.Here || w.notes == nil || w.noted {
		return
	}
	w.noted = true
	whose, meant := "the base alone", ""
	if k.Holds != "" {
		whose = k.Holds
	}
	if k.Near != "" {
		meant = "; did you mean " + k.Near + "?"
	}
	fmt.Fprintf(w.notes(), "note: no pack holds in %s; these are the rules of %s%s\n", w.place, whose, meant)
}
