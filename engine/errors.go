package engine

import "errors"

// Failure says to a machine what kind of thing went wrong. The list only grows.
type Failure string

// The kinds of failure.
const (
	Usage     Failure = "usage"     // the call makes no sense
	NotFound  Failure = "not_found" // no such bore, check, person
	Conflict  Failure = "conflict"  // the bore moved on under the caller
	Forbidden Failure = "forbidden" // this person or state may not do that
	Blocked   Failure = "blocked"   // a rule says stop
	Busy      Failure = "busy"      // somebody else holds the data folder
	Storage   Failure = "storage"   // not written; the store has stopped for good
	Damaged   Failure = "damaged"   // the ledger does not verify
	Rules     Failure = "rules"     // the policy set cannot be used
	Internal  Failure = "internal"  // a fault of this program
)

// Error is an error with a kind for machines, a sentence for people, a hint
// for what to do next, and the cause for logs.
type Error struct {
	Kind Failure
	Say  string // one plain sentence
	Hint string // what to do next; may be empty
	Err  error  // cause, for logs; may be nil

	// ID and Args let a front end say it in another language. ID is empty for
	// errors that no crew meets.
	ID   string
	Args map[string]string
}

func (e *Error) Error() string {
	if e.Err == nil {
		return e.Say
	}
	return e.Say + ": " + e.Err.Error()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// KindOf is the kind of err, or Internal for an error that is not ours.
func KindOf(err error) Failure {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Internal
}
