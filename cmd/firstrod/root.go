package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/desk"
	"firstrod/engine/exif"
)

// streams are where a verb reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// app is what verbs share: the streams, and the settings once they are read.
type app struct {
	streams
	config config
	json   bool
	hurry  bool // serve waits for nobody, for tests
}

// run is the whole program; it never exits by itself.
func run(ctx context.Context, args []string, s streams) int {
	a := &app{streams: s}
	root := a.root()
	root.SetArgs(args)
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	err := root.ExecuteContext(ctx)
	if err != nil && ctx.Err() != nil {
		err = errors.Join(context.Canceled, err)
	}
	complain(s.err, err, a.json)
	return exitCode(err)
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "firstrod",
		Short: "Checklist, rules and audit for horizontal directional drilling crews",
		Long: `firstrod asks a drilling crew for each value in turn, proves every rule, keeps a
record nobody can quietly rewrite, and says "ready to drill" only when every
rule holds and two people have signed.

It records and computes. The one-call law, local codes, your equipment's
instructions and the competent person on site come before it.

EXIT STATUS
  0 fine   1 could not run   2 wrong usage   3 a rule says stop
  4 the ledger does not verify, or a decision comes out otherwise
  5 a proof file is neither pinned nor witnessed   130 interrupted`,
		SilenceUsage: true, SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error { return arguments(cmd, cobra.NoArgs, args) },
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		PersistentPreRunE: func(cmd *cobra.Command, _ []string) (err error) {
			a.config, err = readConfig(cmd.Flags())
			return err
		},
	}
	configFlags(root.PersistentFlags())
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usage(err) })
	root.AddCommand(a.chat(), a.bores(), a.board(), a.history(), a.rates(), a.verify(), a.rerun(), a.prove(), a.record(), a.evidence(), a.reindex(), a.erase(), a.compact(), a.backup(), a.restore(), a.rotateKey(), a.retain(), a.legalHold(), a.export(), a.checkpoint(), a.witness(), a.rulesVerb(), a.depth(), a.serve(), a.version())
	root.CompletionOptions.HiddenDefaultCmd = true
	for _, cmd := range root.Commands() {
		wrapArgs(cmd)
	}
	return root
}

func usage(err error) error {
	if err == nil {
		return nil
	}
	return &engine.Error{Kind: engine.Usage, Say: err.Error(), Hint: "see firstrod --help"}
}

// jsonFlag is what every reading verb takes.
func (a *app) jsonFlag(cmd *cobra.Command) *cobra.Command {
	cmd.Flags().BoolVar(&a.json, "json", false, "print JSON; fields are only ever added")
	return cmd
}

func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// site is the engine on the data folder.
type site struct {
	store  *boltstore.Store
	engine *engine.Engine

	book    engine.Rulebook // in force when the program started
	opening desk.Opening    // how it came into force
}

// look reads what a picture on the shelf says of itself.
func (s *site) look(ctx context.Context, sum string) (exif.Info, error) {
	data, err := s.store.Kept(ctx, sum)
	return exif.Read(data), err
}

// manner is how a verb opens the data folder.
type manner struct {
	readOnly bool // it does not start a ledger, and writes nothing into one
	ask      bool // it judges bores as they stand now, so it asks for newer rules first
}

// open opens the data folder.
func (a *app) open(ctx context.Context, m manner) (*site, error) {
	if m.readOnly {
		if _, err := os.Stat(filepath.Join(a.config.Data, "ledger.db")); err != nil {
			return nil, &engine.Error{Kind: engine.NotFound, Say: "there is no ledger in " + a.config.Data,
				Hint: "firstrod chat starts one; --data names another folder", Err: err}
		}
	}
	o, err := a.opening(ctx, m.ask)
	if err != nil {
		return nil, err
	}
	store, err := boltstore.Open(a.config.Data, boltstore.Options{})
	if err != nil {
		return nil, err
	}
	a.tellRestored(store)
	var before []inTurn
	if !m.readOnly {
		before, err = a.missed(ctx, store, o.Publication)
	}
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	e, err := enforced(ctx, engine.Config{
		Rules: o.Rulebook, Publication: published(o.Publication), Reopen: reopen, Store: store, Registry: store, ReadOnly: m.readOnly,
	}, before)
	if err != nil {
		return nil, errors.Join(a.olderRules(err), store.Close())
	}
	return &site{store, e, o.Rulebook, o}, nil
}

// with opens the data folder for reading, and closes it whatever happens.
func (a *app) with(ctx context.Context, fn func(*site) error) error {
	return a.within(ctx, manner{readOnly: true}, fn)
}

func (a *app) within(ctx context.Context, m manner, fn func(*site) error) error {
	s, err := a.open(ctx, m)
	if err != nil {
		return err
	}
	return errors.Join(fn(s), s.store.Close())
}

func (a *app) printf(format string, args ...any) { fmt.Fprintf(a.out, format, args...) }
