package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"
	"time"
)

// TermGeneration counts the meanings that terms had. A store whose index of
// terms is of another generation must build it again before it answers from it.
const TermGeneration = 1

// The fields that records can be found by. Time and bore are not among them:
// records lie in the order of time, and a bore has an index of its own.
const (
	FieldPerson  = "person"  // who spoke, or was introduced: a person's id
	FieldRole    = "role"    // the role of who spoke
	FieldKind    = "kind"    // kind of record
	FieldRules   = "rules"   // first 16 digits of the rule revision
	FieldFinding = "finding" // "ground.metal_baseline=fail": a check came to a status, on any subject
	FieldPlace   = "place"   // jurisdiction that the bore is in, or that new rules hold in
	FieldSerial  = "serial"  // serial of a piece of gear, in capitals
	FieldVoid    = "void"    // why a release holds no longer
	FieldLoose   = "loose"   // a limit that was looser than the base's when the bore was released
	FieldRelease = "release" // "yes": ready to drill
	FieldFast    = "fast"    // whole seconds after the same person spoke last on this bore, see Pause
)

// StatusGone stands for a finding whose subject is no more.
const StatusGone = "gone"

// MaxFast is how long after a question an answer can be and still be found by
// how fast it came.
const MaxFast = 10 * time.Second

const (
	rulesDigits  = 16
	longestValue = 128
	serialKind   = "serial" // quantity kind of facts that name a piece of gear
)

// Term is one thing that a record can be found by.
type Term struct {
	Field, Value string
}

// Trail is what a bore's earlier records say that a later one does not repeat.
// The zero Trail is that of a bore that is not opened yet.
type Trail struct {
	Place string    // jurisdiction
	By    string    // who spoke last
	At    time.Time // when that was, by the clock the rules were given
}

// After is the trail once r was written.
func (t Trail) After(r Record) Trail {
	by := ""
	if r.By != nil {
		by = r.By.ID
	}
	// Copies, so that a trail does not keep the text of a whole record.
	if place := r.place(t.Place); place != t.Place {
		t.Place = strings.Clone(place)
	}
	if by != t.By {
		t.By = strings.Clone(by)
	}
	t.At = utc(r.At)
	return t
}

func (t Trail) same(o Trail) bool {
	return t.Place == o.Place && t.By == o.By && t.At.Equal(o.At)
}

// place is the jurisdiction that the record's bore is in; before is where it
// was in until then.
func (r Record) place(before string) string {
	switch {
	case r.Open != nil:
		return r.Open.Jurisdiction
	case r.Moved != nil:
		return r.Moved.Jurisdiction
	}
	return before
}

// Pause is how long after the bore's last record the same person gave this
// answer. The bot asks the next question in its reply to the last answer, so
// this is the time that reading the question, looking and typing took. ok is
// false for what is no answer and where somebody else spoke last.
func Pause(r Record, before Trail) (d time.Duration, ok bool) {
	if r.Kind != KindAnswer || r.By == nil || before.By != r.By.ID || before.At.IsZero() {
		return 0, false
	}
	d = r.At.Sub(before.At)
	return d, d >= 0
}

// Terms lists what a record can be found by, each term once. before is the
// trail of its bore up to the record.
func Terms(r Record, before Trail) []Term {
	out := make([]Term, 0, 12)
	add := func(field, value string) {
		t := Term{field, TermValue(value)}
		if value != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	add(FieldKind, string(r.Kind))
	if r.By != nil {
		add(FieldPerson, r.By.ID)
		add(FieldRole, r.By.Role)
	}
	if r.Person != nil {
		add(FieldPerson, r.Person.ID)
	}
	if r.Erased != nil {
		add(FieldPerson, r.Erased.Person)
	}
	if r.LegalHold != nil {
		add(FieldPerson, r.LegalHold.Person)
	}
	add(FieldRules, r.Rules[:min(len(r.Rules), rulesDigits)])
	if r.Bore != "" {
		add(FieldPlace, r.place(before.Place))
	}
	if r.Pack != nil {
		add(FieldPlace, r.Pack.Place)
	}
	for _, f := range r.Facts {
		if f.Kind == serialKind {
			add(FieldSerial, strings.ToUpper(f.Value))
		}
	}
	add(FieldVoid, r.Void)
	if r.Release != nil {
		add(FieldRelease, "yes")
		for _, l := range r.Release.Loose {
			add(FieldLoose, l)
		}
	}
	if d, ok := Pause(r, before); ok && d < MaxFast {
		add(FieldFast, strconv.Itoa(int(d/time.Second)))
	}
	return append(out, findingTerms(r)...)
}

// findingTerms has one term for each check and status. There are many when a
// bore is opened, so they are sorted instead of searched.
func findingTerms(r Record) []Term {
	var out []Term
	for status, keys := range r.Findings {
		for _, k := range keys {
			check, _ := splitKey(k)
			out = append(out, Term{FieldFinding, TermValue(check + "=" + status)})
		}
	}
	for _, k := range r.Gone {
		check, _ := splitKey(k)
		out = append(out, Term{FieldFinding, TermValue(check + "=" + StatusGone)})
	}
	if len(out) < 2 {
		return out
	}
	slices.SortFunc(out, func(a, b Term) int { return strings.Compare(a.Value, b.Value) })
	return slices.Compact(out)
}

// TermValue is a value as an index can hold it: what is very long or has a zero
// byte is replaced by a hash of it.
func TermValue(v string) string {
	if len(v) <= longestValue && strings.IndexByte(v, 0) < 0 {
		return v
	}
	h := sha256.Sum256([]byte(v))
	return "#" + hex.EncodeToString(h[:])
}
