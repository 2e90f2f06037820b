package rules

import (
	"go.yaml.in/yaml/v3"

	"firstrod/engine/quantity"
)

// amount reads a value with its unit, such as "30 ft"; there is none where the key
// is missing or something is wrong with it. Whatever is wrong, the fault shows how
// such a value is written.
func (r *reader) amount(kind quantity.Kind, n *yaml.Node) (quantity.Value, bool) {
	if n == nil {
		return quantity.Value{}, false
	}
	before := len(r.out.list)
	s, ok := r.plain(n, "!!str", "a text in quotes")
	v, err := quantity.ParseHuman(kind, s)
	if ok && (err != nil || !v.Valid()) {
		r.notAmount(n, s, kind)
	}
	r.showHow(before, kind)
	return v, len(r.out.list) == before
}

func (r *reader) notAmount(n *yaml.Node, s string, kind quantity.Kind) {
	switch kind {
	case quantity.Names:
		r.fault(n, "%q is not a list of words, each of them once", s)
	case quantity.Count:
		r.fault(n, "%q is not a whole number", s)
	case quantity.Date, quantity.Time:
		r.fault(n, "%q is not a %s", s, kind)
	default:
		r.fault(n, "%q is not a %s with its unit", s, kind)
	}
}

// showHow puts how a value is written beside the faults from a place on that do not say
// what to do.
func (r *reader) showHow(from int, kind quantity.Kind) {
	for i := range r.out.list[from:] {
		if r.out.list[from+i].hint != "" {
			continue
		}
		r.out.list[from+i].hint = "Write it with its unit and in quotes, like " + sample(kind) + "."
	}
}

// sample is one value of a kind as it is written in YAML.
func sample(k quantity.Kind) string {
	switch k {
	case quantity.Length:
		return `"30 ft" or "9.144 m"`
	case quantity.Frequency:
		return `"12.5 kHz"`
	case quantity.Voltage:
		return `"3.1 V"`
	case quantity.Duration:
		return `"12 h" or "30 min"`
	case quantity.Percent:
		return `"5 %"`
	case quantity.Decibel:
		return `"3 dB"`
	case quantity.Date:
		return `"2027-03-31"`
	case quantity.Time:
		return `"2027-03-31T19:30:00Z"`
	case quantity.Names:
		return `"locating_hand, foreman"`
	}
	return `"3"`
}
