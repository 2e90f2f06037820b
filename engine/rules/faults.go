package rules

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"firstrod/engine"
)

// fault is one reason to refuse a pack, in words for somebody who edits rules
// and is no programmer.
type fault struct {
	file string
	line int // 0 where no line is meant
	say  string
	hint string
	err  error // what the rule engine said, for logs
}

func (f fault) Error() string {
	if f.err == nil {
		return f.place() + f.say
	}
	return f.place() + f.say + ": " + f.err.Error()
}

func (f fault) place() string {
	switch {
	case f.file == "":
		return ""
	case f.line == 0:
		return f.file + ": "
	}
	return fmt.Sprintf("%s:%d: ", f.file, f.line)
}

// faults collects what is wrong, so that an author sees all of one stage.
type faults struct{ list []fault }

func (fs *faults) add(file string, line int, format string, args ...any) {
	fs.list = append(fs.list, fault{file: file, line: line, say: fmt.Sprintf(format, args...)})
}

// Fault is one reason why a pack was refused.
type Fault struct {
	File string // within the pack; empty where the whole pack is meant
	Line int    // 0 where no line is meant
	Say  string // what is wrong, for somebody who is no programmer
	Hint string // what to do; empty where Say says so
}

// Place is where it is, as FILE:LINE, as far as that is known.
func (f Fault) Place() string {
	return strings.TrimSuffix(fault{file: f.File, line: f.Line}.place(), ": ")
}

// Faults lists every fault that a refusal of this package knows of, in file
// order. It is empty for any other error.
func Faults(err error) []Fault {
	r, ok := errors.AsType[*refused](err)
	if !ok {
		return nil
	}
	all := make([]Fault, len(r.list))
	for i, f := range r.list {
		all[i] = Fault{File: f.file, Line: f.line, Say: f.say, Hint: f.hint}
	}
	return all
}

// refused is an *engine.Error that keeps each fault by itself.
type refused struct {
	whole *engine.Error
	list  []fault
}

func (r *refused) Error() string { return r.whole.Error() }

// Unwrap leads to the error that the rest of the program knows.
func (r *refused) Unwrap() error { return r.whole }

// err is nil when nothing was found, or the first fault in file order with the
// others counted and kept as its cause.
func (fs *faults) err() error {
	if len(fs.list) == 0 {
		return nil
	}
	fs.once()
	slices.SortStableFunc(fs.list, func(a, b fault) int {
		return cmp.Or(strings.Compare(a.file, b.file), cmp.Compare(a.line, b.line))
	})
	first := fs.list[0]
	e := &engine.Error{Kind: engine.Rules, Say: first.place() + first.say, Hint: first.hint, Err: first.err}
	if more := len(fs.list) - 1; more > 0 {
		e.Say += fmt.Sprintf(" (and %d more)", more)
		all := make([]error, len(fs.list))
		for i, f := range fs.list {
			all[i] = f
		}
		e.Err = errors.Join(all...)
	}
	return &refused{e, fs.list}
}

// once drops what is said twice of one line: a slip may be met on two ways.
func (fs *faults) once() {
	type saying struct {
		file string
		line int
		say  string
	}
	seen := map[saying]bool{}
	fs.list = slices.DeleteFunc(fs.list, func(f fault) bool {
		s := saying{f.file, f.line, f.say}
		twice := seen[s]
		seen[s] = true
		return twice
	})
}

// refuse is a single fault as an error.
func refuse(file string, line int, format string, args ...any) error {
	fs := faults{}
	fs.add(file, line, format, args...)
	return fs.err()
}

// near proposes the allowed word that was probably meant, as the end of a
// sentence; it is empty when none is close.
func near(word string, allowed []string) string {
	if best := Nearest(word, allowed); best != "" {
		return "; did you mean " + best + "?"
	}
	return ""
}

// Nearest is the allowed word that was probably meant, or "" when none is close.
func Nearest(word string, allowed []string) string { return engine.Nearest(word, allowed) }
