package rules

import (
	"bytes"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"firstrod/engine"
)

// Blank marks what a template leaves for its author to write. Load refuses a
// check with one in its METADATA, so that no crew meets a half-made rule.
const Blank = "___"

// blanks refuses METADATA that still waits for its author. It comes last, so
// that a new check with nothing wrong but its blanks lists just these.
func (t *tier) blanks(out *faults) {
	for _, f := range t.pack.checks {
		for i, line := range strings.Split(string(f.data), "\n") {
			if !strings.HasPrefix(line, "#") {
				break
			}
			if strings.Contains(line, Blank) {
				out.add(f.path, i+1, "this blank is still to be filled: %s", strings.TrimSpace(strings.TrimLeft(line, "# ")))
			}
		}
	}
}

// NewFile is one file of a new check, by its place in the pack.
type NewFile struct {
	Path string
	Data []byte
}

// Template begins a check in a pack: the check with one question to be answered
// yes or no, and its tests. fsys is the pack, layer what it is called ("base", or the
// code of a local pack), set the rules with it, as a draft. The id is AREA/CHECK or
// AREA.CHECK. The two files load and pass their tests in a draft; the blanks in them
// are for the author.
func Template(fsys fs.FS, set *Set, layer, id string) ([]NewFile, error) {
	id = strings.ReplaceAll(id, "/", ".")
	file := fileOf(id)
	area, name, _ := strings.Cut(id, ".")
	if !ruleFile.MatchString(file) || strings.HasSuffix(name, testSuffix) {
		return nil, &engine.Error{Kind: engine.Usage, Say: fmt.Sprintf("%q is not a name for a check", id),
			Hint: "write AREA/CHECK in small letters, digits and _, such as ground/standing_water"}
	}
	tests := strings.TrimSuffix(file, ".rego") + testSuffix + ".rego"
	for _, path := range []string{file, tests} {
		if _, err := fs.Stat(fsys, path); err == nil {
			return nil, &engine.Error{Kind: engine.Conflict, Say: path + " is there already",
				Hint: "choose another name; the id of a check is never used twice"}
		}
	}
	if c, ok := set.catalogue.Check(id); ok {
		return nil, &engine.Error{Kind: engine.Conflict, Say: fmt.Sprintf("there is a check %s already, in the pack %s", id, c.Layer),
			Hint: "choose another name; a local pack adds checks and never replaces one"}
	}
	fill := strings.NewReplacer(
		"LAYER", packageOf(layer),
		"AREA", area, "CHECK", name, "ASK", set.freeAsk(area, name), "ORDER", fmt.Sprint(set.nextOrder(area)),
	)
	check, test := []byte(fill.Replace(strings.Replace(checkTemplate, "LIMITS", limitsComment(fsys), 1))), []byte(fill.Replace(testTemplate))
	return []NewFile{{file, bytes.TrimLeft(check, "\n")}, {tests, bytes.TrimLeft(test, "\n")}}, nil
}

// limitsComment says where the number of a check goes. A pack without limits is shown
// how its first one is written.
func limitsComment(fsys fs.FS) string {
	say := "# params.yaml of this pack, run firstrod rules limits DIR, which writes params.json\n# from it, and say what must hold, such as: input.ASK >= data.params.AREA.NAME_um"
	if _, err := fs.Stat(fsys, paramsYAML); err == nil {
		return say
	}
	say += "\n# The pack has no params.yaml yet; make it, with a limit in it like this one:\n#"
	for line := range strings.Lines(limitSample) {
		say += "\n#   " + strings.TrimSuffix(strings.ReplaceAll(line, Blank, "..."), "\n")
	}
	return say
}

// freeAsk is a name for the question that nothing else has.
func (s *Set) freeAsk(area, name string) string {
	taken := func(ask string) bool {
		_, asked := s.catalogue.Ask(ask)
		return asked || slices.ContainsFunc(engine.Leaves(), func(l engine.Leaf) bool {
			return strings.HasPrefix(l.Name+".", ask+".")
		})
	}
	ask := name
	for taken(ask) {
		ask = area + "_" + ask
	}
	return ask
}

// nextOrder is the place after the last check of an area, or after all.
func (s *Set) nextOrder(area string) int {
	last, ofArea := 0, 0
	for _, c := range s.catalogue.Checks {
		last = max(last, c.Order)
		if c.Area == area {
			ofArea = c.Order
		}
	}
	if ofArea > 0 {
		return ofArea + 1
	}
	return last + 10
}

const checkTemplate = `
# METADATA
# title: "___ what holds when all is well, in a few words and without numbers"
# description: "___ the same in one whole sentence"
# related_resources:
# - ref: "___ the law and its number, or common practice, no source"
#   description: "___ what it says, in your words"
# custom:
#   id: "AREA.CHECK"
#   # The place in the order of the work, between the checks before and after it.
#   order: ORDER
#   severity: "stop"
#   # release: before drilling. close: before the bore is finished.
#   gate: "release"
#   waivable: false
#   # How well the source is known: "" for a published text that you have read,
#   # "from memory", "common practice, no source" or "chosen".
#   status: "chosen"
#   title:
#     es: "___ the title in Spanish"
#   stop:
#     en: "___ what to say to the crew when it does not hold"
#     es: "___ the same in Spanish"
#   why:
#     en: "___ the reason, in about two sentences"
#     es: "___ the same in Spanish"
#   remedy:
#     en: "___ the one thing to do next"
#     es: "___ the same in Spanish"
#   asks:
#   - id: "ASK"
#     kind: "yesno"
#     label:
#       en: "___ the question in a few words, for lists"
#       es: "___ the same in Spanish"
#     prompt:
#       en: "___ the question to the crew, to be answered yes or no"
#       es: "___ the same in Spanish"
package checks.LAYER.AREA.CHECK

# This says when the check holds: when the answer is yes. For a check that holds
# when the answer is no, write false, here and in the tests. For a number, give
# the question a kind such as "length" instead of "yesno", put the limit into
LIMITS
pass if input.ASK == true
`

const testTemplate = `
package tests.LAYER.AREA.CHECK

import data.checks.LAYER.AREA.CHECK

# Each line says what the check must find on one answer. A check needs at least
# one that passes and one that does not, and for a number one on each side of
# its limit.
test_pass_on_yes if CHECK.pass with input as {"ASK": true}

test_stop_on_no if not CHECK.pass with input as {"ASK": false}

test_stop_without_an_answer if not CHECK.pass with input as {}

test_stop_on_a_text if not CHECK.pass with input as {"ASK": "yes"}
`
