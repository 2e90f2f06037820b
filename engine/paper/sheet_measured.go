package paper

// of is a quantity as people read it, "?" where it is not known.
func of(q *Quantity) string {
	if q == nil {
		return unknown
	}
	return q.Shown
}

func loudStatus(status string) bool { return status != "pass" && status != "exempt" }

func (s *sheet) readings() {
	s.heading("readings.head")
	marks := part{
		Kind: partTable, Wide: []float64{2.4, 3.4, 4, 3.4, 3.2, 3.1, 2.5}, Loud: map[int]bool{},
		Head: []string{s.say("readings.frequency"), s.say("readings.true"), s.say("readings.read"), s.say("readings.error"),
			s.say("readings.doubt"), s.say("readings.tolerance"), s.say("readings.verdict")},
	}
	depths := part{
		Kind: partTable, Wide: []float64{1, 1.4, 1.6, 1.6, 1.3, 1.3},
		Head: []string{s.say("depth.frequency"), s.say("depth.plan"), s.say("depth.doubt"), s.say("depth.deepest"), s.say("depth.margin"), s.say("depth.signal")},
	}
	for _, f := range s.Frequencies {
		for _, m := range f.Marks {
			marks.Loud[len(marks.Rows)] = loudStatus(m.Status)
			marks.Rows = append(marks.Rows, []string{f.Shown, m.True.Shown + ", " + s.say("mark."+m.Which), m.Reading, m.Error.Shown,
				m.Expanded.Shown, m.Tolerance.Shown, s.name("status", m.Status)})
		}
		depths.Rows = append(depths.Rows, []string{f.Shown, of(f.Plan), of(f.Doubt), of(f.Deepest), of(f.Margin), of(f.Signal)})
	}
	if len(marks.Rows) == 0 {
		s.add(para(s.say("readings.none")))
	} else {
		s.add(marks)
	}
	if len(depths.Rows) > 0 {
		s.add(depths)
	}
	s.picture(s.readingsPicture())
	for _, f := range s.Frequencies {
		s.picture(s.historyPicture(f))
	}
}

func (s *sheet) crossed() {
	s.heading("crossings.head")
	if len(s.Crossings) == 0 {
		s.add(para(s.say("crossings.none")))
		return
	}
	t := part{
		Kind: partTable, Wide: []float64{3, 2.6, 3.4, 2.8, 3.2, 2.6, 2.4}, Loud: map[int]bool{},
		Head: []string{s.say("crossings.line"), s.say("crossings.station"), s.say("crossings.depths"), s.say("crossings.available"),
			s.say("crossings.needed"), s.say("crossings.contact"), s.say("crossings.verdict")},
	}
	for i, c := range s.Crossings {
		t.Loud[i] = loudStatus(c.Status)
		t.Rows = append(t.Rows, []string{c.Name, of(c.Station), of(c.LineDepth) + ", " + of(c.BoreDepth), of(c.Available), of(c.Needed),
			of(c.Contact), s.name("status", c.Status)})
	}
	s.add(t)
	s.picture(s.crossingsPicture())
}
