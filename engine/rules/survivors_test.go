package rules

import (
	"strings"
	"testing"

	"firstrod/engine"
)

const explainedText = `survivors:
- file: "ground/metal.rego"
  mutation: "41: input.a >= 1 => input.a > 1"
  reason: "No whole number lies between."
`

func metalSlip() Mutation {
	return Mutation{File: metal, Line: 41, Before: "input.a >= 1", After: "input.a > 1"}
}

func TestExplainedSurvivorsAreSettled(t *testing.T) {
	known, err := ReadExplained("p.survivors.yaml", []byte(explainedText))
	if err != nil {
		t.Fatal(err)
	}
	r := MutationReport{Killed: 3, Survivors: []Mutation{metalSlip()}}
	if err := r.Settle("p.survivors.yaml", known); err != nil || r.Err() != nil || r.Explained() != 1 || r.Total() != 4 {
		t.Errorf("%v %v %+v", err, r.Err(), r)
	}
}

// An explanation counts only for the very slip that it names.
func TestExplanationOfAnotherSlipIsRefused(t *testing.T) {
	known, err := ReadExplained("p.survivors.yaml", []byte(explainedText))
	if err != nil {
		t.Fatal(err)
	}
	for name, edit := range map[string]func(*Mutation){
		"another file":  func(m *Mutation) { m.File = "ground/lines.rego" },
		"another line":  func(m *Mutation) { m.Line++ },
		"another text":  func(m *Mutation) { m.After = "input.a < 1" },
		"another start": func(m *Mutation) { m.Before = "input.b >= 1" },
	} {
		m := metalSlip()
		edit(&m)
		r := MutationReport{Survivors: []Mutation{m}}
		err := r.Settle("p.survivors.yaml", known)
		if engine.KindOf(err) != engine.Rules || !strings.Contains(err.Error(), "p.survivors.yaml:2") || r.Err() == nil {
			t.Errorf("%s: %v, %v", name, err, r.Err())
		}
	}
}

func TestRefusesExplanations(t *testing.T) {
	for name, edit := range map[string][2]string{
		"no reason":     {"  reason: \"No whole number lies between.\"\n", ""},
		"empty reason":  {"\"No whole number lies between.\"", "\" \""},
		"no mutation":   {"  mutation: \"41: input.a >= 1 => input.a > 1\"\n", ""},
		"no file":       {"- file: \"ground/metal.rego\"\n  mutation", "- mutation"},
		"another key":   {"  reason:", "  because: \"x\"\n  reason:"},
		"not in quotes": {"\"No whole number lies between.\"", "None"},
		"no list":       {"survivors:\n", "survivor:\n"},
		"twice":         {"survivors:\n", "survivors:\n" + strings.SplitAfterN(explainedText, "\n", 2)[1]},
		"no YAML":       {"- file", "\t- file"},
	} {
		text := strings.Replace(explainedText, edit[0], edit[1], 1)
		if text == explainedText {
			t.Fatalf("%s: nothing was edited", name)
		}
		if known, err := ReadExplained("p.survivors.yaml", []byte(text)); engine.KindOf(err) != engine.Rules {
			t.Errorf("%s: %v %v", name, known, err)
		}
	}
}
