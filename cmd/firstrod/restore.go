package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/backup"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

func (a *app) restore() *cobra.Command {
	var pins []string
	var key string
	cmd := &cobra.Command{
		Use:   "restore FILE --data NEWDIR",
		Short: "Put a backup into a new data folder, after verifying it",
		Long: `restore takes a backup apart beside NEWDIR, verifies its ledger from the first
record to the last, and only then gives the folder its name. It never writes into a
folder that has something in it.

What was recorded after the backup was made is not in it. With --pin FILE, a
checkpoint that was kept elsewhere, restore refuses a backup that is older than that,
or of another ledger: rollback, fork and rewrite are told by name. The first program
that opens the folder records that it was put back, and from how many records.

Put log.key beside it before going on, if the backup was made without. Names that
were erased after the backup was made are in it again: erase them again.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !cmd.Flags().Changed("data") {
				return usage(errors.New("restore wants --data NEWDIR, a new folder"))
			}
			return a.runRestore(cmd.Context(), args[0], pins, key)
		},
	}
	cmd.Flags().StringArrayVar(&pins, "pin", nil, "file with a checkpoint kept from earlier; may be given more than once")
	cmd.Flags().StringVar(&key, "key", "", "the log's public key, if you were given it")
	return a.jsonFlag(cmd)
}

func (a *app) runRestore(ctx context.Context, path string, pinFiles []string, key string) (err error) {
	pins, err := readPins(pinFiles)
	if err != nil {
		return err
	}
	dir := filepath.Clean(a.config.Data)
	if err := emptyPlace(dir); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+".restoring-")
	if err != nil {
		return &engine.Error{Kind: engine.Storage, Say: "the new folder cannot be made", Err: err}
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(tmp))
		}
	}()
	found, err := unpackInto(ctx, path, tmp)
	if err != nil {
		return err
	}
	faults := []faultJSON{}
	sum, err := verifyRestored(tmp, found, ledger.Options{Key: key, Pins: pins}, a.faultTo(&faults))
	if err != nil {
		return err
	}
	if sum.Faults > 0 {
		if err := a.reportRestore(dir, found, sum, faults); err != nil {
			return err
		}
		return errDamaged
	}
	err = errors.Join(boltstore.MarkRestored(tmp, sum.Signed), syncTree(tmp), os.Rename(tmp, dir), syncFolder(filepath.Dir(dir)))
	if err != nil {
		return &engine.Error{Kind: engine.Storage, Say: "the new folder cannot be given its name", Err: err}
	}
	return a.reportRestore(dir, found, sum, faults)
}

// emptyPlace refuses a folder with anything in it.
func emptyPlace(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &engine.Error{Kind: engine.Usage, Say: dir + " is no folder that can be used", Err: err}
	case len(entries) > 0:
		return &engine.Error{Kind: engine.Usage, Say: "there is something in " + dir + " already; a backup is never put over a ledger",
			Hint: "name a new folder with --data, look at both, then decide"}
	}
	return nil
}

func unpackInto(ctx context.Context, path, dir string) (backup.Contents, error) {
	f, err := os.Open(path)
	if err != nil {
		return backup.Contents{}, &engine.Error{Kind: engine.Usage, Say: "the backup cannot be read: " + path, Err: err}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return backup.Contents{}, &engine.Error{Kind: engine.Usage, Say: "the backup cannot be read: " + path, Err: err}
	}
	found, err := backup.Unpack(ctx, f, info.Size(), dir)
	switch {
	case errors.Is(err, backup.ErrBackup):
		return found, &engine.Error{Kind: engine.Damaged, Say: path + " is not a whole backup; nothing was put back", Err: err,
			Hint: "take another one"}
	case err != nil && ctx.Err() == nil:
		return found, &engine.Error{Kind: engine.Storage, Say: "the backup cannot be taken apart; nothing was put back", Err: err}
	}
	return found, err
}

// verifyRestored verifies the ledger that was taken out, and that it is the one the
// backup says.
func verifyRestored(dir string, found backup.Contents, o ledger.Options, report func(ledger.Fault)) (ledger.Summary, error) {
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		return ledger.Summary{}, err
	}
	sum := ledger.Verify(r, o, report)
	note, err := r.Checkpoint()
	if err = errors.Join(err, r.Close()); err != nil {
		return sum, err
	}
	if string(note) != string(found.Checkpoint) {
		sum.Faults++
		report(ledger.Fault{Seq: -1, Code: ledger.FaultCheckpoint, Say: "the checkpoint beside the ledger is not the one in it"})
	}
	return sum, nil
}

// syncTree syncs the folders; each file was when it was written.
func syncTree(dir string) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		return syncFolder(path)
	})
}

func (a *app) reportRestore(dir string, found backup.Contents, sum ledger.Summary, faults []faultJSON) error {
	if a.json {
		return a.printJSON(map[string]any{
			"ok": sum.Faults == 0, "data": dir, "origin": found.Origin, "records": sum.Size, "root": sum.Root.String(), "evidence": found.Evidence,
			"evidence_changed": append([]string{}, found.Changed...), "key": found.Key, "anchored": sum.Anchored, "faults": faults,
		})
	}
	if sum.Faults > 0 {
		a.printf("NOT RESTORED: %d faults; nothing was put in place.\n", sum.Faults)
		return nil
	}
	a.printf("RESTORED into %s: %d records, %d files of evidence; it verifies.\n", dir, sum.Size, found.Evidence)
	for _, c := range found.Changed {
		a.printf("CHANGED before the backup was made: evidence %s\n", c)
	}
	if !sum.Anchored {
		a.printf("Nobody has held it against a checkpoint that was kept elsewhere: --pin FILE.\n")
	}
	if !found.Key {
		a.printf("Put log.key into it, mode 0600, before anything is written.\n")
	}
	a.printf("What was recorded after record %d is not in it; names erased since then are in it again.\n", sum.Size-1)
	return nil
}

// tellRestored says once that this folder was put back.
func (a *app) tellRestored(s *boltstore.Store) {
	if size, ok := s.Restored(); ok {
		fmt.Fprintf(a.err, "firstrod: this ledger was put back from a backup of %d records; that is recorded now.\n"+
			"firstrod: hint: whoever holds a checkpoint of more records knows that some are lost: firstrod verify --pin FILE\n", size)
	}
}
