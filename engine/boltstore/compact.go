package boltstore

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

const (
	compactEnding = ".compact"
	compactBatch  = 4 << 20 // bytes in one transaction of the copy
)

// Compacted is what a compaction did to the size of the ledger, in bytes.
type Compacted struct{ Before, After int64 }

// Compact copies the ledger in dir, and the mail where there is one, into new
// files that have nothing in them but what counts: a bbolt file never shrinks, and
// keeps what was deleted in pages that are free. The new ledger is verified and
// synced before it takes the place of the old one; cut short anywhere, the old one
// is still there. It gives engine.Busy when another process has the folder.
//
// What the old file had may still lie in blocks of the disk that are free now, in
// snapshots of the file system, and in backups.
func Compact(dir string) (Compacted, error) {
	unlock, err := lockDir(dir)
	if err != nil {
		return Compacted{}, err
	}
	defer unlock()
	c, err := compact(filepath.Join(dir, ledgerFile), boltOptions(Options{}.withDefaults()), verified)
	if err != nil {
		return c, err
	}
	mail := filepath.Join(dir, mailFile)
	if _, err := os.Stat(mail); errors.Is(err, fs.ErrNotExist) {
		return c, nil
	}
	_, err = compact(mail, mailOptions(), func(string) error { return nil })
	return c, err
}

func compact(path string, o *bolt.Options, check func(path string) error) (Compacted, error) {
	if _, err := os.Stat(path); err != nil {
		return Compacted{}, openError(err)
	}
	src, err := openFile(path, o)
	if err != nil {
		return Compacted{}, err
	}
	fresh := path + compactEnding
	err = copyInto(fresh, src)
	if err == nil {
		err = check(fresh)
	}
	var c Compacted
	if err == nil {
		c.Before, c.After, err = sizes(path, fresh)
	}
	if err == nil {
		err = errors.Join(os.Rename(fresh, path), syncDir(filepath.Dir(path)))
	}
	if err != nil {
		err = errors.Join(err, src.Close())
		if rm := os.Remove(fresh); rm != nil && !errors.Is(rm, fs.ErrNotExist) {
			err = errors.Join(err, rm)
		}
		if _, ours := errors.AsType[*engine.Error](err); ours {
			return Compacted{}, err
		}
		return Compacted{}, cannot("the ledger could not be compacted; it is as it was", err)
	}
	return c, src.Close()
}

// copyInto writes a synced copy of src, without its free pages. One that was cut
// short is started over.
func copyInto(fresh string, src *bolt.DB) error {
	if err := os.Remove(fresh); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	dst, err := bolt.Open(fresh, 0o600, &bolt.Options{Timeout: lockWait, FreelistType: bolt.FreelistMapType, NoStatistics: true})
	if err != nil {
		return err
	}
	err = guard(func() error { return bolt.Compact(dst, src, compactBatch) })
	return errors.Join(err, dst.Sync(), dst.Close())
}

func sizes(a, b string) (int64, int64, error) {
	x, err := os.Stat(a)
	if err != nil {
		return 0, 0, err
	}
	y, err := os.Stat(b)
	if err != nil {
		return 0, 0, err
	}
	return x.Size(), y.Size(), nil
}

// verified verifies a ledger file from its first record to its last.
func verified(path string) error {
	r, err := openReader(path)
	if err != nil {
		return err
	}
	var first string
	sum := ledger.Verify(r, ledger.Options{}, func(f ledger.Fault) {
		if first == "" {
			first = f.Code + ": " + f.Say
		}
	})
	if err := r.Close(); err != nil {
		return cannot("the copy of the ledger cannot be closed", err)
	}
	if sum.Faults == 0 {
		return nil
	}
	return &engine.Error{
		Kind: engine.Damaged, Say: fmt.Sprintf("the copy does not verify, %d faults; the ledger is as it was. The first: %s", sum.Faults, first),
		Hint: "firstrod verify says whether the ledger itself does",
	}
}

// openFile opens a file for writing. Between waiting for its lock and getting it
// another process may have put a new file in its place: what was written to the
// old one then would be nowhere.
func openFile(path string, o *bolt.Options) (*bolt.DB, error) {
	var file *os.File
	o.OpenFile = func(name string, flag int, mode os.FileMode) (*os.File, error) {
		f, err := os.OpenFile(name, flag, mode)
		if file == nil { // copies open it again later
			file = f
		}
		return f, err
	}
	var db *bolt.DB
	err := guard(func() (err error) {
		db, err = bolt.Open(path, 0o600, o)
		return err
	})
	if err != nil {
		return nil, openError(err)
	}
	ours, err := file.Stat()
	now, nerr := os.Stat(path)
	if err = errors.Join(err, nerr); err != nil {
		return nil, cannot("the ledger cannot be opened", errors.Join(err, db.Close()))
	}
	if !os.SameFile(ours, now) {
		return nil, inUse(errors.Join(errors.New("the file was replaced"), db.Close()))
	}
	return db, nil
}
