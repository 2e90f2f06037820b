package main

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/exif"
	"firstrod/engine/ledger"
)

// evidenceJSON is one file of evidence in JSON.
type evidenceJSON struct {
	Record    int64     `json:"record"`
	Sum       string    `json:"sum"`
	Type      string    `json:"type"`
	Size      int64     `json:"size"`
	Name      string    `json:"name"`
	By        string    `json:"by"`
	Role      string    `json:"role"`
	At        time.Time `json:"at"`
	State     string    `json:"state"` // "whole", "missing", "changed" or "unreadable"
	Taken     string    `json:"taken"` // as the picture says itself
	Place     bool      `json:"place"` // it says where it was taken
	Latitude  *float64  `json:"latitude,omitempty"`
	Longitude *float64  `json:"longitude,omitempty"`
	File      string    `json:"file,omitempty"` // that it was written to

	data []byte
}

// evidenceFlags are what evidence is told.
type evidenceFlags struct {
	out   string
	place bool
}

func (a *app) evidence() *cobra.Command {
	var f evidenceFlags
	cmd := &cobra.Command{
		Use:   "evidence BORE",
		Short: "List the pictures and files that were given as evidence",
		Long: `evidence lists what was shown on a bore: SHA-256, type, size, who gave it and
when, and when a picture says itself that it was taken. A file that is missing or
was changed is named.

With --out DIR it writes the files there, under names made of the record and the
SHA-256, never the name that a file came with, and over nothing that is there.

Where a picture was taken is nobody's business but a safety manager's: only with
--place are coordinates shown, and the files written as they were given. Without
it a picture that says where it was taken is written without that, and is then
not the file that the SHA-256 names.

EXIT STATUS  0 fine   4 a file is missing or was changed   1 could not run`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := engine.BoreID(args[0])
			if err != nil {
				return err
			}
			return a.with(cmd.Context(), func(s *site) error { return a.runEvidence(cmd.Context(), s, id, f) })
		},
	}
	cmd.Flags().StringVar(&f.out, "out", "", "folder to write the files to")
	cmd.Flags().BoolVar(&f.place, "place", false, "with the places where pictures say they were taken")
	return a.jsonFlag(cmd)
}

func (a *app) runEvidence(ctx context.Context, s *site, bore string, f evidenceFlags) error {
	if err := known(ctx, s, bore); err != nil {
		return err
	}
	zone, err := a.zone(ctx, s, bore, false)
	if err != nil {
		return err
	}
	var shelf *outFolder
	if f.out != "" {
		if shelf, err = openOut(f.out); err != nil {
			return err
		}
		defer shelf.close()
	}
	all, bad := []evidenceJSON{}, 0
	err = s.store.Bore(ctx, bore, 1, func(r ledger.Record) error {
		for _, file := range r.Shown {
			e := s.given(ctx, r, file, f.place)
			if e.State != "whole" {
				bad++
			} else if shelf != nil {
				if err := shelf.write(&e, f.place); err != nil {
					return err
				}
			}
			e.data = nil
			all = append(all, e)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := a.printEvidence(bore, all, zone); err != nil {
		return err
	}
	if bad > 0 {
		return errDamaged
	}
	return nil
}

// given is a file as a record names it, and as it lies there now.
func (s *site) given(ctx context.Context, r ledger.Record, f ledger.File, place bool) evidenceJSON {
	e := evidenceJSON{Record: r.Seq, Sum: f.Sum, Type: f.Type, Size: f.Size, Name: f.Name, At: r.At.UTC(), State: "whole"}
	if r.By != nil {
		p, _ := s.engine.Person(r.By.ID)
		e.By, e.Role = p.Name, r.By.Role
	}
	data, err := s.store.Kept(ctx, f.Sum)
	if err != nil {
		e.State = "unreadable"
		switch engine.KindOf(err) {
		case engine.NotFound:
			e.State = "missing"
		case engine.Damaged:
			e.State = "changed"
		}
		return e
	}
	info := exif.Read(data)
	e.data, e.Taken, e.Place = data, info.When(), info.Place != nil
	if place && info.Place != nil {
		e.Latitude, e.Longitude = &info.Place.Latitude, &info.Place.Longitude
	}
	return e
}

func (a *app) printEvidence(bore string, all []evidenceJSON, zone *time.Location) error {
	if a.json {
		return a.printJSON(all)
	}
	a.printf("%d files were given as evidence on bore %s, times in %s\n", len(all), bore, zone)
	for _, e := range all {
		a.printf("\n[%d] %s  %s, %s\n", e.Record, e.At.In(zone).Format("2006-01-02 15:04"), e.By, e.Role)
		a.printf("  %q, %s, %d bytes\n  SHA-256 %s\n", e.Name, e.Type, e.Size, e.Sum)
		switch e.State {
		case "whole":
		case "missing":
			a.printf("  MISSING: it is not in the data folder any more.\n")
		default:
			a.printf("  NOT WHOLE: what lies in the data folder is %s.\n", e.State)
		}
		if e.Taken != "" {
			a.printf("  taken %s by the clock of whatever took it\n", e.Taken)
		}
		switch {
		case e.Latitude != nil:
			a.printf("  at %s\n", exif.Place{Latitude: *e.Latitude, Longitude: *e.Longitude})
		case e.Place:
			a.printf("  place on file\n")
		}
		if e.File != "" {
			a.printf("  written to %s\n", e.File)
		}
	}
	return nil
}
