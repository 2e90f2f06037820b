package main

import (
	"slices"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine/desk"
)

// publishedJSON is what a folder says about itself.
type publishedJSON struct {
	Changed bool              `json:"changed"` // files were changed and not published
	Sum     string            `json:"sum"`     // of the files as they are
	Serial  int64             `json:"serial"`  // that publication.json names; 0: none
	All     []publicationJSON `json:"all"`     // the newest first
}

type publicationJSON struct {
	desk.Publication
	Lost bool `json:"lost"` // its copy is not there, or not what was published
}

func (a *app) rulesPublished() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:   "published DIR",
		Short: "List who published which rules in a folder, when and why",
		Long: `published lists the publications of a folder, the newest first, and says whether
its files are what was published last. The numbers are those that "rules rollback"
takes.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			c, err := desk.Read(args[0])
			if err != nil {
				return a.refusedIn(args[0], err)
			}
			v := publishedJSON{!c.Published, c.Sum, c.Publication.Serial, []publicationJSON{}}
			serials, err := desk.Serials(args[0])
			if err != nil {
				return err
			}
			for _, n := range slices.Backward(serials) {
				one, err := desk.Kept(args[0], n)
				one.Publication.Serial = n
				v.All = append(v.All, publicationJSON{one.Publication, err != nil})
			}
			if a.json {
				return a.printJSON(v)
			}
			a.printPublished(c, v.All)
			return nil
		},
	})
}

func (a *app) printPublished(c desk.Candidate, all []publicationJSON) {
	if c.Published {
		a.printf("The files are publication %d.\n", c.Publication.Serial)
	} else {
		a.printf("NOT IN FORCE: %s.\n", c.Unpublished)
	}
	for _, p := range all {
		if p.Lost {
			a.printf("%d  its copy is damaged\n", p.Serial)
			continue
		}
		a.printf("%d  %s  %s: %s\n", p.Serial, p.At.UTC().Format(time.RFC3339), p.By, p.Why)
		if p.RollbackOf > 0 {
			a.printf("   the files of %d again\n", p.RollbackOf)
		}
	}
}
