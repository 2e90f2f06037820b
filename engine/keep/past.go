package keep

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"firstrod/engine"
)

// MayErase says whether a person's name may be erased at a time: nil, or why not,
// engine.Forbidden. A name is kept under a legal hold on the person or on a bore
// that the person acted on; and the name behind a signature or a waiver is kept
// until its time has passed.
func (s *Survey) MayErase(id string, rule Rule, now time.Time) error {
	p := s.people[id]
	if p == nil {
		return &engine.Error{Kind: engine.NotFound, Say: "nobody in this ledger has the id " + id}
	}
	no := func(say, hint string) error { return &engine.Error{Kind: engine.Forbidden, Say: say, Hint: hint} }
	if _, on := s.Holds.Person(id); on {
		return no(id+" is under a legal hold; nothing of it is erased", "two different people end it: firstrod legal-hold --release")
	}
	if b := p.held(&s.Holds); b != "" {
		return no(fmt.Sprintf("%s acted on bore %s, which is under a legal hold; nothing of it is erased", id, b),
			"two different people end it: firstrod legal-hold --release")
	}
	switch {
	case !p.signed || rule.Names > 0 && past(p.last, rule.Names, now):
		return nil
	case rule.Names == 0:
		return no(id+" has signed or waived, and the names of those who did are kept for ever",
			"retention.names in the settings says for how many years")
	}
	return no(fmt.Sprintf("%s has signed or waived, and that name is kept for %d years after the last word: until %s",
		id, rule.Names, p.last.AddDate(rule.Names, 0, 0).Format(time.DateOnly)), "ask again then")
}

func past(since time.Time, years int, now time.Time) bool {
	return !since.IsZero() && !now.Before(since.AddDate(years, 0, 0))
}

// Due is something whose time has passed.
type Due struct {
	Person string    // id: the name is due; else
	Bore   string    // files of this bore are
	Sums   []string  // hex SHA-256 of the files
	Since  time.Time // last word, or the day the bore was closed
	Held   bool      // under a legal hold: it stays
}

// Past lists names and evidence whose time has passed, and those of them that a
// legal hold keeps: people first, each in the order of ids.
func (s *Survey) Past(rule Rule, now time.Time) []Due {
	var out []Due
	for _, id := range slices.Sorted(maps.Keys(s.people)) {
		p := s.people[id]
		if p.erased || rule.Names == 0 || !past(p.last, rule.Names, now) {
			continue
		}
		_, on := s.Holds.Person(id)
		out = append(out, Due{Person: id, Since: p.last, Held: on || p.held(&s.Holds) != ""})
	}
	if rule.Evidence == 0 {
		return out
	}
	for _, id := range slices.Sorted(maps.Keys(s.bores)) {
		b := s.bores[id]
		d := Due{Bore: id, Since: b.closed}
		for _, sum := range b.sums {
			held, done := s.file(sum, rule, now)
			d.Held = d.Held || held
			if done && !s.removed[sum] {
				d.Sums = append(d.Sums, sum)
			}
		}
		if len(d.Sums) > 0 {
			out = append(out, d)
		}
	}
	return out
}

// Removed lists the files that records say were removed: their bytes should be gone.
func (s *Survey) Removed() []string { return slices.Sorted(maps.Keys(s.removed)) }

// file looks at every bore that a file was shown on: all must be closed for long
// enough, and none be held.
func (s *Survey) file(sum string, rule Rule, now time.Time) (held, done bool) {
	done = true
	for _, id := range s.shown[sum] {
		_, on := s.Holds.Bore(id)
		held = held || on
		done = done && past(s.bores[id].closed, rule.Evidence, now)
	}
	return held, done
}
