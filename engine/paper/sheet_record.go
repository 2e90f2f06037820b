package paper

import (
	"strconv"
	"strings"

	"firstrod/engine"
)

// rules is how many hold in each part of the job, and each one that does not.
func (s *sheet) rules() {
	s.heading("rules.head")
	t := part{
		Kind: partTable, Wide: []float64{3, 1.5, 9}, Loud: map[int]bool{},
		Head: []string{s.say("rules.area"), s.say("rules.count"), s.say("rules.open")},
	}
	at := map[string]int{}
	hold, all := map[string]int{}, map[string]int{}
	for _, f := range s.Findings {
		i, ok := at[f.Area]
		if !ok {
			i = len(t.Rows)
			at[f.Area] = i
			t.Rows = append(t.Rows, []string{s.name("area", f.Area), "", ""})
		}
		all[f.Area]++
		if engine.Status(f.Status).Holds() {
			hold[f.Area]++
		}
		if line := s.open(f); line != "" {
			t.Rows[i][2] = joined("\n", t.Rows[i][2], line)
			t.Loud[i] = t.Loud[i] || f.Status != string(engine.Needs)
		}
	}
	for area, i := range at {
		t.Rows[i][1] = s.say("rules.count.say", "n", hold[area], "of", all[area])
	}
	s.add(t)
}

// open says what does not hold about a rule; nothing when it holds.
func (s *sheet) open(f Finding) string {
	switch engine.Status(f.Status) {
	case engine.Pass, engine.Exempt:
		return ""
	case engine.Waived:
		return s.say("waived", "rule", joined(". ", f.Title, f.Stop))
	case engine.Needs:
		switch {
		case f.Open && s.Release != nil:
			return s.say("rules.signature.past", "rule", f.Title)
		case f.Open:
			return s.say("rules.signature", "rule", f.Title)
		case f.Gate == string(engine.GateDrilling):
			return s.say("rules.none_made", "rule", f.Title)
		}
		return s.say("rules.needs", "rule", f.Title)
	case engine.Fail:
		return s.say("event.fails", "what", joined(". ", f.Title, f.Stop))
	}
	return s.say("rules.broken", "rule", f.Title)
}

func (s *sheet) answers() {
	if len(s.Values) == 0 {
		return
	}
	s.heading("values.head")
	t := part{
		Kind: partTable, Wide: []float64{5, 4, 4, 3}, Loud: map[int]bool{},
		Head: []string{s.say("values.what"), s.say("values.value"), s.say("values.typed"), s.say("values.who")},
	}
	area := ""
	for _, v := range s.Values {
		if v.Area != area {
			area = v.Area
			t.Loud[len(t.Rows)] = true
			t.Rows = append(t.Rows, []string{s.name("area", area), "", "", ""})
		}
		typed := v.Typed
		if v.From != "" {
			typed = joined("; ", typed, s.say("values.from", "bore", v.From))
		}
		t.Rows = append(t.Rows, []string{v.Label, v.Shown, typed, s.called(v.By) + ", " + strconv.FormatInt(v.Record, 10)})
	}
	s.add(t)
}

// happened is every record in words, and what was refused once more by itself.
func (s *sheet) happened() {
	s.heading("events.head")
	head := []string{s.say("events.number"), s.say("events.at", "zone", s.Zone), s.say("events.who"), s.say("events.what")}
	t := part{Kind: partTable, Wide: []float64{1.3, 3.1, 3.7, 7.9}, Head: head, Loud: map[int]bool{}}
	refused := t
	refused.Loud = nil
	for _, e := range s.Timeline {
		who := ""
		if e.By != nil {
			who = s.who(*e.By)
		}
		row := []string{strconv.FormatInt(e.Record, 10), clock(e.At, s.zone), who, s.what(e)}
		t.Loud[len(t.Rows)] = e.Void != "" || e.Until != nil || e.State == string(engine.Held) || len(e.Fails) > 0 || e.Rule != ""
		t.Rows = append(t.Rows, row)
		if e.Kind == "refused" {
			refused.Rows = append(refused.Rows, []string{row[0], row[1], row[2], e.Why})
		}
	}
	s.add(t)
	s.heading("events.refused.head")
	if len(refused.Rows) == 0 {
		s.add(para(s.say("events.refused.none")))
		return
	}
	s.add(refused)
}

// what is one record in words.
func (s *sheet) what(e Entry) string {
	var given []string
	for _, g := range e.Given {
		given = append(given, g.Label+": "+g.Shown)
	}
	lines := []string{
		s.say("kind."+e.Kind, "event", s.name("event", e.Event), "rule", e.Rule, "n", e.Files, "place", e.Moved),
		e.Why, strings.Join(given, "; "),
	}
	if e.Event != "" && e.Kind != "report" {
		lines = append(lines, s.say("event.failed", "event", s.name("event", e.Event)))
	}
	if len(e.Fails) > 0 {
		lines = append(lines, s.say("event.fails", "what", strings.Join(e.Fails, "; ")))
	}
	if len(e.Again) > 0 {
		lines = append(lines, s.say("event.again", "what", strings.Join(e.Again, "; ")))
	}
	if e.Void != "" {
		lines = append(lines, s.say("event.void", "why", s.name("void", e.Void)))
	}
	if e.State == string(engine.Held) {
		lines = append(lines, s.say("event.held"))
	}
	if e.Until != nil {
		lines = append(lines, s.say("event.released", "until", s.at(*e.Until)))
	}
	return joined("\n", lines...)
}

func (s *sheet) evidence() {
	if len(s.Files) == 0 {
		return
	}
	s.heading("files.head")
	t := part{
		Kind: partTable, Wide: []float64{4, 3, 7, 3},
		Head: []string{s.say("files.name"), s.say("files.type"), s.say("files.sum"), s.say("files.record")},
	}
	for _, f := range s.Files {
		t.Rows = append(t.Rows, []string{f.Name, s.say("files.size", "type", f.Type, "n", f.Size), f.Sum,
			strconv.FormatInt(f.Record, 10) + ", " + s.called(f.By)})
	}
	s.add(t)
}

// sources is every limit with where it comes from.
func (s *sheet) sources() {
	s.heading("limits.all")
	t := part{
		Kind: partTable, Wide: []float64{4, 3, 2, 7}, Loud: map[int]bool{},
		Head: []string{s.say("limits.name"), s.say("limits.value"), s.say("limits.from"), s.say("limits.source")},
	}
	for i, l := range s.Limits {
		t.Loud[i] = l.Loose
		t.Rows = append(t.Rows, []string{s.limitAndID(l.Title, l.Name), l.Shown, l.Pack, l.Source})
	}
	s.add(t)
}

func (s *sheet) cautions() {
	s.heading("caution.head")
	s.add(para(s.say("caution")), para(s.say("caution.moment")), para(s.say("caution.numbers")), para(s.say("caution.copy")))
}

func (s *sheet) check() {
	s.add(part{Kind: partHeading, Text: s.say("check.head"), Keep: checkHigh})
	seal := s.Seal()
	s.add(
		para(s.say("check.how", "bore", s.Bore)),
		heading(s.say("check.note")), part{Kind: partCode, Text: s.Checkpoint.Note},
		heading(s.say("check.code")), part{Kind: partSeal, Text: seal.String(), Alt: s.say("check.alt"), Seal: seal},
	)
}
