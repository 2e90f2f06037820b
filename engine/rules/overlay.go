package rules

import (
	"regexp"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// overlay is what the overlay.yaml of a local pack says.
type overlay struct {
	file    string
	title   engine.Text
	holds   string
	line    int // of holds
	publish string
	limits  []setting
	checks  []switched
	retired []engine.Retired
}

// setting is another value for a limit of a wider layer.
type setting struct {
	line   int
	name   string
	value  *yaml.Node
	reason engine.Text
	source engine.Source
	relax  *relax
}

// switched is a check of a wider layer that is made less strict, or fixed.
type switched struct {
	line     int
	id       string
	off      bool
	waivable *bool
	relax    *relax
}

// relax is what a pack must say to loosen something, and for how long.
type relax struct {
	line  int
	why   engine.Text
	by    string
	until int64 // the last day, in days since 1970-01-01
}

// readOverlay reads an overlay.yaml. What it says of limits and checks is held
// to the layers above later, when these are known.
func readOverlay(name string, text []byte, out *faults) *overlay {
	o := &overlay{file: name}
	r := &reader{file: name, out: out}
	top, ok := r.parse(text)
	if !ok {
		return o
	}
	got := r.fields(top, "*title", "*holds", "*on_publish", "limits", "checks", "retired")
	o.title = r.text(got["title"])
	o.publish = r.word(got["on_publish"], engine.PublishKeep, engine.PublishRecheck)
	if n := got["holds"]; n != nil {
		o.holds, o.line = r.phrase(n), n.Line
		if o.holds != "" && !engine.ValidJurisdiction(o.holds) {
			r.fault(n, "%q is not a place; write the ISO 3166-2 code, then county and town in small letters, as in US-VA/alder", o.holds)
		}
	}
	for _, e := range r.entries(got["limits"]) {
		o.limits = append(o.limits, r.setting(e.key, e.value))
	}
	for _, e := range r.entries(got["checks"]) {
		o.checks = append(o.checks, r.switched(e.key, e.value))
	}
	o.retired = r.retired(got["retired"])
	return o
}

// entry is one name with its value.
type entry struct{ key, value *yaml.Node }

var dotted = regexp.MustCompile(`^` + name + `\.` + name + `$`)

// entries gives the entries of a mapping whose keys are names such as
// ground.standoff, in the order of the file; none may come twice.
func (r *reader) entries(n *yaml.Node) []entry {
	if n == nil {
		return nil
	}
	if n.Kind != yaml.MappingNode || len(n.Content) == 0 {
		r.fault(n, "this should be a list of names with values; leave it out where there is none")
		return nil
	}
	var all []entry
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		switch {
		case key.Kind != yaml.ScalarNode || !dotted.MatchString(key.Value):
			r.fault(key, "%q is not a name such as ground.standoff", key.Value)
		case seen[key.Value]:
			r.fault(key, "%q stands here twice", key.Value)
		default:
			all = append(all, entry{key, n.Content[i+1]})
		}
		seen[key.Value] = true
	}
	return all
}

func (r *reader) setting(key, n *yaml.Node) setting {
	got := r.fields(n, "*value", "*reason", "*source", "relax")
	return setting{
		line: key.Line, name: key.Value, value: got["value"],
		reason: r.text(got["reason"]), source: r.source(got["source"]), relax: r.relax(got["relax"]),
	}
}

func (r *reader) switched(key, n *yaml.Node) switched {
	got := r.fields(n, "waivable", "off", "relax")
	s := switched{line: key.Line, id: key.Value, relax: r.relax(got["relax"])}
	before := len(r.out.list)
	if s.off = r.flag(got["off"]); got["off"] != nil && !s.off && len(r.out.list) == before {
		r.fault(got["off"], "\"off\" can only be true; leave it out for a check that stays on")
	}
	if got["waivable"] != nil {
		s.waivable = new(r.flag(got["waivable"]))
	}
	if len(r.out.list) > before {
		return s
	}
	switch {
	case n.Kind != yaml.MappingNode:
	case s.off == (s.waivable != nil):
		r.fault(key, "say one of \"off: true\" and \"waivable: false\" of a check")
	case s.off && s.relax == nil:
		r.fault(key, "a check is switched off only with relax: why, approved_by and until")
	case !s.off && s.relax != nil:
		r.fault(got["relax"], "there is nothing to relax here; relax goes with \"off: true\"")
	}
	return s
}

func (r *reader) relax(n *yaml.Node) *relax {
	if n == nil {
		return nil
	}
	got := r.fields(n, "*why", "*approved_by", "*until")
	return &relax{line: n.Line, why: r.text(got["why"]), by: r.someone(got["approved_by"]), until: r.day(got["until"])}
}

// someone gives whoever answers for something.
func (r *reader) someone(n *yaml.Node) string {
	s := r.sentence(n)
	letters := 0
	for _, c := range s {
		if unicode.IsLetter(c) {
			letters++
		}
	}
	if strings.TrimSpace(s) != "" && letters < 2 {
		r.fault(n, "%q is nobody's name; write who approved it", s)
	}
	return s
}

// day gives a date, which must be a text in quotes: YAML makes a moment of a
// bare one.
func (r *reader) day(n *yaml.Node) int64 {
	s := r.sentence(n)
	if s == "" {
		return 0
	}
	v, err := quantity.ParseHuman(quantity.Date, s)
	if err != nil || v.Base() <= 0 {
		r.fault(n, "%q is not a date; write it like \"2027-03-31\"", s)
		return 0
	}
	return v.Base()
}

// readRetired reads the retired.yaml of the base.
func readRetired(name string, text []byte, out *faults) []engine.Retired {
	r := &reader{file: name, out: out}
	top, ok := r.parse(text)
	if !ok {
		return nil
	}
	return r.retired(r.fields(top, "*retired")["retired"])
}

func (r *reader) retired(n *yaml.Node) []engine.Retired {
	var all []engine.Retired
	seen := map[string]bool{}
	for _, item := range r.items(n) {
		got := r.fields(item, "*id", "*since", "*why")
		id := r.phrase(got["id"])
		switch {
		case id != "" && !dotted.MatchString(id):
			r.fault(got["id"], "%q is not the id of a check, such as ground.standoff", id)
		case seen[id] && id != "":
			r.fault(got["id"], "%q stands here twice", id)
		}
		seen[id] = true
		all = append(all, engine.Retired{ID: id, Since: r.day(got["since"]), Why: r.text(got["why"])})
	}
	return all
}
