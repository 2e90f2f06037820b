package audit

import (
	"fmt"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// Words looks up how people call things. A function may be nil, or give "" for
// what it does not know: the id is shown then.
type Words struct {
	Person func(id string) string
	Ask    func(id string) string
	Check  func(id string) string
}

func look(fn func(string) string, id string) string {
	if fn != nil {
		if s := fn(id); s != "" {
			return s
		}
	}
	return id
}

// Who is a person with role, by name where it is known.
func (w Words) Who(a *ledger.Actor) string {
	if a == nil {
		return "firstrod"
	}
	if a.Role == "" {
		return look(w.Person, a.ID)
	}
	return look(w.Person, a.ID) + ", " + plain(a.Role)
}

// plain turns an id of our own into words.
func plain(id string) string { return strings.ReplaceAll(id, "_", " ") }

// finding is a check in words, with its subject.
func (w Words) finding(key string) string {
	id, subject := engine.SplitKey(key)
	s := look(w.Check, id)
	if s != id {
		s += " (" + id + ")"
	}
	return withSubject(s, subject)
}

func withSubject(s, subject string) string {
	if subject == "" {
		return s
	}
	return s + " [" + subjectWords(subject) + "]"
}

// subjectWords gives a frequency in kilohertz; other subjects are names already.
func subjectWords(s string) string {
	if v, err := quantity.Parse(quantity.Frequency, s, nil); err == nil {
		return quantity.Print(v)
	}
	return s
}

// fact is one value in words.
func (w Words) fact(f ledger.Fact, zone *time.Location) string {
	id, subject := engine.SplitKey(f.Key)
	s := withSubject(look(w.Ask, id), subject) + ": " + Value(f, zone)
	if f.From != "" {
		s += " (as on " + f.From + ")"
	}
	return s
}

// Value is a value as people read it, times as the clocks of zone show them (nil:
// UTC); or as it is stored where it cannot be read.
func Value(f ledger.Fact, zone *time.Location) string {
	v, err := quantity.Parse(quantity.Kind(f.Kind), f.Value, f.Items)
	if err != nil {
		return strings.TrimSpace(f.Value + " " + f.Unit)
	}
	return quantity.PrintIn(v, "en", zone)
}

// Void is the reason why a release holds no longer, in words.
func Void(reason string) string {
	switch reason {
	case engine.VoidAnswer:
		return "an answer was changed"
	case engine.VoidUndo:
		return "an answer was taken back"
	case engine.VoidReport:
		return "something was reported"
	case engine.VoidHold:
		return "the bore was stopped by hand"
	case engine.VoidWaiver:
		return "a waiver was given"
	case engine.VoidTimeOver:
		return "its time was over"
	case engine.VoidRule:
		return "a rule holds no longer"
	case engine.VoidRules:
		return "other rules came into force that did not let it stand"
	case engine.VoidMoved:
		return "its jurisdiction was set right"
	case engine.VoidClosed:
		return "the bore was closed"
	}
	return plain(reason)
}

// Span is a length of time in words, cut to minutes above an hour.
func Span(d time.Duration) string {
	d = d.Round(time.Second)
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", d/time.Second)
	case d < time.Hour:
		return fmt.Sprintf("%d min", d/time.Minute)
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h %d min", d/time.Hour, d%time.Hour/time.Minute)
	}
	return fmt.Sprintf("%d days %d h", d/(24*time.Hour), d%(24*time.Hour)/time.Hour)
}
