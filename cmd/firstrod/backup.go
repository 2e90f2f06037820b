package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/backup"
	"firstrod/engine/boltstore"
)

const (
	askBackup        = "backup"
	askBackupWithKey = "backup with key"
	snapshotFolder   = "snapshot-" // and a number
)

// snapshotter gives the ledger as it is at one moment.
type snapshotter interface {
	Snapshot(ctx context.Context, path string) (note []byte, err error)
}

// mailSnapshotter gives the mail.
type mailSnapshotter interface {
	Snapshot(ctx context.Context, path string) error
}

func (a *app) backup() *cobra.Command {
	withKey := false
	cmd := &cobra.Command{
		Use:   "backup FILE",
		Short: "Write the ledger, the evidence and the mail into one file",
		Long: `backup writes one plain tar file: the ledger as it is at this moment, the files of
evidence, the mail, and a list of SHA-256 sums. While "firstrod serve" runs, it asks
that for it and nothing stops; otherwise it opens the data folder itself. FILE gets
its name only once everything is in it, read back, and synced. Where FILE is a folder,
the backup is put into it under the time of now.

The log's secret key is left out: keep one copy of log.key elsewhere, and not beside
the backups. --with-key puts it in; whoever has such a file can write another history.

A backup has the names that were erased after it was made. Keep none for longer than
those names may be kept.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return a.runBackup(cmd.Context(), args[0], withKey) },
	}
	cmd.Flags().BoolVar(&withKey, "with-key", false, "put the log's secret key in as well")
	return a.jsonFlag(cmd)
}

func (a *app) runBackup(ctx context.Context, path string, withKey bool) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		path = filepath.Join(path, "firstrod-"+time.Now().UTC().Format("20060102T150405Z")+".tar")
	case err == nil:
		return &engine.Error{Kind: engine.Usage, Say: "there is a file already: " + path, Hint: "give the backup a name of its own"}
	}
	request := askBackup
	if withKey {
		request = askBackupWithKey
	}
	answer, online, err := askControl(a.config.Data, request)
	if err != nil {
		return err
	}
	var found backup.Contents
	if online {
		defer answer.Close()
		found, err = keepBackup(ctx, path, func(w io.Writer) error { _, err := io.Copy(w, answer); return err })
	} else {
		found, err = keepBackup(ctx, path, func(w io.Writer) error { return a.backupAlone(ctx, w, withKey) })
	}
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(map[string]any{
			"file": path, "origin": found.Origin, "records": found.Size, "root": found.Root, "evidence": found.Evidence,
			"evidence_changed": append([]string{}, found.Changed...), "key": found.Key, "online": online,
		})
	}
	a.printf("%s: %d records, %d files of evidence; read back and whole.\n", path, found.Size, found.Evidence)
	for _, sum := range found.Changed {
		a.printf("CHANGED before the backup was made: evidence %s\n", sum)
	}
	if found.Key {
		a.printf("The log's secret key is in it: keep it as you keep the key.\n")
	}
	return nil
}

// keepBackup writes a backup beside its place, reads it back, and gives it its name.
func keepBackup(ctx context.Context, path string, write func(io.Writer) error) (c backup.Contents, err error) {
	fail := func(err error) error {
		if _, ours := errors.AsType[*engine.Error](err); ours {
			return err
		}
		return &engine.Error{Kind: engine.Storage, Say: "the backup could not be written; nothing of that name is there", Err: err}
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".new-")
	if err != nil {
		return c, fail(err)
	}
	defer func() {
		if err != nil {
			err = fail(errors.Join(err, f.Close(), os.Remove(f.Name())))
		}
	}()
	if err := errors.Join(write(f), f.Sync()); err != nil {
		return c, err
	}
	if c, err = checkFile(ctx, f); err != nil {
		return c, err
	}
	if err := f.Close(); err != nil {
		return c, err
	}
	// Link fails where a file has come there meanwhile; rename would replace it.
	if err := os.Link(f.Name(), path); err != nil {
		return c, err
	}
	return c, errors.Join(os.Remove(f.Name()), syncFolder(filepath.Dir(path)))
}

func checkFile(ctx context.Context, f *os.File) (backup.Contents, error) {
	size, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return backup.Contents{}, err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return backup.Contents{}, err
	}
	return backup.Check(ctx, f, size)
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// backupAlone makes a backup of a folder that nobody else has.
func (a *app) backupAlone(ctx context.Context, w io.Writer, withKey bool) error {
	r, err := boltstore.OpenReader(a.config.Data)
	if err != nil {
		return err
	}
	var mail mailSnapshotter
	if _, serr := os.Stat(filepath.Join(a.config.Data, backup.Mail)); serr == nil {
		m, err := boltstore.OpenMail(a.config.Data)
		if err != nil {
			return errors.Join(err, r.Close())
		}
		mail = m
		defer func() { _ = m.Close() }() // nothing was written to it
	}
	return errors.Join(writeBackup(ctx, w, a.config.Data, r, mail, withKey), r.Close())
}

// controls is what the running service answers.
func (a *app) controls(s *site, mail *boltstore.Mail) map[string]func(context.Context, io.Writer) error {
	answer := func(withKey bool) func(context.Context, io.Writer) error {
		return func(ctx context.Context, w io.Writer) error {
			return writeBackup(ctx, &afterOK{w: w}, a.config.Data, s.store, mail, withKey)
		}
	}
	return map[string]func(context.Context, io.Writer) error{askBackup: answer(false), askBackupWithKey: answer(true)}
}

// afterOK says ok before the first byte.
type afterOK struct {
	w    io.Writer
	said bool
}

func (o *afterOK) Write(b []byte) (int, error) {
	if !o.said {
		if _, err := fmt.Fprintln(o.w, "ok"); err != nil {
			return 0, err
		}
		o.said = true
	}
	return o.w.Write(b)
}

// writeBackup takes snapshots into a folder of its own beside the ledger first, so
// that no transaction is held up by how slow w is. Evidence that records name is on
// the disk before them: what is listed after the snapshot has all of it.
func writeBackup(ctx context.Context, w io.Writer, dir string, l snapshotter, mail mailSnapshotter, withKey bool) (err error) {
	if err := removeSnapshots(dir); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(dir, snapshotFolder)
	if err != nil {
		return &engine.Error{Kind: engine.Storage, Say: "a copy of the ledger cannot be written", Err: err}
	}
	defer func() { err = errors.Join(err, os.RemoveAll(tmp)) }()
	files := []backup.File{{Name: backup.Ledger, Path: filepath.Join(tmp, backup.Ledger)}}
	note, err := l.Snapshot(ctx, files[0].Path)
	if err != nil {
		return err
	}
	if mail != nil {
		f := backup.File{Name: backup.Mail, Path: filepath.Join(tmp, backup.Mail)}
		if err := mail.Snapshot(ctx, f.Path); err != nil {
			return err
		}
		files = append(files, f)
	}
	if path := filepath.Join(dir, cosignedFile); exists(path) {
		files = append(files, backup.File{Name: backup.Cosigned, Path: path})
	}
	evidence, err := evidenceFiles(dir)
	if err != nil {
		return err
	}
	files = append(files, evidence...)
	if withKey {
		files = append(files, backup.File{Name: backup.Key, Path: filepath.Join(dir, backup.Key)})
	}
	return backup.Write(ctx, w, note, files)
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

// removeSnapshots takes away what a run that was killed has left.
func removeSnapshots(dir string) error {
	old, err := filepath.Glob(filepath.Join(dir, snapshotFolder+"*"))
	for _, path := range old {
		err = errors.Join(err, os.RemoveAll(path))
	}
	return err
}

func evidenceFiles(dir string) (files []backup.File, err error) {
	entries, err := os.ReadDir(filepath.Join(dir, "evidence"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &engine.Error{Kind: engine.Storage, Say: "the evidence cannot be read", Err: err}
	}
	for _, e := range entries {
		if len(e.Name()) == 64 { // others are files that are being written
			files = append(files, backup.File{Name: backup.Evidence + e.Name(), Path: filepath.Join(dir, "evidence", e.Name())})
		}
	}
	return files, nil
}
