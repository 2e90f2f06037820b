package rules

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// ParamsJSON makes params.json of params.yaml: every limit as a whole number
// of base units, under "params" by area and name with the unit's suffix, as
// rules read it (data.params.ground.standoff_um). The same limits always give
// the same bytes.
func ParamsJSON(yaml []byte) ([]byte, error) {
	out := &faults{}
	read := readLimits(paramsYAML, yaml, out)
	if err := out.err(); err != nil {
		return nil, err
	}
	return writeParams(read.all)
}

func writeParams(params []*engine.Param) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	if err := e.Encode(map[string]any{"params": tree(params)}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// tree is the limits by area and name.
func tree(params []*engine.Param) map[string]any {
	all := map[string]any{}
	for _, p := range params {
		area, name, _ := strings.Cut(p.Path, ".")
		if all[area] == nil {
			all[area] = map[string]any{}
		}
		all[area].(map[string]any)[name] = inRules(p.Value)
	}
	return all
}

// inRules is a limit as rules read it: a whole number, or a list of words.
func inRules(v quantity.Value) any {
	if v.Kind() != quantity.Names {
		return v.Base()
	}
	list := []any{}
	for _, item := range v.Items() {
		list = append(list, item)
	}
	return list
}

// limits is what a params.yaml says.
type limits struct {
	all   []*engine.Param     // by path
	words map[string][]string // by path: what may stand in a list
}

// readLimits reads a params.yaml; file is its place, for faults.
func readLimits(file string, text []byte, out *faults) limits {
	read := limits{words: map[string][]string{}}
	r := &reader{file: file, out: out}
	top, ok := r.parse(text)
	if !ok {
		return read
	}
	areas := r.named(top)
	for _, area := range sortedKeys(areas) {
		names := r.named(areas[area])
		for _, name := range sortedKeys(names) {
			before := len(out.list)
			p, words := r.param(names[name], area+"."+name)
			if !p.Value.Valid() && len(out.list) == before {
				r.fault(names[name], "this limit has no value") // whatever let it through, no rule may read it
			}
			read.all = append(read.all, p)
			if words != nil {
				read.words[p.Path] = words
			}
		}
	}
	return read
}

// named gives the values of a mapping whose keys are names of the author's.
func (r *reader) named(n *yaml.Node) map[string]*yaml.Node {
	var keys []string
	if n.Kind == yaml.MappingNode {
		for i := 0; i < len(n.Content); i += 2 {
			if key := r.label(n.Content[i]); key != "" {
				keys = append(keys, key)
			}
		}
	}
	return r.fields(n, keys...)
}

func (r *reader) param(n *yaml.Node, name string) (*engine.Param, []string) {
	got := r.fields(n, "title", "*kind", "*value", "*stricter", "of", "fixed", "*source", "*reason")
	p := &engine.Param{
		Path: name, Name: name,
		Title:  r.text(got["title"]),
		Fixed:  r.flag(got["fixed"]),
		Reason: r.text(got["reason"]),
		Source: r.source(got["source"]),
	}
	if unit := unitAtEnd(name); unit != "" {
		r.fault(n, "the name %s ends in the unit %s; leave _%s away, for rules read a limit under its name with its unit behind it", name, unit, unit)
	}
	kind := quantity.Kind(r.word(got["kind"], kinds()...))
	directions := []string{"higher", "lower", "neither"}
	if kind == quantity.Names {
		directions = []string{Superset, "neither"}
	}
	if s := r.word(got["stricter"], directions...); s != "neither" {
		p.Stricter = s
	}
	var words []string
	if r.word(got["of"], "roles") != "" {
		words = engine.Roles()
	}
	if kind == "" || got["value"] == nil {
		return p, nil
	}
	if !kind.Numeric() && kind != quantity.Names {
		r.fault(got["kind"], "a limit is a number or a list of names, and a %s is neither", kind)
		return p, nil
	}
	if words != nil && kind != quantity.Names {
		r.fault(got["of"], "\"of\" says what a list may hold, and a %s is no list", kind)
	}
	if unit := kind.Unit(); unit != "" {
		p.Path = name + "_" + unit
	}
	p.Value = r.value(kind, words, got["value"])
	return p, words
}

// unitAtEnd is the unit that a name ends in: such a limit would lie where that of
// the name without it belongs.
func unitAtEnd(name string) string {
	for _, k := range kinds() {
		if unit := quantity.Kind(k).Unit(); unit != "" && strings.HasSuffix(name, "_"+unit) {
			return unit
		}
	}
	return ""
}

// Superset is the Stricter of a limit that is a list: more entries are stricter.
const Superset = "superset"

func (r *reader) source(n *yaml.Node) engine.Source {
	if n == nil {
		return engine.Source{}
	}
	src := r.fields(n, "*name", "ref", "*status")
	return engine.Source{Name: r.sentence(src["name"]), Ref: r.phrase(src["ref"]), Status: r.word(src["status"], statuses()...)}
}

// value reads a limit such as "30 ft". Rules count in whole base units, so a
// limit that is not whole would be judged as another number than is shown.
func (r *reader) value(kind quantity.Kind, words []string, n *yaml.Node) quantity.Value {
	v, ok := r.amount(kind, n)
	switch {
	case !ok:
	case kind == quantity.Names:
		return r.list(v, words, n)
	case !v.Rat().IsInt():
		r.fault(n, "%q is not a whole number of %s, the unit that rules count in", n.Value, kind.Unit())
	default:
		return v
	}
	return quantity.Value{}
}

// list is a limit that is a list of words, sorted, for their order means nothing.
func (r *reader) list(v quantity.Value, words []string, n *yaml.Node) quantity.Value {
	for _, item := range v.Items() {
		switch {
		case !nameOnly.MatchString(item):
			r.fault(n, "%q is not a word such as locating_hand; write the words with a comma and a space between them", item)
			return quantity.Value{}
		case words != nil && !slices.Contains(words, item):
			r.fault(n, "%q is not one of %s%s", item, oneOf(words), near(item, words))
			return quantity.Value{}
		}
	}
	items := v.List()
	slices.SortFunc(items, func(a, b quantity.Value) int { return strings.Compare(a.Str(), b.Str()) })
	return quantity.OfList(quantity.Names, items...)
}
