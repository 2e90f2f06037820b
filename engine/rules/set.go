// Package rules turns a folder of Rego checks into what the engine asks and
// what it finds. It is the only importer of the rule engine OPA.
//
// Call [Load] with a pack: AREA/CHECK.rego files, params.yaml in people's units
// and params.json made of it by [ParamsJSON]. Load refuses whatever is odd and
// gives a [Set], which never changes and may be used by many goroutines. The
// Set's Evaluate judges targets, Confirm does so again by a second route before
// a release. [IDs] lists what a pack must keep, [Open] reads the packs that a
// ledger has kept.
//
// For whoever edits a pack: [Faults] lists all that Load found, [Test] runs the
// pack's own tests, [Mutate] asks whether they would notice a slip, [Template]
// begins a new check, [Compare] says what one pack changes about another, and
// [About] what stands behind a check.
//
// A finding holds only where a rule proved it: exempt or pass gave the literal
// true, with every value that it can read known and of the right type. A value
// that is missing makes it needs; an error, a conflict, a deadline, a panic or
// a value of the wrong type makes it broken.
package rules

import (
	"slices"
	"time"

	"firstrod/engine"
)

// Set is one revision of the rules, ready to judge. It implements
// engine.Evaluator.
type Set struct {
	catalogue *engine.Catalogue
	units     map[string]*unit // by check id
	deadline  time.Duration
}

var _ engine.Evaluator = (*Set)(nil)

// Catalogue is what the rules say.
func (s *Set) Catalogue() *engine.Catalogue { return s.catalogue }

// Notes lists what is odd and was not refused, in words for the safety manager. It
// tries each check on more made-up answers than Load has time for.
func (s *Set) Notes() []string { return s.notesBut(map[*unit]bool{}) }

// notesBut leaves out the checks whose notes are known.
func (s *Set) notesBut(known map[*unit]bool) []string {
	var all []string
	for _, c := range s.catalogue.Checks {
		if u := s.units[c.ID]; !known[u] {
			known[u] = true
			all = slices.Concat(all, u.notes, s.unfailing(u))
		}
	}
	return all
}
