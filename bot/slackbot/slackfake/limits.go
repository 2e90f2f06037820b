package slackfake

import (
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

// blockText is how much text the blocks of one message may hold together. The
// service documents no figure; about 13,200 characters is what an issue thread
// of its JavaScript library measured.
const blockText = 13_200

// limits is the small part of the documented limits that the fake enforces
// itself, by type of block or element and field (block kit reference). The
// whole list is checked against the service's published types by the package
// blockcheck.
func limits() map[string]map[string]int {
	return map[string]map[string]int{
		"section": {"text": 3000, "fields": 10}, "header": {"text": 150}, "context": {"elements": 10},
		"actions": {"elements": 25}, "button": {"text": 75, "value": 2000, "action_id": 255, "accessibility_label": 75},
		"input": {"label": 2000, "hint": 2000}, "image": {"alt_text": 2000}, "static_select": {"options": 100},
		"radio_buttons": {"options": 10}, "checkboxes": {"options": 10}, "overflow": {"options": 5},
		"modal": {"title": 24, "submit": 24, "close": 24, "private_metadata": 3000, "callback_id": 255},
	}
}

// checkBlocks refuses blocks the service would not take: no array, too many,
// over a limit, an id used twice, or too much text together.
func checkBlocks(raw json.RawMessage, most int) reply {
	if len(raw) == 0 {
		return reply{}
	}
	var blocks []map[string]any
	if json.Unmarshal(raw, &blocks) != nil {
		return refuse("invalid_blocks_format")
	}
	if len(blocks) > most {
		return refuseWith("invalid_blocks", fmt.Sprintf("no more than %d items allowed [json-pointer:/blocks]", most))
	}
	ids := map[string]bool{}
	for _, block := range blocks {
		id, _ := block["block_id"].(string)
		if id != "" && ids[id] {
			return refuseWith("invalid_blocks", fmt.Sprintf("block_id %q already exists", id))
		}
		ids[id] = true
		if fault := firstFault(block); fault != "" {
			return refuseWith("invalid_blocks", fault)
		}
	}
	text := 0
	walk(raw, func(node map[string]any) {
		if t, ok := node["text"].(string); ok {
			text += utf8.RuneCountInString(t)
		}
	})
	if most == 50 && text > blockText {
		return refuse("msg_blocks_too_long")
	}
	return reply{}
}

// firstFault names the first field of a block or view over a limit, or the
// action id it uses twice.
func firstFault(tree map[string]any) string {
	table, ids, fault := limits(), map[string]bool{}, ""
	descend(tree, func(node map[string]any) {
		kind, _ := node["type"].(string)
		for field, most := range table[kind] {
			if n := size(node[field]); n > most && fault == "" {
				fault = fmt.Sprintf("must be no more than %d, is %d [%s.%s]", most, n, kind, field)
			}
		}
		id, _ := node["action_id"].(string)
		if id != "" && ids[id] && fault == "" {
			fault = fmt.Sprintf("action_id %q already exists", id)
		}
		ids[id] = true
		if kind == "section" && node["text"] == nil && size(node["fields"]) == 0 && fault == "" {
			fault = "section needs text or fields"
		}
		if (kind == "mrkdwn" || kind == "plain_text") && size(node["text"]) == 0 && fault == "" {
			fault = "text must be at least 1 character"
		}
	})
	return fault
}

// size counts what a limit counts: characters of a string or of a text object,
// items of an array.
func size(v any) int {
	switch x := v.(type) {
	case string:
		return utf8.RuneCountInString(x)
	case []any:
		return len(x)
	case map[string]any:
		return size(x["text"])
	}
	return 0
}
