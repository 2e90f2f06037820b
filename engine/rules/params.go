package rules

import (
	"bytes"
	"encoding/json"
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
	params := readParams(yaml, out)
	if err := out.err(); err != nil {
		return nil, err
	}
	return writeParams(params)
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
		all[area].(map[string]any)[name] = p.Value.Base()
	}
	return all
}

// readParams reads params.yaml, sorted by path.
func readParams(text []byte, out *faults) []*engine.Param {
	r := &reader{file: paramsYAML, out: out}
	top, ok := r.parse(text)
	if !ok {
		return nil
	}
	var all []*engine.Param
	areas := r.named(top)
	for _, area := range sortedKeys(areas) {
		names := r.named(areas[area])
		for _, name := range sortedKeys(names) {
			all = append(all, r.param(names[name], area+"."+name))
		}
	}
	return all
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

func (r *reader) param(n *yaml.Node, name string) *engine.Param {
	got := r.fields(n, "*kind", "*value", "*stricter", "fixed", "*source", "*reason")
	p := &engine.Param{
		Path: name, Name: name,
		Fixed:  r.flag(got["fixed"]),
		Reason: r.text(got["reason"]),
	}
	if s := r.word(got["stricter"], "higher", "lower", "neither"); s != "neither" {
		p.Stricter = s
	}
	if got["source"] != nil {
		src := r.fields(got["source"], "*name", "ref", "*status")
		p.Source = engine.Source{Name: r.sentence(src["name"]), Ref: r.phrase(src["ref"]), Status: r.word(src["status"], statuses()...)}
	}
	kind := quantity.Kind(r.word(got["kind"], kinds()...))
	if kind == "" || got["value"] == nil {
		return p
	}
	if !kind.Numeric() {
		r.fault(got["kind"], "a limit is a number, and a %s is none", kind)
		return p
	}
	if unit := kind.Unit(); unit != "" {
		p.Path = strings.TrimSuffix(name, "_"+unit) + "_" + unit
		p.Name = strings.TrimSuffix(name, "_"+unit)
	}
	r.value(p, kind, got["value"])
	return p
}

// value reads a limit such as "30 ft". Rules count in whole base units, so a
// limit that is not whole would be judged as another number than is shown.
func (r *reader) value(p *engine.Param, kind quantity.Kind, n *yaml.Node) {
	s := r.phrase(n)
	if s == "" {
		return
	}
	v, err := quantity.ParseHuman(kind, s)
	switch {
	case err != nil || !v.Valid():
		r.fault(n, "%q is not a %s with its unit", s, kind)
	case !v.Rat().IsInt():
		r.fault(n, "%q is not a whole number of %s, the unit that rules count in", s, kind.Unit())
	default:
		p.Value = v
	}
}
