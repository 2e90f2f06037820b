package desk

import (
	"fmt"
	"time"
)

// Kind is what an alert is about. The list only grows.
type Kind string

// The kinds of alert.
const (
	Unpublished Kind = "unpublished" // files were changed and not published
	Unreadable  Kind = "unreadable"  // the source cannot be read, or is no folder of rules, or is not signed
	Refused     Kind = "refused"     // a publication was looked at and is not used
	Mended      Kind = "mended"      // what the last alert was about is over
	InForce     Kind = "in_force"    // other rules have come into force
	Stale       Kind = "stale"       // the rules in force were to be signed anew by a day, and were not
)

// Alert is something the safety manager should know. In all kinds but InForce
// the rules that were in force stay in force.
type Alert struct {
	Kind        Kind
	Say         string // one sentence
	Hint        string // what to do; may be empty
	Faults      []Fault
	Publication Publication // that of the candidate, where it has one
	Err         error       // cause, for logs; may be nil
	Over        *Alert      // of Mended: the alert that is over
}

// Waiting times before a refused candidate is looked at again: a machine that
// was too busy for a trial may have time later.
const (
	firstAgain = time.Minute
	mostAgain  = time.Hour
)

// trouble is the alert that stands.
type trouble struct {
	mark  string
	alert Alert
	again time.Time // when to look at it again
	wait  time.Duration
}

// waits says whether this very candidate was refused a short while ago.
func (t *trouble) waits(mark string, now time.Time) bool {
	return t != nil && t.mark == mark && now.Before(t.again)
}

// raise tells once about one thing.
func (d *Desk) raise(mark string, kind Kind, c Candidate, err error) {
	now := d.cfg.Clock.Now()
	if t := d.trouble; t != nil && t.mark == mark {
		t.wait = min(2*t.wait, mostAgain)
		t.again = now.Add(t.wait)
		return
	}
	a := Alert{Kind: kind, Faults: FaultsOf(err), Publication: c.Publication, Err: err}
	a.Say, a.Hint = inWords(err)
	if kind == Refused {
		a.Say = fmt.Sprintf("Publication %d by %s is not used: %s", c.Publication.Serial, c.Publication.By, a.Say)
	}
	d.trouble = &trouble{mark, a, now.Add(firstAgain), firstAgain}
	d.cfg.Alert(a)
}

// mended tells that the trouble is over, if there was any.
func (d *Desk) mended() {
	t := d.trouble
	if t == nil {
		return
	}
	d.trouble = nil
	d.cfg.Alert(Alert{Kind: Mended, Say: "Over: " + t.alert.Say, Publication: t.alert.Publication, Over: &t.alert})
}

func inForce(p Publication) Alert {
	say := fmt.Sprintf("Rules %d are in force, published by %s: %s", p.Serial, p.By, p.Why)
	if p.RollbackOf != 0 {
		say = fmt.Sprintf("Rules %d are in force, the files of %d again, published by %s: %s", p.Serial, p.RollbackOf, p.By, p.Why)
	}
	return Alert{Kind: InForce, Say: say, Publication: p}
}
