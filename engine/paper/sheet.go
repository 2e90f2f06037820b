package paper

import (
	"strconv"
	"strings"
	"time"

	"firstrod/engine"
)

// sheet puts a document into words.
type sheet struct {
	Document
	words
	zone  *time.Location
	parts []part
}

// partsOf is everything that is printed, in order.
func partsOf(d Document) ([]part, error) {
	zone, err := time.LoadLocation(d.Zone)
	if err != nil {
		return nil, fail("the record names an unknown time zone", err)
	}
	s := &sheet{Document: d, words: wordsIn(d.Lang), zone: zone}
	s.first()
	s.readings()
	s.crossed()
	s.rules()
	s.answers()
	s.happened()
	s.evidence()
	s.sources()
	s.cautions()
	s.check()
	return s.parts, nil
}

func (s *sheet) add(p ...part) { s.parts = append(s.parts, p...) }

func (s *sheet) heading(id string) { s.add(heading(s.say(id))) }

func (s *sheet) at(t time.Time) string { return moment(t, s.zone) }

// who is a name and a role, or what is left of them.
func (s *sheet) who(p Person) string {
	return s.say("person", "name", s.called(p), "role", s.name("role", p.Role))
}

// called is a name; where it was erased that is said, where nobody knows it the
// reference in the ledger stands.
func (s *sheet) called(p Person) string {
	switch {
	case p.Erased != nil:
		return s.say("person.erased", "at", p.Erased.In(s.zone).Format(time.DateOnly)) + " (" + p.ID + ")"
	case p.Name == "":
		return p.ID
	}
	return p.Name
}

// first is page one: the verdict, and everything somebody who files it looks for.
func (s *sheet) first() {
	id := "as_of"
	if s.Judged.Sub(s.AsOf) >= time.Minute {
		id = "as_of.later"
	}
	lines := []string{s.say(id, "record", s.Last, "at", s.at(s.AsOf), "judged", s.at(s.Judged))}
	lines = append(lines, s.under()...)
	s.add(part{Kind: partVerdict, Text: s.verdict(), Lines: lines}, para(s.say("caution")))
	s.heading("bore.head")
	rules := s.say("bore.rules.say", "sum", shortSum(s.Rules.Revision), "engine", s.Rules.Engine)
	rows := [][]string{
		{s.say("bore.name"), joined(", ", s.Bore, differing(s.Title, s.Bore))}, {s.say("bore.place"), s.Place}, {s.say("bore.zone"), s.Zone},
		{s.say("bore.opened"), s.at(s.Opened)}, {s.say("bore.records"), s.say("bore.records.say", "n", s.Version, "last", s.Last)},
		{s.say("bore.jurisdiction"), s.whose()}, {s.say("bore.rules"), rules},
	}
	s.add(part{Kind: partGrid, Rows: rows, Wide: []float64{1, 1}})
	if len(s.Rules.Packs) > 1 {
		var packs []string
		for _, p := range s.Rules.Packs {
			packs = append(packs, joined(": ", p.Code, p.Title))
		}
		s.add(para(s.say("bore.packs") + ": " + strings.Join(packs, "; ")))
	}
	if s.Rules.Revision != s.Rules.Shown {
		s.add(para(s.say("bore.other", "shown", shortSum(s.Rules.Shown), "revision", shortSum(s.Rules.Revision))))
	}
	for _, n := range s.Rules.Notices {
		s.add(para(n))
	}
	s.gear()
	s.signed()
	s.loosened()
	s.limitGrid()
}

// whose says whose rules hold: those of the place itself, of a wider one around it,
// or the base alone.
func (s *sheet) whose() string {
	r := s.Rules
	id := "bore.whose.own"
	switch {
	case r.Jurisdiction == "" && r.Place == "":
		id = "bore.whose.none"
	case r.Place == "":
		id = "bore.whose.base"
	case r.Jurisdiction == "": // a document of before it was written down
		r.Jurisdiction = r.Place
	case r.Place != r.Jurisdiction:
		id = "bore.whose.wider"
	}
	return s.say(id, "place", r.Jurisdiction, "rules", r.Place)
}

// verdict is how the bore stands, in words, the first that anybody reads.
func (s *sheet) verdict() string {
	fails, needs := 0, 0
	for _, f := range s.Findings {
		if f.Gate != string(engine.GateRelease) {
			continue
		}
		switch engine.Status(f.Status) {
		case engine.Fail, engine.Broken:
			fails++
		case engine.Needs:
			needs++
		}
	}
	n, until, at := needs, "", s.at(s.AsOf)
	if s.Verdict == string(engine.Stopped) {
		n = fails
	}
	if s.Release != nil {
		until = s.at(s.Release.Until)
	}
	return s.say("verdict."+s.Verdict, "n", n, "until", until, "at", at)
}

// under is what belongs to the verdict.
func (s *sheet) under() []string {
	var lines []string
	if s.State == string(engine.Held) && s.Verdict != string(engine.OnHold) {
		lines = append(lines, s.say("verdict.stopped"))
	}
	switch s.Void {
	case "":
	case engine.VoidClosed:
		lines = append(lines, s.say("void.ended"))
	default:
		lines = append(lines, s.say("void", "why", s.name("void", s.Void)))
	}
	if s.Why != "" && s.State == string(engine.Held) {
		lines = append(lines, s.say("why", "why", s.Why))
	}
	for _, f := range s.Findings {
		if f.Gate == string(engine.GateRelease) && f.Status == string(engine.Fail) && len(lines) < 6 {
			lines = append(lines, s.say("verdict.needs", "what", f.Stop))
		}
	}
	return lines
}

func (s *sheet) gear() {
	s.heading("gear.head")
	var rows [][]string
	for _, v := range s.Gear {
		rows = append(rows, []string{v.Label, v.Shown})
	}
	if len(rows) == 0 {
		s.add(para(s.say("gear.none")))
		return
	}
	s.add(part{Kind: partGrid, Rows: rows, Wide: []float64{1, 1}})
}

func (s *sheet) signed() {
	s.heading("sign.head")
	var rows [][]string
	meanings := map[string]bool{}
	for _, g := range s.Signatures {
		meanings[g.Meaning] = true
		rows = append(rows, []string{s.called(g.By), s.name("role", g.By.Role), s.at(g.At), strconv.FormatInt(g.Record, 10)})
	}
	if len(rows) == 0 {
		s.add(para(s.say("sign.none")))
	} else {
		s.add(part{
			Kind: partTable, Rows: rows, Wide: []float64{4, 3, 4, 1},
			Head: []string{s.say("sign.name"), s.say("sign.role"), s.say("sign.at"), s.say("sign.record")},
		})
	}
	for _, g := range s.Signatures {
		if meanings[g.Meaning] {
			delete(meanings, g.Meaning)
			says := s.say("sign.meaning", "meaning", g.Meaning)
			if g.Meaning == engine.Meaning {
				says = joined(" ", says, s.say("sign.in_words"))
			}
			s.add(para(says))
		}
	}
	if r := s.Release; r != nil {
		id := "release.over"
		if r.Stands {
			id = "release.stands"
		}
		s.add(para(s.say(id, "at", s.at(r.At), "until", s.at(r.Until), "n", r.Checks, "record", r.Record)))
	}
}

// joined joins what is not empty.
func joined(sep string, words ...string) string {
	var all []string
	for _, w := range words {
		if w != "" {
			all = append(all, w)
		}
	}
	return strings.Join(all, sep)
}

// differing is a where it is not b.
func differing(a, b string) string {
	if a == b {
		return ""
	}
	return a
}

// shortSum is the beginning of a hash, for people.
func shortSum(sum string) string {
	if len(sum) < 8 {
		return sum
	}
	return sum[:4] + " " + sum[4:8]
}
