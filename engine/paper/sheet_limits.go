package paper

import "strings"

// loosened is what was let through, and what a local pack makes less strict.
func (s *sheet) loosened() {
	s.heading("loose.head")
	if len(s.Waived)+len(s.Loosened) == 0 {
		s.add(para(s.say("loose.none")))
		return
	}
	t := part{
		Kind: partTable, Wide: []float64{5, 4, 5}, Loud: map[int]bool{},
		Head: []string{s.say("loose.what"), s.say("loose.by"), s.say("loose.why")},
	}
	for _, w := range s.Waived {
		by := s.say("waived.by", "who", s.who(w.By), "at", s.at(w.At), "record", w.Record)
		t.Rows = append(t.Rows, []string{s.say("waived", "rule", w.Title), by, w.Why})
	}
	for _, l := range s.Loosened {
		id := "loosened"
		switch {
		case l.Pack == "":
			t.Rows = append(t.Rows, []string{s.say("loosened.then", "name", s.limitAndID(l.Title, l.Name)), "", ""})
			continue
		case l.How != "":
			id = "loosened." + l.How
		}
		t.Rows = append(t.Rows, []string{
			s.say(id, "name", s.limitAndID(l.Title, l.Name), "was", l.Was, "is", l.Is), s.say("loosened.by", "by", l.By, "pack", l.Pack, "until", l.Until), l.Why,
		})
	}
	for i := range t.Rows {
		t.Loud[i] = true
	}
	s.add(t)
	if len(s.Waived) == 0 {
		s.add(para(s.say("loose.no_waiver")))
	}
	if len(s.Loosened) == 0 {
		s.add(para(s.say("loose.no_limit")))
	}
}

// limitGrid is the limits of the release, close together.
func (s *sheet) limitGrid() {
	s.heading("limits.head")
	g := part{Kind: partGrid, Wide: []float64{1, 1}, Loud: map[int]bool{}}
	for _, l := range s.Limits {
		if !l.Release && !l.Loose {
			continue
		}
		id := ""
		switch {
		case l.Loose:
			id = "limits.loosened"
			g.Loud[len(g.Rows)] = true
		case l.Base != "":
			id = "limits.changed"
		case l.Pack != basePack:
			id = "limits.local"
		}
		value := l.Shown
		if id != "" {
			value = s.say(id, "value", l.Shown, "pack", l.Pack, "base", joined("", l.Base))
		}
		g.Rows = append(g.Rows, []string{s.limitName(l.Title, l.Name), value})
	}
	s.add(para(s.say("limits.pack")), g)
}

// limitName is a limit's title; "Ground: standoff far" for ground.standoff_far without
// one.
func (s *sheet) limitName(title, name string) string {
	if title != "" {
		return title
	}
	area, rest, ok := strings.Cut(name, ".")
	if !ok {
		return plain(name)
	}
	return s.name("area", area) + ": " + plain(rest)
}

// limitAndID has the id as well, by which the rules and the ledger are searched.
func (s *sheet) limitAndID(title, name string) string {
	if title == "" {
		return s.limitName(title, name)
	}
	return title + " (" + name + ")"
}

func plain(name string) string { return strings.ReplaceAll(name, "_", " ") }
