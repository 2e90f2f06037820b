package boltstore

import (
	"errors"
	"fmt"
	"io/fs"
	"runtime/debug"
	"syscall"

	berrors "go.etcd.io/bbolt/errors"

	"firstrod/engine"
)

var errPanic = errors.New("the file makes no sense")

// guard runs fn and turns a panic into an error. bbolt trusts its file: on a
// damaged page it runs out of a slice, or off the end of the mapping, which
// SetPanicOnFault makes a panic as well.
func guard(fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%w: %v", errPanic, p)
		}
	}()
	return fn()
}

func cannot(say string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: say, Err: err}
}

func inUse(err error) error {
	return &engine.Error{
		Kind: engine.Busy, Err: err,
		Say:  "another firstrod is using this data folder",
		Hint: "stop the other one first, or give this one a folder of its own",
	}
}

func damaged(err error) error {
	return &engine.Error{
		Kind: engine.Damaged, Err: err,
		Say:  "the ledger is damaged",
		Hint: "do not change anything; verify it, and a backup of it",
	}
}

// openError sorts what opening the file gives.
func openError(err error) error {
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return inUse(err)
	case errors.Is(err, fs.ErrNotExist):
		return &engine.Error{Kind: engine.NotFound, Err: err, Say: "there is no ledger here"}
	}
	// The system's errors come with a path or a number, the rest are bbolt's.
	if _, ok := errors.AsType[*fs.PathError](err); ok {
		return cannot("the ledger cannot be opened", err)
	}
	if _, ok := errors.AsType[syscall.Errno](err); ok {
		return cannot("the ledger cannot be opened", err)
	}
	return damaged(err)
}
