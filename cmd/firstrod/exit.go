package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"firstrod/engine"
)

// The exit codes, decided here and nowhere else.
const (
	exitFine        = 0
	exitCouldNotRun = 1
	exitUsage       = 2
	exitStop        = 3 // a rule says stop: no release stands
	exitDamaged     = 4 // the ledger does not verify, or a decision in it does not come out again
	exitUnanchored  = 5 // a proof file verifies, but only the log's own key speaks for it
	exitInterrupted = 130
)

// errStop ends a verb whose output has said already that no release stands.
var errStop = &engine.Error{Kind: engine.Blocked, Say: "no release stands"}

// errDamaged ends a verb whose output has named the faults already.
var errDamaged = &engine.Error{Kind: engine.Damaged, Say: "the ledger does not verify"}

// errUnanchored ends verify on a file that is sound in itself, when nothing that
// the caller holds speaks for it.
var errUnanchored = &engine.Error{Kind: engine.Blocked, Say: "the file is neither pinned nor witnessed"}

// errDiffers ends a verb whose output has said already what comes out otherwise.
var errDiffers = &engine.Error{Kind: engine.Damaged, Say: "a decision does not come out as it was recorded"}

func exitCode(err error) int {
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.Is(err, errUnanchored):
		return exitUnanchored
	}
	switch engine.KindOf(err) {
	case engine.Usage:
		return exitUsage
	case engine.Blocked:
		return exitStop
	case engine.Damaged:
		return exitDamaged
	}
	return exitCouldNotRun
}

// complain writes an error the way the whole program does: what, then what to
// do, in small letters and without a full stop; or as one JSON object.
func complain(w io.Writer, err error, asJSON bool) {
	if err == nil || errors.Is(err, errStop) || errors.Is(err, errDamaged) || errors.Is(err, errUnanchored) || errors.Is(err, errDiffers) || errors.Is(err, context.Canceled) {
		return
	}
	say, hint, cause := err.Error(), "", ""
	kind := engine.KindOf(err)
	if e, ok := errors.AsType[*engine.Error](err); ok {
		say, hint = e.Say, e.Hint
		if e.Err != nil {
			cause = e.Err.Error()
		}
	}
	if asJSON {
		raw, _ := json.Marshal(map[string]string{"message_type": "error", "kind": string(kind), "say": say, "hint": hint, "cause": cause})
		fmt.Fprintln(w, string(raw))
		return
	}
	fmt.Fprintln(w, "firstrod: "+say)
	if cause != "" {
		fmt.Fprintln(w, "firstrod: cause: "+cause)
	}
	if hint != "" {
		fmt.Fprintln(w, "firstrod: hint: "+hint)
	}
}
