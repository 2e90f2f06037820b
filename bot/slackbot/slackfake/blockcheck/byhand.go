package blockcheck

import (
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

// byHand holds the documented rules (block kit reference) that do not follow
// from the published types: blocks per message and view, the text of a modal's
// submit button, a section without text and fields, a submit button missing
// beside an input, ids that are used twice.
func byHand(p Payload) []string {
	view := struct {
		Blocks []map[string]json.RawMessage `json:"blocks"`
		Submit *struct {
			Text string `json:"text"`
		} `json:"submit"`
	}{}
	most, target := 100, any(&view)
	if p.Kind == Manifest {
		return nil
	}
	if p.Kind == Message {
		most, target = 50, &view.Blocks
	}
	if err := json.Unmarshal(p.JSON, target); err != nil {
		return []string{"by hand: " + err.Error()}
	}
	var found []string
	say := func(format string, args ...any) { found = append(found, "by hand: "+fmt.Sprintf(format, args...)) }
	if n := len(view.Blocks); n > most {
		say("%d blocks, at most %d", n, most)
	}
	if view.Submit != nil && utf8.RuneCountInString(view.Submit.Text) > 24 {
		say("submit of %d characters, at most 24", utf8.RuneCountInString(view.Submit.Text))
	}
	ids := map[string]bool{}
	for i, b := range view.Blocks {
		kind, id := word(b["type"]), word(b["block_id"])
		if kind == "section" && empty(b["text"]) && empty(b["fields"]) {
			say("section %d has neither text nor fields", i)
		}
		if kind == "input" && p.Kind == Modal && view.Submit == nil {
			say("input %d in a modal without submit", i)
		}
		if id != "" && ids[id] {
			say("block id %q twice", id)
		}
		ids[id] = true
	}
	return found
}

func word(raw json.RawMessage) string {
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return ""
	}
	return s
}

func empty(raw json.RawMessage) bool {
	s := string(raw)
	return s == "" || s == "null" || s == "[]" || s == "{}"
}
