package audit

import (
	"fmt"
	"strings"
	"time"

	"firstrod/engine/ledger"
)

// Moment is one line of a bore's story: a record, or a long silence before one.
type Moment struct {
	Record  int64         `json:"record"`            // number; of the record after it for a silence
	At      time.Time     `json:"at"`                // in the site's zone
	Who     string        `json:"who,omitempty"`     // name and role
	Person  string        `json:"person,omitempty"`  // id
	What    []string      `json:"what"`              // sentences: what was said, then what came of it
	Silence time.Duration `json:"silence,omitempty"` // nanoseconds in which nothing was recorded
}

// Story tells a bore's records one after the other.
type Story struct {
	words   Words
	silence time.Duration
	zone    *time.Location
	state   string
	last    time.Time
}

// NewStory starts a story. A pause of silence or longer gets a line of its own;
// 0 is none. zone may be nil: it is then the one the bore was opened with.
func NewStory(w Words, silence time.Duration, zone *time.Location) *Story {
	return &Story{words: w, silence: silence, zone: zone}
}

// Zone is the zone that times are told in; nil before the bore was opened.
func (s *Story) Zone() *time.Location { return s.zone }

// Tell takes the bore's next record, and gives the moments it makes: itself, and
// the silence before it.
func (s *Story) Tell(r ledger.Record) []Moment {
	if s.zone == nil {
		s.zone = zoneOf(r)
	}
	var out []Moment
	at := r.At.In(s.zone)
	if gap := at.Sub(s.last); s.silence > 0 && !s.last.IsZero() && gap >= s.silence {
		out = append(out, Moment{Record: r.Seq, At: s.last, Silence: gap, What: []string{"nothing is recorded for " + Span(gap)}})
	}
	s.last = at
	m := Moment{Record: r.Seq, At: at, Who: s.words.Who(r.By), What: s.said(r)}
	if r.By != nil {
		m.Person = r.By.ID
	}
	m.What = append(m.What, s.effects(r)...)
	return append(out, m)
}

func zoneOf(r ledger.Record) *time.Location {
	if r.Open != nil {
		if z, err := time.LoadLocation(r.Open.Zone); err == nil {
			return z
		}
	}
	return time.UTC
}

// orBase is a jurisdiction in words.
func orBase(code string) string {
	if code == "" {
		return "none, the base alone"
	}
	return code
}

// said is what a record is about.
func (s *Story) said(r ledger.Record) []string {
	why := ""
	if r.Why != "" {
		why = ": " + quote(r.Why)
	}
	switch r.Kind {
	case ledger.KindOpen:
		return []string{opened(r)}
	case ledger.KindUndo:
		return []string{"took the last answer back: " + list(s.asks(r.Drops))}
	case ledger.KindReport:
		return []string{"reported " + plain(r.Event) + why}
	case ledger.KindHold:
		return []string{"stopped the bore" + why}
	case ledger.KindWaive:
		return []string{"waived " + s.words.finding(r.Check) + why}
	case ledger.KindSign:
		return []string{signed(r)}
	case ledger.KindClose:
		return []string{"closed the bore"}
	case ledger.KindRefused:
		return []string{fmt.Sprintf("typed %s and was refused%s", quote(r.Typed), why)}
	case ledger.KindShown:
		return shownFiles(r)
	case ledger.KindMoved:
		return []string{"set the jurisdiction right: " + orBase(r.Moved.Jurisdiction)}
	case ledger.KindRechecked:
		return []string{"published rules by which the release does not stand" + why}
	case ledger.KindReason:
		return []string{"said why the bore was stopped" + why}
	case ledger.KindStart:
		return []string{started(r)}
	case ledger.KindRules:
		return []string{inForce(r) + why}
	case ledger.KindPerson:
		return []string{introduced(r)}
	}
	if kept := s.words.kept(r, why); kept != "" {
		return []string{kept}
	}
	var out []string
	for _, f := range r.Facts {
		out = append(out, s.words.fact(f, s.zone))
	}
	if len(out) == 0 {
		out = []string{plain(string(r.Kind)) + why}
	}
	return out
}

func started(r ledger.Record) string {
	if r.Log == nil {
		return "began the ledger"
	}
	return "began the ledger " + r.Log.Origin
}

func inForce(r ledger.Record) string {
	s := fmt.Sprintf("rules %.8s came into force", r.Rules)
	if r.Pack == nil {
		return s
	}
	if r.Pack.Serial > 0 {
		s = fmt.Sprintf("publication %d: rules %.8s are in force", r.Pack.Serial, r.Rules) // at some places perhaps as before
	}
	if r.Pack.Place != "" {
		s += " at " + r.Pack.Place
	}
	return fmt.Sprintf("%s, %d checks", s, len(r.Pack.Checks))
}

func introduced(r ledger.Record) string {
	if r.Person == nil || len(r.Person.Roles) == 0 {
		return "was introduced"
	}
	roles := make([]string, 0, len(r.Person.Roles))
	for _, role := range r.Person.Roles {
		roles = append(roles, plain(role))
	}
	return "was introduced as " + strings.Join(roles, ", ")
}

func opened(r ledger.Record) string {
	s := "opened the bore"
	if r.Open.Place != "" {
		s += " at " + r.Open.Place
	}
	if r.Open.Jurisdiction != "" {
		s += ", under the rules of " + r.Open.Jurisdiction
	}
	n := 0
	for _, keys := range r.Findings {
		n += len(keys)
	}
	return fmt.Sprintf("%s (rules %.8s, %d findings)", s, r.Rules, n)
}

func signed(r ledger.Record) string {
	if r.Sign == nil {
		return "signed"
	}
	return "signed: " + quote(r.Sign.Meaning)
}

func shownFiles(r ledger.Record) (out []string) {
	for _, f := range r.Shown {
		name := f.Name
		if name == "" {
			name = "a file"
		}
		out = append(out, fmt.Sprintf("showed %s (%s, %d bytes, SHA-256 %.8s)", quote(name), f.Type, f.Size, f.Sum))
	}
	return out
}

// manyFindings that wait or do not apply are counted instead of named.
const manyFindings = 4

// effects is what came of a record.
func (s *Story) effects(r ledger.Record) (out []string) {
	if r.Kind != ledger.KindUndo && len(r.Drops) > 0 {
		out = append(out, "to be given again: "+list(s.asks(r.Drops)))
	}
	if r.Kind != ledger.KindOpen {
		for _, status := range []string{"fail", "broken", "waived", "pass", "exempt", "needs"} {
			keys := r.Findings[status]
			switch {
			case len(keys) == 0:
			case len(keys) > manyFindings && (status == "needs" || status == "exempt"):
				out = append(out, fmt.Sprintf("%s: %d findings", became(status), len(keys)))
			default:
				out = append(out, became(status)+": "+list(s.findings(keys)))
			}
		}
	}
	if r.Void != "" {
		out = append(out, "RELEASE VOID: "+Void(r.Void))
	}
	if r.Release != nil {
		out = append(out, s.release(r.Release))
	}
	if r.State != "" && r.State != s.state {
		if s.state != "" {
			out = append(out, "the bore was "+s.state+" and is now "+r.State)
		}
		s.state = r.State
	}
	return out
}

func became(status string) string {
	switch status {
	case "fail":
		return "DOES NOT HOLD"
	case "broken":
		return "CANNOT BE JUDGED"
	case "waived":
		return "WAIVED"
	case "pass":
		return "holds"
	case "exempt":
		return "does not apply"
	}
	return "waits for answers"
}

func (s *Story) release(r *ledger.Release) string {
	var who []string
	for _, a := range r.Signers {
		who = append(who, s.words.Who(&a))
	}
	text := fmt.Sprintf("READY TO DRILL until %s; %d findings hold; signed by %s",
		r.Until.In(s.zone).Format("2006-01-02 15:04"), r.Checks, strings.Join(who, " and "))
	if len(r.Waived) > 0 {
		text += "; waived: " + list(s.findings(r.Waived))
	}
	if len(r.Loose) > 0 {
		text += "; looser than the base: " + list(r.Loose)
	}
	return text
}

func (s *Story) asks(keys []string) (out []string) {
	for _, k := range keys {
		id, subject, _ := strings.Cut(k, "@")
		out = append(out, withSubject(look(s.words.Ask, id), subject))
	}
	return out
}

func (s *Story) findings(keys []string) (out []string) {
	for _, k := range keys {
		out = append(out, s.words.finding(k))
	}
	return out
}

func list(names []string) string { return strings.Join(names, "; ") }

// quote keeps what people typed on one line, and apart from our own words.
func quote(s string) string { return fmt.Sprintf("%q", s) }

// Line is what one record says, on one line, with times as the clocks of zone
// show them.
func (w Words) Line(r ledger.Record, zone *time.Location) string {
	var parts []string
	for _, m := range NewStory(w, 0, zone).Tell(r) {
		parts = append(parts, m.What...)
	}
	return list(parts)
}
