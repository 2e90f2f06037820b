package desk

import (
	"cmp"
	"errors"
	"fmt"

	"firstrod/engine"
)

// Fault is one reason why rules were refused.
type Fault struct {
	File string `json:"file"` // within the folder; empty where all of it is meant
	Line int    `json:"line"` // 0 where no line is meant
	Say  string `json:"say"`
	Hint string `json:"hint,omitempty"` // what to do; empty where Say says so
}

// Place is where a fault is, FILE:LINE, as far as that is known.
func (f Fault) Place() string {
	if f.Line == 0 {
		return f.File
	}
	return fmt.Sprintf("%s:%d", f.File, f.Line)
}

// Refusal is an *engine.Error that keeps each fault by itself. Accept returns
// one to have files and lines in the alert.
type Refusal struct {
	Whole  *engine.Error // never nil
	Faults []Fault
}

func (r *Refusal) Error() string { return r.Whole.Error() }

// Unwrap leads to the error that the rest of the program knows.
func (r *Refusal) Unwrap() error { return r.Whole }

// FaultsOf lists the faults that an error knows of, in file order.
func FaultsOf(err error) []Fault {
	if r, ok := errors.AsType[*Refusal](err); ok {
		return r.Faults
	}
	return nil
}

// refuse is an error about rules, as one sentence.
func refuse(format string, args ...any) *engine.Error {
	return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf(format, args...)}
}

// Refuse makes one error of faults, the first of them as its sentence. Without
// faults it gives err back, which may be nil.
func Refuse(faults []Fault, err error) error {
	if len(faults) == 0 {
		return err
	}
	say := faults[0].Say
	if at := faults[0].Place(); at != "" {
		say = at + ": " + say
	}
	if more := len(faults) - 1; more > 0 {
		say += fmt.Sprintf(" (and %d more)", more)
	}
	return &Refusal{&engine.Error{Kind: engine.Rules, Say: say, Hint: faults[0].Hint, Err: err}, faults}
}

// refused is nil where there are no faults.
func refused(faults []Fault) error { return Refuse(faults, nil) }

// unreadable and unwritten are errors of the disk.
func unreadable(what string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: what + " cannot be read", Err: err}
}

func unwritten(what string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: what + " cannot be written", Err: err}
}

// restated says an error in other words; its kind, cause and faults stay, and its
// hint, if it has one.
func restated(err error, say, otherwise string) error {
	_, hint := inWords(err)
	hint = cmp.Or(hint, otherwise)
	cause := err
	if e, ok := errors.AsType[*engine.Error](err); ok {
		cause = e.Err
	}
	e := &engine.Error{Kind: engine.KindOf(err), Say: say, Hint: hint, Err: cause}
	if faults := FaultsOf(err); len(faults) > 0 {
		return &Refusal{e, faults}
	}
	return e
}

// inWords splits an error into what a person reads.
func inWords(err error) (say, hint string) {
	if e, ok := errors.AsType[*engine.Error](err); ok {
		return e.Say, e.Hint
	}
	return cmp.Or(err.Error(), "no reason was given"), ""
}
