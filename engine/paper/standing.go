package paper

import (
	"slices"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// limits lists what was loosened, and every limit: loosened ones first, then those
// that a check in front of the release reads, in the order of the job.
func (b *builder) limits(d *Document) {
	d.Loosened, d.Limits = []Loosened{}, []Limit{}
	loose := map[string]bool{}
	for _, l := range b.Catalogue.Loose {
		loose[l.Name] = true
		d.Loosened = append(d.Loosened, Loosened{
			Name: l.Name, Title: b.title(l.Name), Pack: l.Pack, Was: b.shown(l.Was, l.Was), Is: b.shown(l.Is, l.Is), How: l.How,
			Why: l.Why.In(b.words.lang), By: l.By, Until: b.shown(quantity.Of(quantity.Date, l.Until)),
		})
	}
	for _, name := range b.loosenedThen() {
		if !loose[name] {
			d.Loosened = append(d.Loosened, Loosened{Name: name, Title: b.title(name)})
			loose[name] = true
		}
	}
	rank := map[*engine.Param]int{}
	for _, ch := range b.Catalogue.Checks {
		for _, p := range b.Catalogue.ParamsOf(ch) {
			if _, ranked := rank[p]; !ranked && ch.Gate == engine.GateRelease {
				rank[p] = len(rank)
			}
		}
	}
	for _, p := range b.Catalogue.Params {
		_, release := rank[p]
		d.Limits = append(d.Limits, b.limit(p, release, loose[p.Name]))
	}
	place := map[string]int{}
	for _, p := range b.Catalogue.Params {
		n, release := rank[p]
		switch {
		case loose[p.Name]:
			n = -1
		case !release:
			n = len(rank)
		}
		place[p.Name] = n
	}
	slices.SortStableFunc(d.Limits, func(x, y Limit) int { return place[x.Name] - place[y.Name] })
}

// title is what people call a limit or a check; empty where nothing says.
func (b *builder) title(name string) string {
	for _, p := range b.Catalogue.Params {
		if p.Name == name {
			return p.Title.In(b.words.lang)
		}
	}
	if ch, ok := b.Catalogue.Check(name); ok {
		return ch.Title.In(b.words.lang)
	}
	return ""
}

// loosenedThen names what the last release says was loosened.
func (b *builder) loosenedThen() []string {
	if r, ok := b.lastRelease(); ok {
		return r.Release.Loose
	}
	return nil
}

func (b *builder) limit(p *engine.Param, release, loose bool) Limit {
	l := Limit{
		Name: p.Name, Title: p.Title.In(b.words.lang), Exact: p.Value.Exact(), Kind: string(p.Value.Kind()), Unit: p.Value.Kind().Unit(),
		Shown: b.shown(p.Value, p.Value), Pack: p.Pack, Source: sourceOf(p.Source), Release: release, Loose: loose,
	}
	if p.Value.Kind() == quantity.Names {
		var names []string
		for _, item := range p.Value.Items() {
			names = append(names, b.words.name("role", item))
		}
		l.Shown = strings.Join(names, ", ")
	}
	if l.Pack == "" {
		l.Pack = basePack
	}
	if p.Base.Valid() && !p.Base.Equal(p.Value) {
		l.Base = b.shown(p.Base, p.Base)
	}
	return l
}

// basePack is what the rules of no place in particular are called.
const basePack = "base"

func sourceOf(s engine.Source) string {
	if s.Status == "" {
		return s.Name
	}
	return s.Name + " (" + s.Status + ")"
}

// standing is what stands on the board: gear, values, findings, files.
func (b *builder) standing(d *Document) {
	d.Gear, d.Values, d.Findings, d.Files = []Value{}, []Value{}, []Finding{}, []File{}
	for _, a := range b.Catalogue.Asks {
		subjects := []string{""}
		if a.Scope != engine.PerBore {
			subjects = b.Board.Items(a.Scope)
		}
		for _, subject := range subjects {
			g, ok := b.Board.Fact(engine.Key(a.ID, subject))
			if !ok {
				continue
			}
			v := b.value(a, subject, g)
			d.Values = append(d.Values, v)
			if a.Carry == "gear" || a.Kind == quantity.Frequencies {
				d.Gear = append(d.Gear, v)
			}
		}
	}
	for _, f := range b.Board.Findings {
		if ch, ok := b.Catalogue.Check(f.Check); ok {
			d.Findings = append(d.Findings, b.finding(ch, f))
		}
	}
	for _, r := range b.Records {
		for _, f := range r.Shown {
			d.Files = append(d.Files, File{File: f, By: b.person(*r.By), At: r.At.UTC(), Record: r.Seq})
		}
	}
}

func (b *builder) value(a *engine.Ask, subject string, g engine.Given) Value {
	ch, _ := b.Catalogue.Check(a.Check)
	v := Value{
		Key: g.Key, Label: b.label(a, subject), Kind: string(g.Value.Kind()), Exact: g.Value.Exact(), Unit: g.Value.Kind().Unit(),
		Items: g.Value.Items(), Shown: b.shown(g.Value, b.readBy(a)...), Typed: g.Typed, From: g.From,
		By: b.person(g.By), At: g.At.UTC(), Record: g.Seq,
	}
	if ch != nil {
		v.Area = ch.Area
	}
	return v
}

func (b *builder) finding(ch *engine.Check, f engine.Finding) Finding {
	out := Finding{
		Check: f.Check, Subject: f.Subject, Area: ch.Area, Gate: string(ch.Gate), Status: string(f.Status),
		Title: b.rule(f.Key()), Open: len(f.Missing) == 1 && f.Missing[0] == engine.SignatureKey,
	}
	if f.Status == engine.Fail || f.Status == engine.Waived {
		out.Stop = b.fill(ch.Stop, ch, f.Subject)
	}
	return out
}

// status is how one rule stands for one subject; "" where there is no such rule.
func (b *builder) status(check, subject string) string {
	for _, f := range b.Board.Findings {
		if f.Check == check && f.Subject == subject {
			return string(f.Status)
		}
	}
	return ""
}

// moment is a time as the clocks on site show it, with what they are off from UTC.
func moment(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("2006-01-02 15:04 UTC-07:00")
}

// clock is moment where the zone is said elsewhere.
func clock(t time.Time, zone *time.Location) string { return t.In(zone).Format("2006-01-02 15:04:05") }
