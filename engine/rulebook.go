package engine

import (
	"regexp"

	"firstrod/engine/quantity"
)

// Rulebook is the rules of every place at one moment: the base and the local
// packs over it. One value is one publication and never changes.
type Rulebook interface {
	// At gives the rules for a bore in a jurisdiction on a day: those of the base
	// with every local pack that holds there over it. It is never nil.
	At(jurisdiction string, day int64) Evaluator
	// Places lists the jurisdictions that have rules of their own, "" for the
	// base among them.
	Places() []string
}

// Layer is one pack of a revision.
type Layer struct {
	Code  string // "base", "one-call" for the law of a state in the base's table, or the folder name of a local pack
	Title Text
	Holds string // the jurisdiction it holds in; "" for the base
}

// Loosened is one limit or check that a local pack makes less strict, for a time.
type Loosened struct {
	Name    string         // "ground.standoff", or the id of a check
	Pack    string         // code of the pack
	Was, Is quantity.Value // of a limit; not valid for a check, which is off or may be waived
	How     string         // of a check: "off" or "waivable"; "" for a limit
	Why     Text
	By      string // who approved it, a post, not a person's name
	Until   int64  // the last day it holds, in days since 1970-01-01, by the bore's calendar
}

// Retired is a check that there is no more. Its id is never used again.
type Retired struct {
	ID    string
	Pack  string
	Since int64 // day
	Why   Text
}

// What happens to a release when other rules come into force.
const (
	PublishKeep    = "keep"    // it stands to its end under the rules it was given under
	PublishRecheck = "recheck" // it stands only if the new rules hold too
)

var jurisdiction = regexp.MustCompile(`^[A-Z]{2}(-[A-Z0-9]{1,3}(/[a-z0-9]+(-[a-z0-9]+)*){0,3})?$`)

// ValidJurisdiction says whether a code is one: a country or subdivision as ISO
// 3166 writes it, and below it, in our own words, county and town in lower case:
// "US", "US-VA", "US-VA/alder", "US-VA/alder/two-mills".
func ValidJurisdiction(code string) bool { return jurisdiction.MatchString(code) }
