package boltstore

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

const (
	// lockWait is within what a second process may take to hear that the folder
	// is in use: bbolt tries at 0 and 50 ms.
	lockWait = 100 * time.Millisecond
	// maxBatch entries go into one transaction at most.
	maxBatch = 512
	// mapAhead is address space, not memory: the file is mapped so far ahead that
	// growing seldom has to wait for readers.
	mapAhead = 256 << 20

	// growth is what the file may grow by at once: bbolt takes 16 MiB, and a
	// batch with large entries has a few more.
	growth = 64 << 20

	defaultMinFree = 64 << 20
	defaultMaxSize = 64 << 30
)

// ErrDiskFull is in the chain of what Append gives when there is too little
// room. The store has not stopped: it takes entries again once there is room.
var ErrDiskFull = errors.New("too little free space")

// Options of Open. The zero value is right for production.
type Options struct {
	Clock   func() time.Time // time of writing; nil is time.Now
	MinFree int64            // bytes that must be free on the disk for Append to write; 0 is 64 MiB
	MaxSize int64            // bytes the file may have, a fuse against filling a disk; 0 is 64 GiB

	// For tests of this package: called in place of a commit, and of asking for
	// free space.
	testOnlyCommit func(commit func() error) error
	testOnlyFree   func(dir string) (int64, error)
}

func (o Options) withDefaults() Options {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	if o.MinFree == 0 {
		o.MinFree = defaultMinFree
	}
	if o.MaxSize == 0 {
		o.MaxSize = defaultMaxSize
	}
	if o.testOnlyCommit == nil {
		o.testOnlyCommit = func(commit func() error) error { return commit() }
	}
	if o.testOnlyFree == nil {
		o.testOnlyFree = freeSpace
	}
	return o
}

// boltOptions never has NoSync, NoGrowSync or NoFreelistSync: each of them was
// seen to lose or corrupt files at a power cut.
func boltOptions(o Options) *bolt.Options {
	return &bolt.Options{
		Timeout:         lockWait,
		FreelistType:    bolt.FreelistMapType,
		MaxSize:         int(o.MaxSize),
		InitialMmapSize: mapAhead,
		NoStatistics:    true,
	}
}

// Store is a ledger that can be written. It is safe for concurrent use.
type Store struct {
	dir     string
	opts    Options
	db      *bolt.DB
	signers []note.Signer // the current key, then those that still sign beside it; the committer's alone

	head    atomic.Pointer[head]
	queue   chan *job
	closing chan struct{}
	done    chan struct{} // the committer has ended
	failed  chan struct{}
	cause   atomic.Pointer[engine.Error] // why it failed
	once    sync.Once

	restored int64 // size of the backup that Open recorded as put back
}

// Open opens the ledger in dir, or starts one when the folder is empty or not
// there. It gives engine.Busy at once when another process has it, and
// engine.Damaged when the head of the log does not verify.
func Open(dir string, o Options) (*Store, error) {
	o = o.withDefaults()
	if err := prepare(dir, o); err != nil {
		return nil, err
	}
	signers, err := readKeys(dir, keyFile)
	if err != nil {
		return nil, err
	}
	db, err := openFile(filepath.Join(dir, ledgerFile), boltOptions(o))
	if err != nil {
		return nil, err
	}
	// The process before may have died between writing and syncing; what it
	// wrote must be on the disk before anything is written on top of it.
	if err := db.Sync(); err != nil {
		return nil, cannot("the ledger cannot be synced", errors.Join(err, db.Close()))
	}
	if half, err := checkPages(db.Path()); half != nil || err != nil {
		return nil, damaged(errors.Join(half, err, db.Close()))
	}
	var h head
	err = guard(func() error {
		return db.View(func(tx *bolt.Tx) (err error) {
			keys, err := logKeys(tx)
			if err != nil {
				return err
			}
			if signers, err = settleKeys(dir, keys.Current(), signers); err != nil {
				return err
			}
			h, err = readHead(tx, keys)
			return err
		})
	})
	if err != nil {
		return nil, damaged(errors.Join(err, db.Close()))
	}
	s := &Store{
		dir: dir, opts: o, db: db, signers: signers,
		queue: make(chan *job, maxBatch), closing: make(chan struct{}),
		done: make(chan struct{}), failed: make(chan struct{}),
	}
	s.head.Store(&h)
	go s.commits()
	if err := s.recordRestored(); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// Close waits for what is being written and lets go of the folder. Entries
// that are only queued are refused.
func (s *Store) Close() error {
	var err error
	s.once.Do(func() {
		close(s.closing)
		<-s.done
		err = s.db.Close()
	})
	return err
}

// Failed is closed when a commit failed and the store has stopped for good. The
// process should then exit.
func (s *Store) Failed() <-chan struct{} { return s.failed }

// Checkpoint is the latest checkpoint and the same as a signed note.
func (s *Store) Checkpoint() (ledger.Checkpoint, []byte) {
	h := s.head.Load()
	return h.checkpoint, append([]byte(nil), h.note...)
}

// Size is the number of records.
func (s *Store) Size() int64 { return s.head.Load().checkpoint.Size }

// Key is the public key that the log signs with now, in signed-note form. Give it to whoever will
// verify: it is what they trust.
func (s *Store) Key() string { return s.head.Load().public }

// ReadHashes makes the store a tlog.HashReader, for proofs: that a record is in
// the log, and that the log continues an older checkpoint
// ([ledger.CheckConsistent]). Use it with the Checkpoint taken before.
func (s *Store) ReadHashes(indexes []int64) (out []tlog.Hash, err error) {
	err = s.view(context.Background(), func(tx *bolt.Tx) error {
		b, err := bucket(tx, bHash)
		if err != nil {
			return err
		}
		out, err = hashReader{b}.ReadHashes(indexes)
		return err
	})
	return out, err
}

// fail stops the store. After a failed commit readers could see a transaction
// that is not on the disk, so they are stopped too.
func (s *Store) fail(err error) *engine.Error {
	e := &engine.Error{
		Kind: engine.Storage, Err: err,
		Say:  "the ledger could not be written and has stopped",
		Hint: "see to the disk, then start firstrod again; ask again with the same key",
	}
	if s.cause.CompareAndSwap(nil, e) {
		close(s.failed)
	}
	return e
}

// stopped is the error of a store that failed or was closed, or nil.
func (s *Store) stopped() error {
	if e := s.cause.Load(); e != nil {
		return e
	}
	select {
	case <-s.closing:
		return &engine.Error{Kind: engine.Storage, Say: "the ledger is closed"}
	default:
		return nil
	}
}

// view reads in one short transaction.
func (s *Store) view(ctx context.Context, fn func(tx *bolt.Tx) error) error {
	if err := errors.Join(ctx.Err(), s.stopped()); err != nil {
		return err
	}
	err := guard(func() error { return s.db.View(fn) })
	if errors.Is(err, berrors.ErrDatabaseNotOpen) {
		return s.stopped()
	}
	if err != nil {
		return damaged(err)
	}
	// A commit may have failed while this was read.
	return s.stopped()
}

// room refuses entries while there is too little space left, before a commit
// could fail for it.
func (s *Store) room(batch []*job) error {
	need := s.opts.MinFree
	for _, j := range batch {
		for _, b := range j.entry.Blobs {
			need += 2 * int64(len(b))
		}
	}
	free, err := s.opts.testOnlyFree(s.dir)
	if err != nil {
		return full("the free space cannot be told, nothing was written", errors.Join(ErrDiskFull, err))
	}
	if free < need {
		return full(fmt.Sprintf("the disk is nearly full, nothing was written: %d MiB free, %d needed", free>>20, need>>20), ErrDiskFull)
	}
	info, err := os.Stat(filepath.Join(s.dir, ledgerFile))
	if err == nil && info.Size()+growth > s.opts.MaxSize {
		return full(fmt.Sprintf("the ledger has reached its largest size, nothing was written: %d MiB", info.Size()>>20), ErrDiskFull)
	}
	return nil
}

func full(say string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: say, Hint: "free some space, then send it again", Err: err}
}

func freeSpace(dir string) (int64, error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return 0, err
	}
	return int64(st.Bavail) * st.Bsize, nil
}
