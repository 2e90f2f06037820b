package ledger

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Filter says which records are looked for. Everything that is set must hold;
// the zero Filter is every record.
type Filter struct {
	Bore    string    // id of the bore
	Since   time.Time // written at this time or later
	Until   time.Time // written before this time
	Person  string    // id: who spoke, or was introduced
	Role    string    // in which role
	Kind    Kind
	Check   string // "ground.metal_baseline" on any subject, or "verification.near_mark@9500": its finding changed
	Status  string // with Check: it came to this status; without: any check did
	Place   string // jurisdiction of the bore or of new rules, or one above it: "US-VA" has "US-VA/alder"
	Rules   string // rule revision, or how it begins
	Serial  string // serial of a piece of gear, in capitals or not
	Void    string // a release was void for this reason
	Voids   bool   // a release was void
	Loose   string // a bore was released with this limit looser than the base's
	Looser  bool   // ... with any
	Release bool   // a bore was released
	Fast    int    // an answer came less than so many whole seconds after the same person's last; 0 to 10
}

// Clause is one thing that must hold of a record: that it has a term of the
// field whose value begins with Prefix and is accepted.
type Clause struct {
	Field  string
	Prefix string
	Accept func(value string) bool // nil: the value must be Prefix itself
}

// Holds says whether one of the terms is what the clause asks for.
func (c Clause) Holds(terms []Term) bool {
	return slices.ContainsFunc(terms, func(t Term) bool {
		if c.Accept == nil {
			return t.Field == c.Field && t.Value == c.Prefix
		}
		return t.Field == c.Field && strings.HasPrefix(t.Value, c.Prefix) && c.Accept(t.Value)
	})
}

// Clauses gives the filter as clauses over terms: all but bore and time, and
// but for what [Filter.Exactly] still has to look at in the record.
func (f Filter) Clauses() []Clause {
	var out []Clause
	some := func(set bool, field, prefix string, accept func(string) bool) {
		if set {
			out = append(out, Clause{Field: field, Prefix: prefix, Accept: accept})
		}
	}
	one := func(field, value string) { some(value != "", field, TermValue(value), nil) }
	every := func(string) bool { return true }
	// The rare fields first: whoever follows the clauses starts with the first.
	one(FieldSerial, strings.ToUpper(f.Serial))
	one(FieldVoid, f.Void)
	some(f.Voids && f.Void == "", FieldVoid, "", every)
	one(FieldLoose, f.Loose)
	some(f.Looser && f.Loose == "", FieldLoose, "", every)
	some(f.Release, FieldRelease, "yes", nil)
	some(f.Fast > 0, FieldFast, "", f.fast)
	one(FieldPerson, f.Person)
	check, _ := splitKey(f.Check)
	switch {
	case check != "" && f.Status != "":
		one(FieldFinding, check+"="+f.Status)
	case check != "":
		some(true, FieldFinding, check+"=", every)
	case f.Status != "":
		some(true, FieldFinding, "", func(v string) bool { return strings.HasSuffix(v, "="+f.Status) })
	}
	some(f.Place != "", FieldPlace, f.Place, func(v string) bool { return within(v, f.Place) })
	one(FieldKind, string(f.Kind))
	some(f.Rules != "", FieldRules, f.Rules[:min(len(f.Rules), rulesDigits)], every)
	one(FieldRole, f.Role)
	return out
}

func (f Filter) fast(value string) bool {
	n, err := strconv.Atoi(value)
	return err == nil && n < f.Fast
}

// within says whether a jurisdiction is another one or lies in it.
func within(place, in string) bool {
	rest, ok := strings.CutPrefix(place, in)
	return ok && (rest == "" || rest[0] == '/' || rest[0] == '-' && !strings.ContainsAny(in, "-/"))
}

// Exactly looks at what terms leave open: the subject of a check, and digits
// of a revision beyond those that are indexed.
func (f Filter) Exactly(r Record) bool {
	if !strings.HasPrefix(r.Rules, f.Rules) {
		return false
	}
	if _, subject := splitKey(f.Check); subject == "" {
		return true
	}
	for status, keys := range r.Findings {
		if (f.Status == "" || f.Status == status) && slices.Contains(keys, f.Check) {
			return true
		}
	}
	return (f.Status == "" || f.Status == StatusGone) && slices.Contains(r.Gone, f.Check)
}

// Match says whether a record is looked for; before is the trail of its bore.
func (f Filter) Match(r Record, before Trail) bool {
	if f.Bore != "" && f.Bore != r.Bore || !f.Since.IsZero() && r.Logged.Before(f.Since) ||
		!f.Until.IsZero() && !r.Logged.Before(f.Until) || !f.Exactly(r) {
		return false
	}
	terms := Terms(r, before)
	for _, c := range f.Clauses() {
		if !c.Holds(terms) {
			return false
		}
	}
	return true
}

// Valid refuses what could never find anything.
func (f Filter) Valid() error {
	switch {
	case f.Kind != "" && !known(f.Kind):
		return fmt.Errorf("there is no kind of record called %q", f.Kind)
	case f.Status != "" && f.Status != StatusGone && !slices.Contains(statuses[:], f.Status):
		return fmt.Errorf("there is no status called %q; there are %s and %s", f.Status, say(statuses[:]), StatusGone)
	case f.Fast < 0 || f.Fast > int(MaxFast/time.Second):
		return fmt.Errorf("fast is 1 to %d whole seconds", int(MaxFast/time.Second))
	case !f.Since.IsZero() && !f.Until.IsZero() && !f.Since.Before(f.Until):
		return fmt.Errorf("the time range ends before it begins")
	}
	return nil
}

// Kinds lists the kinds of record.
func Kinds() []Kind {
	return []Kind{KindStart, KindRules, KindPerson, KindOpen, KindAnswer, KindUndo, KindReport,
		KindHold, KindWaive, KindSign, KindClose, KindRefused, KindShown, KindMoved, KindRechecked, KindReason,
		KindErased, KindRestored, KindRotated, KindLegalHold, KindRemoved}
}
