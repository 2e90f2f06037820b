package slackfake

import "encoding/json"

// known is a JSON object found in a block or view.
type known = map[string]any

// element finds the interactive element that a person means: by its action id,
// its value, its label, or the value or label of one of its options. It returns
// the element, the option if one was meant, and the id of its block.
func element(blocks json.RawMessage, which string) (el, option known, block string) {
	var tree []known
	if json.Unmarshal(blocks, &tree) != nil {
		return nil, nil, ""
	}
	for _, b := range tree {
		id, _ := b["block_id"].(string)
		descend(b, func(n known) {
			if el != nil || n["action_id"] == nil {
				return
			}
			if n["action_id"] == which || n["value"] == which || label(n) == which {
				el, block = n, id
				return
			}
			options, _ := n["options"].([]any)
			for _, o := range options {
				choice, _ := o.(known)
				if choice["value"] == which || label(choice) == which {
					el, option, block = n, choice, id
					return
				}
			}
		})
		if el != nil {
			return el, option, block
		}
	}
	return nil, nil, ""
}

func label(n known) string {
	text, _ := n["text"].(known)
	words, _ := text["text"].(string)
	return words
}
