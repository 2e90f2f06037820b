package engine

import "strings"

// Status is how a check stands for one subject.
type Status string

// The statuses. Only Pass, Exempt and Waived hold.
const (
	Pass   Status = "pass"   // proved
	Exempt Status = "exempt" // proved not to apply
	Fail   Status = "fail"   // everything is known, and it is not proved
	Needs  Status = "needs"  // something must still be given
	Broken Status = "broken" // the rule itself misbehaved; never ready
	Waived Status = "waived" // failed, and let through by a named person with a reason
)

// Holds says whether a release may stand on it.
func (s Status) Holds() bool { return s == Pass || s == Exempt || s == Waived }

// Finding is the status of one check for one subject.
type Finding struct {
	Check   string
	Subject string // "" for the bore; exact hertz; name of a crossing
	Status  Status
	Missing []string // for Needs: fact keys still to be given, in the order of the job
	Note    string   // for Broken: what went wrong, for logs
}

// Key is how records name the finding: "area.check" or "area.check@subject".
func (f Finding) Key() string { return Key(f.Check, f.Subject) }

// Key joins an id and a subject.
func Key(id, subject string) string {
	if subject == "" {
		return id
	}
	return id + "@" + subject
}

// SplitKey takes a key apart. Ids never hold an @; subjects may.
func SplitKey(key string) (id, subject string) {
	id, subject, _ = strings.Cut(key, "@")
	return id, subject
}
