package boltstore

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
)

func wantKind(t *testing.T, err error, kind engine.Failure) {
	t.Helper()
	if err == nil || engine.KindOf(err) != kind {
		t.Errorf("error %v, want one of kind %q", err, kind)
	}
	if e, ok := errors.AsType[*engine.Error](err); !ok || e.Say == "" {
		t.Errorf("error %v says nothing", err)
	}
}

// closed makes a good ledger with one bore and closes it.
func closed(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	s := openWith(t, dir, Options{})
	if _, err := s.Append(t.Context(), enginetest.Answer("b1", 1, "one")); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	clean(t, dir)
	return dir
}

func TestFirstRun(t *testing.T) {
	dir := closed(t)
	for name, want := range map[string]os.FileMode{"": 0o700, ledgerFile: 0o600, keyFile: 0o600} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != want {
			t.Errorf("%q: %v, %v", name, info.Mode(), err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, newFile)); err == nil {
		t.Error("the new file is still there")
	}
	if sum := clean(t, dir); sum.Size != 2 || sum.Bores != 1 {
		t.Errorf("%+v", sum)
	}
}

// TestFirstRunCutShort: a first run that ended anywhere is made good by the
// next, or refused where a log may be lost.
func TestFirstRunCutShort(t *testing.T) {
	path := func(dir, name string) string { return filepath.Join(dir, name) }
	t.Run("within the file", func(t *testing.T) {
		dir := t.TempDir()
		if err := os.WriteFile(path(dir, newFile), []byte("half a page"), 0o600); err != nil {
			t.Fatal(err)
		}
		open(t, dir)
	})
	t.Run("before the last name", func(t *testing.T) {
		dir := closed(t)
		if err := os.Rename(path(dir, ledgerFile), path(dir, newFile)); err != nil {
			t.Fatal(err)
		}
		if s := open(t, dir); s.Size() != 2 {
			t.Errorf("size %d", s.Size())
		}
	})
	t.Run("ledger gone", func(t *testing.T) {
		dir := closed(t)
		if err := os.Remove(path(dir, ledgerFile)); err != nil {
			t.Fatal(err)
		}
		_, err := Open(dir, Options{})
		wantKind(t, err, engine.Damaged)
		if _, err := os.Stat(path(dir, ledgerFile)); err == nil {
			t.Error("another ledger was started with the old key")
		}
	})
}

func TestKeyIsMinded(t *testing.T) {
	cases := map[string]struct {
		do   func(path string) error
		kind engine.Failure
	}{
		"missing":          {os.Remove, engine.Damaged},
		"readable by all":  {func(p string) error { return os.Chmod(p, 0o644) }, engine.Usage},
		"readable by some": {func(p string) error { return os.Chmod(p, 0o640) }, engine.Usage},
		"damaged":          {func(p string) error { return os.WriteFile(p, []byte("PRIVATE+KEY+x"), 0o600) }, engine.Damaged},
		"of another log": {func(p string) error {
			secret, _, err := ledger.NewKey(zeros{}, "firstrod.local/other")
			return errors.Join(err, os.WriteFile(p, []byte(secret), 0o600))
		}, engine.Damaged},
	}
	for name, tt := range cases {
		t.Run(name, func(t *testing.T) {
			dir := closed(t)
			if err := tt.do(filepath.Join(dir, keyFile)); err != nil {
				t.Fatal(err)
			}
			_, err := Open(dir, Options{})
			wantKind(t, err, tt.kind)
			// An auditor needs no key.
			clean(t, dir)
		})
	}
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }

func TestFolderForOthers(t *testing.T) {
	dir := closed(t)
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	_, err := Open(dir, Options{})
	wantKind(t, err, engine.Usage)
}

// TestInUse: a second process hears at once that the folder is taken. The lock
// goes with the opened file, so one process can stand in for two.
func TestInUse(t *testing.T) {
	dir := closed(t)
	s := open(t, dir)
	for name, try := range map[string]func() error{
		"store":  func() error { _, err := Open(dir, Options{}); return err },
		"reader": func() error { _, err := OpenReader(dir); return err },
	} {
		began := time.Now()
		err := try()
		if took := time.Since(began); took > 200*time.Millisecond {
			t.Errorf("%s: told after %v", name, took)
		}
		wantKind(t, err, engine.Busy)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	_, err = Open(dir, Options{})
	wantKind(t, err, engine.Busy)
}

func TestReaderWithoutLedger(t *testing.T) {
	_, err := OpenReader(t.TempDir())
	wantKind(t, err, engine.NotFound)
}

// TestOpenChecksHead: a store does not go on from a head that does not verify.
func TestOpenChecksHead(t *testing.T) {
	put := func(b, k string, change func(v []byte) []byte) func(tx *bolt.Tx) error {
		return func(tx *bolt.Tx) error {
			bu := tx.Bucket([]byte(b))
			return bu.Put([]byte(k), change(append([]byte(nil), bu.Get([]byte(k))...)))
		}
	}
	flip := func(i int) func(v []byte) []byte { return func(v []byte) []byte { v[i] ^= 1; return v } }
	for name, do := range map[string]func(tx *bolt.Tx) error{
		"checkpoint":         put(bHead, headCheckpoint, flip(30)),
		"no checkpoint":      func(tx *bolt.Tx) error { return tx.Bucket([]byte(bHead)).Delete([]byte(headCheckpoint)) },
		"last hash":          put(bHash, string(number(1)), flip(3)),
		"edge of the tree":   put(bHash, string(number(1)), flip(40)),
		"last record":        put(bRecord, string(number(1)), flip(3)),
		"no last record":     func(tx *bolt.Tx) error { return tx.Bucket([]byte(bRecord)).Delete(number(1)) },
		"one record more":    put(bRecord, string(number(2)), func([]byte) []byte { return []byte("{}") }),
		"first record":       put(bRecord, string(number(0)), flip(3)),
		"a bucket is gone":   func(tx *bolt.Tx) error { return tx.DeleteBucket([]byte(bRecord)) },
		"hashes are missing": func(tx *bolt.Tx) error { return tx.Bucket([]byte(bHash)).Delete(number(1)) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := closed(t)
			change(t, dir, do)
			_, err := Open(dir, Options{})
			wantKind(t, err, engine.Damaged)
			if faults, _ := verify(t, dir); len(faults) == 0 {
				t.Error("verified")
			}
		})
	}
}

// change writes into a closed ledger, past the store.
func change(t *testing.T, dir string, do func(tx *bolt.Tx) error) {
	t.Helper()
	db, err := bolt.Open(filepath.Join(dir, ledgerFile), 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(db.Update(do), db.Close()); err != nil {
		t.Fatal(err)
	}
}

// TestNothingSkipsSync guards the options that decide what a power cut loses.
func TestNothingSkipsSync(t *testing.T) {
	o := boltOptions(Options{}.withDefaults())
	if o.NoSync || o.NoGrowSync || o.NoFreelistSync || o.FreelistType != bolt.FreelistMapType || o.MaxSize <= 0 || o.Timeout <= 0 {
		t.Errorf("%+v", o)
	}
	s := open(t, t.TempDir())
	if s.db.NoSync || s.db.NoGrowSync || s.db.NoFreelistSync {
		t.Error("the file is not synced")
	}
}
