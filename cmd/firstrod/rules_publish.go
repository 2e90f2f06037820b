package main

import (
	"context"
	"errors"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
)

// byAndWhy is who publishes, and for what reason. Both go into the record.
type byAndWhy struct{ by, why string }

func (b *byAndWhy) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&b.by, "by", "", "who publishes; it goes into the record")
	cmd.Flags().StringVar(&b.why, "why", "", "the reason; it goes into the record")
}

// given refuses to begin work that would be refused at its end.
func (b *byAndWhy) given() error {
	for flag, text := range map[string]string{"by": b.by, "why": b.why} {
		if strings.TrimSpace(text) == "" {
			return &engine.Error{Kind: engine.Usage, Say: "--" + flag + " is missing",
				Hint: "rules are published by somebody, for a reason: --by NAME --why TEXT"}
		}
	}
	return nil
}

func (a *app) rulesPublish() *cobra.Command {
	who := byAndWhy{}
	cmd := &cobra.Command{
		Use:   "publish DIR",
		Short: "Bring the rules in a folder into force",
		Long: `publish takes a folder with base/ (it may be missing; then the base inside this
program is meant) and local/CODE/. It loads the rules in a process of their own,
runs all their tests, says in words what is stricter or looser than what was
published before, and then names the files as the next publication. A service
that watches the folder uses them from then on. What was changed and not
published is never used.

Nothing is published that does not load, or whose tests do not hold.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := who.given(); err != nil {
				return err
			}
			return a.publish(cmd.Context(), args[0], who)
		},
	}
	who.flags(cmd)
	return cmd
}

func (a *app) publish(ctx context.Context, dir string, who byAndWhy) error {
	c, err := desk.Read(dir)
	if err != nil {
		return a.refusedIn(dir, err)
	}
	if c.Published {
		a.printf("Nothing to publish: these files are publication %d already.\n", c.Publication.Serial)
		return nil
	}
	if err := a.changes(ctx, dir, c, who.by); err != nil {
		return err
	}
	serial, err := desk.Next(dir)
	if err != nil {
		return err
	}
	p := desk.Publication{Serial: serial, Sum: c.Sum, By: who.by, Why: who.why, At: time.Now().UTC().Truncate(time.Second)}
	if err := desk.Publish(dir, p); err != nil {
		return err
	}
	a.sayPublished(p)
	return nil
}

func (a *app) sayPublished(p desk.Publication) {
	a.printf("Published as %d by %s: %s. Sum %.16s.\n", p.Serial, p.By, strings.TrimSuffix(p.Why, "."), p.Sum)
}

// changes makes a candidate ready, as a service would, and says what it changes
// about what was published in dir before it. Nobody publishes what they approved
// themselves.
func (a *app) changes(ctx context.Context, dir string, c desk.Candidate, by string) error {
	after, err := readyBook(ctx, c)
	if err != nil {
		return a.refusedIn(dir, err)
	}
	old, err := a.inForceIn(ctx, dir)
	if err != nil || old == nil {
		return err
	}
	what, err := a.changesOf(old, after)
	if err != nil {
		return err
	}
	what.print(a)
	a.printEnded(after)
	return what.approvedBy(by)
}

// inForceIn is what was published in dir last, or the rules inside this program
// where nothing was; it is nil where that cannot be loaded any more, which is no
// reason to keep it in force.
func (a *app) inForceIn(ctx context.Context, dir string) (*rules.Book, error) {
	before, err := desk.Folder(dir).Kept(ctx)
	if engine.KindOf(err) == engine.NotFound {
		a.printf("Against the rules inside this program, which hold where nothing is published:\n")
		p, err := packsNamed("")
		if err != nil {
			return nil, err
		}
		return p.book(ctx)
	}
	if err != nil {
		return nil, err
	}
	a.printf("Against publication %d:\n", before.Publication.Serial)
	old, err := loadBook(ctx, before)
	if err != nil {
		a.printf("what was published before cannot be loaded, so what changes is not known\n")
		return nil, nil
	}
	return old, nil
}

// refusedIn prints the faults of rules with their files, where it has any.
func (a *app) refusedIn(dir string, err error) error {
	faults := desk.FaultsOf(err)
	if len(faults) == 0 {
		return err
	}
	for _, f := range faults {
		if at := f.Place(); at != "" {
			a.printf("%s: ", filepath.Join(dir, at))
		}
		a.printf("%s\n", f.Say)
		if f.Hint != "" {
			a.printf("    %s\n", f.Hint)
		}
	}
	return unusable(len(faults))
}

func (a *app) rulesRollback() *cobra.Command {
	who := byAndWhy{}
	cmd := &cobra.Command{
		Use:   "rollback DIR [SERIAL]",
		Short: "Put the rules of an earlier publication back into force",
		Long: `rollback puts the files of publication SERIAL back into the folder and publishes
them under a new, higher number; without SERIAL those before the present ones.
Files that were changed and not published are kept in DIR/.published first. Like
publish it says what changes, and refuses rules that do not load any more.`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := who.given(); err != nil {
				return err
			}
			serial, err := earlier(args)
			if err != nil {
				return err
			}
			return a.rollback(cmd.Context(), args[0], serial, who)
		},
	}
	who.flags(cmd)
	return cmd
}

// earlier is the publication that is meant.
func earlier(args []string) (int64, error) {
	if len(args) == 1 {
		return desk.Earlier(args[0])
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	if err != nil || n < 1 {
		return 0, usage(errors.New("the number of a publication is 1 or more, not " + args[1]))
	}
	return n, nil
}

func (a *app) rollback(ctx context.Context, dir string, serial int64, who byAndWhy) error {
	c, err := desk.Kept(dir, serial)
	if err != nil {
		return err
	}
	if err := a.changes(ctx, dir, c, who.by); err != nil {
		return err
	}
	p, err := desk.Rollback(dir, serial, who.by, who.why, time.Now())
	if err != nil {
		return err
	}
	a.printf("The files of publication %d are back.\n", serial)
	a.sayPublished(p)
	return nil
}
