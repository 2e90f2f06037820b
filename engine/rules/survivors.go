package rules

import (
	"fmt"
	"slices"

	"firstrod/engine"
)

// Explained is a slip that no test can notice, with the reason.
type Explained struct {
	File     string // of the check
	Mutation string // as Mutation.String gives it
	Reason   string

	line int
}

// ReadExplained reads a list of explained survivors. It stands beside a pack,
// as DIR.survivors.yaml, for it is no part of the rules:
//
//	survivors:
//	- file: "ground/metal.rego"
//	  mutation: "41: input.a >= 1 => input.a > 1"
//	  reason: "why no test can tell the two apart"
//
// Each entry must name all three. The name is that of the file, for errors.
func ReadExplained(name string, text []byte) ([]Explained, error) {
	out := &faults{}
	r := &reader{file: name, out: out}
	top, ok := r.parse(text)
	if !ok {
		return nil, out.err()
	}
	var all []Explained
	for _, item := range r.items(r.fields(top, "*survivors")["survivors"]) {
		got := r.fields(item, "*file", "*mutation", "*reason")
		e := Explained{r.sentence(got["file"]), r.sentence(got["mutation"]), r.sentence(got["reason"]), item.Line}
		if slices.ContainsFunc(all, func(o Explained) bool { return o.File == e.File && o.Mutation == e.Mutation }) {
			r.fault(item, "this survivor stands here twice")
		}
		all = append(all, e)
	}
	if err := out.err(); err != nil {
		return nil, err
	}
	return all, nil
}

// Settle takes the explained survivors out of a report. An
// explanation of something that did not survive is refused: it would hide the
// next slip that looks the same.
func (r *MutationReport) Settle(name string, known []Explained) error {
	out := &faults{}
	for _, e := range known {
		n := len(r.Survivors)
		r.Survivors = slices.DeleteFunc(r.Survivors, func(m Mutation) bool {
			return m.File == e.File && m.String() == e.Mutation
		})
		if len(r.Survivors) == n {
			out.list = append(out.list, fault{
				file: name, line: e.line,
				say:  fmt.Sprintf("no such slip survived in %s: %s", e.File, e.Mutation),
				hint: "Take this entry away, or name the line and the text as they are printed now.",
			})
			continue
		}
		r.explained++
	}
	return out.err()
}

// Err is nil when nothing survived that is not explained.
func (r MutationReport) Err() error {
	if len(r.Survivors) == 0 {
		return nil
	}
	slips := "slips"
	if len(r.Survivors) == 1 {
		slips = "slip"
	}
	return &engine.Error{
		Kind: engine.Rules, Say: fmt.Sprintf("%d %s of %d would go unnoticed", len(r.Survivors), slips, r.Total()),
		Hint: "write a test that tells each from the rule as it stands",
	}
}
