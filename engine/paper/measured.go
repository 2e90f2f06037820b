package paper

import (
	"firstrod/engine"
	"firstrod/engine/quantity"
)

// measured is what readings and crossings came to.
func (b *builder) measured(d *Document) error {
	d.Frequencies, d.Crossings = []Frequency{}, []Crossing{}
	for _, hz := range b.Board.Items(engine.PerFrequency) {
		f, err := b.frequency(hz)
		if err != nil {
			return err
		}
		d.Frequencies = append(d.Frequencies, f)
	}
	d.Reamer = b.answer("reamer_size")
	if p, ok := b.Catalogue.Param("crossings.line_doubt_um"); ok {
		d.LineDoubt = b.quantity(p.Value)
	}
	for _, line := range b.Board.Items(engine.PerCrossing) {
		d.Crossings = append(d.Crossings, b.crossing(line))
	}
	return nil
}

func (b *builder) quantity(v quantity.Value, limits ...quantity.Value) *Quantity {
	return &Quantity{Base: v.Base(), Unit: v.Kind().Unit(), Shown: b.shown(v, limits...)}
}

// answer is a number that was given, or nil.
func (b *builder) answer(key string) *Quantity {
	g, ok := b.Board.Fact(key)
	if !ok || !g.Value.Kind().Numeric() {
		return nil
	}
	return b.quantity(g.Value)
}

func (b *builder) frequency(hz string) (Frequency, error) {
	derived := func(leaf string) *Quantity { return b.derived(engine.PerFrequency, hz, "frequency.derived."+leaf) }
	f := Frequency{
		Hertz: hz, Shown: b.item(engine.PerFrequency, hz), Marks: []Mark{}, Plan: b.answer("planned_depth"),
		Doubt: derived("depth_doubt_um"), Margin: derived("noise_margin_mdb"), Signal: b.answer(engine.Key("signal", hz)),
	}
	if q := derived("deepest_um"); q != nil {
		const foot = 304_800 // nobody plans by the inch here
		f.Deepest = &Quantity{Base: q.Base, Unit: q.Unit, Shown: b.words.say("depth.none")}
		if n := q.Base / foot * foot; n > 0 {
			f.Deepest.Shown = b.shown(quantity.Of(quantity.Length, n))
		}
	}
	for _, which := range []string{"near", "far"} {
		if m, ok := b.mark(hz, which); ok {
			f.Marks = append(f.Marks, m)
		}
	}
	var err error
	f.Earlier, err = b.earlier(hz)
	return f, err
}

// mark is one reading, or several of the same mark, with what it is judged by.
func (b *builder) mark(hz, which string) (Mark, bool) {
	g, given := b.Board.Fact(engine.Key(which+"_reading", hz))
	truth, known := b.Catalogue.Param("verification." + which + "_mark_um")
	check, ok := b.Catalogue.Check("verification." + which + "_mark")
	if !given || !known || !ok {
		return Mark{}, false
	}
	limits := b.Catalogue.Limits(check)
	part := func(what string, limits ...quantity.Value) *Quantity {
		return b.derived(engine.PerFrequency, hz, "frequency.derived."+which+"_"+what+"_um", limits...)
	}
	miss, expanded, tolerance := part("error", limits...), part("expanded", limits...), part("tolerance", limits...)
	if miss == nil || expanded == nil || tolerance == nil {
		return Mark{}, false
	}
	if miss.Shown == b.words.say("length.true") {
		miss.Shown = b.words.say("readings.nothing")
	}
	return Mark{
		Which: which, True: *b.quantity(truth.Value), Reading: b.shown(g.Value, limits...), Error: *miss, Expanded: *expanded,
		Tolerance: *tolerance, Status: b.status(check.ID, hz),
	}, true
}

// earlier is what the pair gave before this bore.
func (b *builder) earlier(hz string) ([]Constant, error) {
	g, ok := b.Board.Fact(engine.Key("signal", hz))
	if !ok || b.Earlier == nil {
		return nil, nil
	}
	all, err := b.Earlier(hz)
	var before []Constant
	for _, c := range all {
		if c.At.Before(g.At) {
			before = append(before, Constant{c.Bore, c.At.UTC(), c.DB})
		}
	}
	return before, err
}

func (b *builder) crossing(line string) Crossing {
	on := func(ask string) *Quantity { return b.answer(engine.Key(ask, line)) }
	derived := func(leaf string) *Quantity { return b.derived(engine.PerCrossing, line, "crossing.derived."+leaf) }
	c := Crossing{
		Name: line, Station: on("station"), LineDepth: on("line_depth"), LineSize: on("line_size"), BoreDepth: on("bore_depth"),
		Available: derived("separation_um"), Needed: derived("needed_um"), Doubt: derived("doubt_um"), Contact: derived("contact_ppm"),
		Status: b.status("crossings.clearance", line),
	}
	if g, ok := b.Board.Fact(engine.Key("exposed", line)); ok {
		c.Exposed = g.Value.Yes()
	}
	const least = 100 // 0.01 %: a smaller chance is not shown as none
	if q := c.Contact; q != nil {
		word := "contact.about"
		if q.Base < least {
			word = "contact.under"
		}
		q.Shown = b.words.say(word, "chance", b.shown(quantity.Of(quantity.Percent, max(q.Base, least))))
	}
	return c
}
