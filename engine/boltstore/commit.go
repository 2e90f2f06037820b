package boltstore

import (
	"context"
	"errors"
	"sync/atomic"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine/ledger"
)

// job is one entry on its way through the committer.
type job struct {
	ctx     context.Context // looked at once, when the entry would be taken
	entry   ledger.Entry
	rotate  *rotation    // the entry changes the key
	state   atomic.Int32 // queued, then taken or dropped, for good
	done    chan struct{}
	receipt ledger.Receipt
	err     error
}

const (
	queued int32 = iota
	taken
	dropped
)

// Append writes one entry and returns when it is durable. The record's Seq and
// Logged are set here. A key that was written before gives the first receipt
// again and writes nothing. A bore's version must be one more than it was, or
// the error is engine.Conflict. What is wrong with one entry (engine.Usage,
// engine.Conflict) does not touch others.
//
// engine.Storage with ErrDiskFull means that nothing was written and the store
// goes on. Any other engine.Storage means that the store has stopped and that
// it is not known whether the entry is in the log: ask again, with the same
// key, after a restart.
//
// When ctx ends before the entry is taken up, the error is that of ctx and the
// entry was not and will not be written. Afterwards ctx is not looked at: the
// wait for the disk is short and what happened is then known.
func (s *Store) Append(ctx context.Context, e ledger.Entry) (ledger.Receipt, error) {
	if err := errors.Join(ctx.Err(), s.stopped()); err != nil {
		return ledger.Receipt{}, err
	}
	return s.submit(&job{ctx: ctx, entry: e, done: make(chan struct{})})
}

// submit queues a job and waits for it.
func (s *Store) submit(j *job) (ledger.Receipt, error) {
	ctx := j.ctx
	select {
	case s.queue <- j:
	case <-ctx.Done():
		return ledger.Receipt{}, ctx.Err()
	case <-s.done:
		return ledger.Receipt{}, s.stopped()
	}
	select {
	case <-j.done:
		return j.receipt, j.err
	case <-s.done:
		return s.late(j)
	case <-ctx.Done():
		if j.state.CompareAndSwap(queued, dropped) {
			return ledger.Receipt{}, ctx.Err()
		}
	}
	select {
	case <-j.done:
		return j.receipt, j.err
	case <-s.done:
		return s.late(j)
	}
}

// late is for a job that was queued while the committer ended: it was answered,
// or nobody will ever take it.
func (s *Store) late(j *job) (ledger.Receipt, error) {
	if j.state.CompareAndSwap(queued, dropped) {
		return ledger.Receipt{}, s.stopped()
	}
	<-j.done
	return j.receipt, j.err
}

// commits takes what is queued, up to maxBatch entries, into one transaction
// after the other. While one is being synced the next fills up, so that many
// writers share a sync and a single one never waits for company.
func (s *Store) commits() {
	defer close(s.done)
	batch := make([]*job, 0, maxBatch)
	for {
		select {
		case <-s.closing:
			return
		case j := <-s.queue:
			batch = take(batch[:0], j)
		}
	fill:
		for len(batch) < maxBatch {
			select {
			case j := <-s.queue:
				batch = take(batch, j)
			default:
				break fill
			}
		}
		if len(batch) > 0 {
			s.commit(batch)
		}
		if s.cause.Load() != nil {
			return
		}
	}
}

// take adds a job unless its caller has gone.
func take(batch []*job, j *job) []*job {
	if j.ctx.Err() == nil && j.state.CompareAndSwap(queued, taken) {
		return append(batch, j)
	}
	return batch
}

// commit writes one batch and answers it. Answers go out only after the sync.
func (s *Store) commit(batch []*job) {
	defer func() {
		for _, j := range batch {
			close(j.done)
		}
	}()
	err := s.room(batch)
	if err == nil {
		err = s.write(batch)
	}
	if err == nil {
		return
	}
	for _, j := range batch {
		j.receipt, j.err = ledger.Receipt{}, err
	}
}

// write is the transaction. Every error in it is final: after a failed commit
// it is not known what is on the disk, and one before it means a file that is
// not what it should be.
func (s *Store) write(batch []*job) error {
	var next head
	var keys []note.Signer
	err := guard(func() error {
		tx, err := s.db.Begin(true)
		if err != nil {
			return err
		}
		// Without effect after a commit.
		defer func() { _ = tx.Rollback() }()
		w, err := newWriter(tx, *s.head.Load(), s.opts.Clock())
		if err != nil {
			return err
		}
		for _, j := range batch {
			if err := w.append(j); err != nil {
				return err
			}
		}
		if w.head.checkpoint.Size == w.before {
			// Nothing but repeats and refusals: what they rest on is durable.
			next = *s.head.Load()
			return nil
		}
		if err := w.seal(s.signers); err != nil {
			return err
		}
		next, keys = w.head, w.keys
		return s.opts.testOnlyCommit(tx.Commit)
	})
	if err != nil {
		return s.fail(err)
	}
	s.head.Store(&next)
	if keys != nil {
		s.signers = keys
	}
	for _, j := range batch {
		if j.err == nil && !j.receipt.Repeated {
			j.receipt.Note = string(next.note)
		}
	}
	return nil
}
