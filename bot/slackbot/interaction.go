package slackbot

import (
	"encoding/json"
	"strings"
)

const (
	answerAction = "answer/"   // action ids of the buttons that answer
	newBore      = "open_bore" // callback id of the shortcut and of its form
	valueSplit   = "\n"        // between a question's id and the answer, in a button's value
)

type interactionPayload struct {
	Type      string              `json:"type"`
	Callback  string              `json:"callback_id"`
	Trigger   string              `json:"trigger_id"`
	Respond   string              `json:"response_url"`
	ActionTS  string              `json:"action_ts"`
	Team      struct{ ID string } `json:"team"`
	User      struct{ ID string } `json:"user"`
	Channel   struct{ ID string } `json:"channel"`
	Container struct {
		MessageTS string `json:"message_ts"`
		ThreadTS  string `json:"thread_ts"`
	} `json:"container"`
	Actions []struct {
		ID    string `json:"action_id"`
		TS    string `json:"action_ts"`
		Value string `json:"value"`
	} `json:"actions"`
	View struct {
		ID       string `json:"id"`
		Hash     string `json:"hash"`
		Callback string `json:"callback_id"`
		State    struct {
			Values map[string]map[string]struct {
				Value   string `json:"value"`
				Channel string `json:"selected_conversation"`
			} `json:"values"`
		} `json:"state"`
	} `json:"view"`
}

func readInteraction(payload json.RawMessage) (letter, bool) {
	var p interactionPayload
	if json.Unmarshal(payload, &p) != nil {
		return letter{}, false
	}
	l := letter{Team: p.Team.ID, User: p.User.ID, Channel: p.Channel.ID, Respond: p.Respond, Trigger: p.Trigger}
	switch p.Type {
	case "block_actions":
		return readPress(l, p)
	case "view_submission":
		l.Kind, l.Key, l.View = submitted, key("v", p.View.ID, p.View.Hash), p.View.Callback
		l.Input = map[string]string{}
		for block, fields := range p.View.State.Values {
			for _, f := range fields {
				l.Input[block] = f.Value + f.Channel
			}
		}
		l.Channel = l.Input[inputChannel]
		return l, l.View == newBore && p.View.ID != ""
	case "shortcut":
		l.Kind, l.Key, l.TS = shortcut, key("s", p.Trigger), p.ActionTS
		return l, p.Callback == newBore && p.Trigger != ""
	}
	return letter{}, false
}

// readPress takes the first action that is an answer; a button's block may have
// lost its id on the way, so nothing here looks at it.
func readPress(l letter, p interactionPayload) (letter, bool) {
	for _, a := range p.Actions {
		about, answer, found := strings.Cut(a.Value, valueSplit)
		if !strings.HasPrefix(a.ID, answerAction) || !found || a.TS == "" {
			continue
		}
		l.Kind, l.Key = pressed, key("a", l.Team, l.User, l.Channel, p.Container.MessageTS, a.ID, a.TS)
		l.TS, l.Thread, l.Text, l.Answers = a.TS, p.Container.ThreadTS, answer, about
		if l.Thread == "" {
			l.Thread = p.Container.MessageTS
		}
		return l, true
	}
	return letter{}, false
}
