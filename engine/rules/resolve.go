package rules

import (
	"cmp"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// resolved is what limits and checks of a place are on the days of an edition.
type resolved struct {
	day    int64                    // the first of these days
	params map[string]*engine.Param // by name
	paths  map[string]*engine.Param // by path
	off    map[string]bool          // checks that are switched off
	firm   map[string]bool          // checks that a local pack lets nobody waive
	loose  []engine.Loosened
	ended  []engine.Loosened // what was loosened until a day before these
	reason engine.Text       // why the hand-dig zone is not simply the law's
}

// resolve lays the layers over each other, from wide to narrow. What a layer
// loosened falls away with its end date, so that the wider layer holds again.
func (t *tier) resolve(e edition, out *faults) *resolved {
	r := &resolved{day: e.day, params: map[string]*engine.Param{}, paths: map[string]*engine.Param{}, off: map[string]bool{}, firm: map[string]bool{}}
	for _, l := range t.chain() {
		for _, p := range l.own.all {
			p = new(*p)
			r.params[p.Name], r.paths[p.Path] = p, p
		}
		if l.calls != nil {
			r.oneCall(l.calls, e)
		}
		if l.overlay == nil {
			continue
		}
		for _, s := range l.overlay.limits {
			r.set(l, s, out)
		}
		for _, s := range l.overlay.checks {
			r.turn(l, s, out)
		}
	}
	return r
}

// oneCall sets the hand-dig zone of a state. The law is its source, so that it
// needs nobody's leave, whichever way it goes.
func (r *resolved) oneCall(calls *oneCalls, e edition) {
	zone := r.params[toleranceZone]
	if e.row == nil {
		r.reason = engine.Text{"en": "the table of states does not have this place", "es": "la tabla de estados no tiene este lugar"}
		return
	}
	width, reason := e.row.width(zone.Value)
	r.reason = reason
	status := ""
	if reason != nil {
		status = "chosen"
	}
	half := ""
	if e.row.half {
		half = "; the law adds half of the line's width, as the check does everywhere"
	}
	zone.Base, zone.Value, zone.Pack = zone.Value, width, oneCallCode
	zone.Source = engine.Source{Ref: "one-call table of " + calls.version + ", " + e.row.state, Name: e.row.source + " (" + e.row.status + ")" + half, Status: status}
}

// set lays one limit of a local pack over what holds above it.
func (r *resolved) set(l *tier, s setting, out *faults) {
	file := l.overlay.file
	p := r.params[s.name]
	if p == nil {
		out.add(file, s.line, "there is no limit %s%s", s.name, near(s.name, sortedKeys(r.params)))
		return
	}
	read := &reader{file: file, out: out}
	before := len(out.list)
	v := read.value(p.Value.Kind(), l.words(p.Path), s.value)
	if len(out.list) > before {
		return
	}
	looser := isLooser(p, v)
	switch {
	case p.Fixed && v.Equal(p.Value):
		out.add(file, s.line, "the limit %s is fixed and has this value already, so there is nothing to set; take this entry away", s.name)
	case negative(v) && !negative(p.Value):
		out.add(file, s.line, "%s would be below zero: %s in place of %s", s.name, quantity.Print(v, p.Value, v), quantity.Print(p.Value, p.Value, v))
	case v.Equal(p.Value) && s.relax != nil:
		out.add(file, s.relax.line, "%s is not loosened here, so there is nothing to relax", s.name)
	case looser && p.Fixed:
		out.list = append(out.list, fault{file: file, line: s.line, say: "the limit " + s.name + " is fixed; nobody may loosen it",
			hint: "It is " + quantity.Print(p.Value, p.Value, v) + " in every place."})
	case looser && s.relax == nil:
		out.list = append(out.list, fault{file: file, line: s.line,
			say:  s.name + " would be less strict: " + quantity.Print(v, p.Value, v) + " in place of " + quantity.Print(p.Value, p.Value, v),
			hint: "Say why under relax, with approved_by and until; otherwise only stricter values may stand here."})
	case !looser && s.relax != nil && !v.Equal(p.Value):
		out.add(file, s.relax.line, "%s is stricter here and not looser, so there is nothing to relax", s.name)
	case looser && s.relax.until < r.day: // over: what holds above holds again
		r.ended = append(r.ended, eased(l, p, v, s))
	default:
		r.take(l, p, v, s)
	}
}

func (r *resolved) take(l *tier, p *engine.Param, v quantity.Value, s setting) {
	if s.relax != nil {
		r.loose = append(r.loose, eased(l, p, v, s))
	}
	if !p.Base.Valid() && p.Pack == baseCode {
		p.Base = p.Value
	}
	p.Value, p.Pack, p.Reason, p.Source = v, l.code, s.reason, s.source
}

func eased(l *tier, p *engine.Param, v quantity.Value, s setting) engine.Loosened {
	return engine.Loosened{Name: p.Name, Pack: l.code, Was: p.Value, Is: v, Why: s.relax.why, By: s.relax.by, Until: s.relax.until}
}

// words is what may stand in a list, by whichever layer has the limit.
func (t *tier) words(path string) []string {
	for _, l := range t.chain() {
		if w := l.own.words[path]; w != nil {
			return w
		}
	}
	return nil
}

func negative(v quantity.Value) bool { return v.Kind().Numeric() && v.Rat().Sign() < 0 }

// isLooser says whether a value is not at least as strict as that of a limit.
// Where no direction is stricter, any other value counts as looser.
func isLooser(p *engine.Param, v quantity.Value) bool {
	if v.Equal(p.Value) {
		return false
	}
	switch p.Stricter {
	case "higher":
		return v.Rat().Cmp(p.Value.Rat()) < 0
	case "lower":
		return v.Rat().Cmp(p.Value.Rat()) > 0
	case Superset:
		return !holdsAll(v, p.Value)
	}
	return true
}

// holdsAll says whether every entry of one list is in the other.
func holdsAll(list, entries quantity.Value) bool {
	have := list.Items()
	return !slices.ContainsFunc(entries.Items(), func(item string) bool { return !slices.Contains(have, item) })
}

// turn switches one check of a wider layer off for a time, or fixes it.
func (r *resolved) turn(l *tier, s switched, out *faults) {
	file := l.overlay.file
	var c *engine.Check
	var ids []string
	for _, other := range l.over.all() {
		if ids = append(ids, other.ID); other.ID == s.id {
			c = other
		}
	}
	switch {
	case c == nil:
		out.add(file, s.line, "there is no check %s in a wider pack%s", s.id, near(s.id, ids))
	case !c.Waivable || r.firm[s.id]:
		out.list = append(out.list, fault{file: file, line: s.line, say: "the check " + s.id + " cannot be waived, so no local pack may switch it off or change that",
			hint: "Take this entry away."})
	case s.waivable != nil && *s.waivable:
		out.add(file, s.line, "the check %s may be waived already; only \"waivable: false\" would change something", s.id)
	case s.waivable != nil:
		r.firm[s.id] = true
	case s.relax.until < r.day: // over: the check is made again
		r.ended = append(r.ended, switchedOffBy(l, s))
	default:
		r.off[s.id] = true
		r.loose = append(r.loose, switchedOffBy(l, s))
	}
}

func switchedOffBy(l *tier, s switched) engine.Loosened {
	return engine.Loosened{Name: s.id, Pack: l.code, How: "off", Why: s.relax.why, By: s.relax.by, Until: s.relax.until}
}

// list gives the limits by path.
func (r *resolved) list() []*engine.Param {
	var all []*engine.Param
	for _, name := range sortedKeys(r.params) {
		all = append(all, r.params[name])
	}
	slices.SortFunc(all, func(a, b *engine.Param) int { return cmp.Compare(a.Path, b.Path) })
	return all
}

// unasked refuses to switch off a check that asks what others read, or that
// stands for there being something to check at all.
func (t *tier) unasked(r *resolved, left *engine.Catalogue, out *faults) {
	for _, l := range t.chain() {
		if l.overlay == nil {
			continue
		}
		for _, s := range l.overlay.checks {
			if !r.off[s.id] {
				continue
			}
			for _, c := range l.over.all() {
				if c.ID == s.id {
					needed(l.overlay.file, s.line, c, left, out)
				}
			}
		}
	}
}

func needed(file string, line int, c *engine.Check, left *engine.Catalogue, out *faults) {
	if c.Guards != engine.PerBore {
		out.add(file, line, "the check %s cannot be switched off: without it, a bore with no %s would have nothing checked", c.ID, c.Guards)
	}
	for i := range c.Asks {
		readers := left.ReadBy(leafName(&c.Asks[i]))
		if len(readers) == 0 {
			continue
		}
		ids := make([]string, len(readers))
		for i, r := range readers {
			ids[i] = r.ID
		}
		out.add(file, line, "the check %s cannot be switched off: it asks for %s, which is read by %s", c.ID, c.Asks[i].ID, strings.Join(ids, ", "))
		return
	}
}
