package slackfake

import (
	"encoding/json"
	"maps"
	"slices"
)

// Press presses a button of a message as it stands now, or picks an option:
// which is its action id, value or label. A message without that button is an
// error of the test.
func (s *Server) Press(user string, m Message, which string) *Act {
	s.t.Helper()
	s.mu.Lock()
	if now := s.find(m.Channel, m.TS); now != nil {
		m = now.copy()
	}
	el, option, block := element(m.Blocks, which)
	if el == nil {
		s.mu.Unlock()
		s.t.Errorf("message %s has nothing to press called %q; it has %q", m.TS, which, m.Buttons())
		return &Act{}
	}
	container := map[string]any{
		"type": "message", "message_ts": m.TS, "channel_id": m.Channel, "is_ephemeral": m.To != "",
	}
	if m.ThreadTS != "" {
		container["thread_ts"] = m.ThreadTS
	}
	name := ""
	if c := s.channels[m.Channel]; c != nil {
		name = c.label()
	}
	fields := map[string]any{
		"container": container, "channel": map[string]any{"id": m.Channel, "name": name}, "message": s.wire(&m, true),
		"response_url": s.replyURL(m.Channel, user, m.TS), "state": map[string]any{"values": map[string]any{}},
		"actions": []any{s.action(el, option, block)},
	}
	s.mu.Unlock()
	a := s.Interact("block_actions", user, fields)
	a.Channel, a.TS = m.Channel, m.TS
	return a
}

// action is the entry of block_actions for one element. An element whose block
// has no id goes without one, as the service may send it. The lock is held.
func (s *Server) action(el, option known, block string) known {
	out := known{"action_id": el["action_id"], "type": el["type"], "action_ts": s.tick()}
	if block != "" {
		out["block_id"] = block
	}
	for _, key := range []string{"value", "text"} {
		if el[key] != nil {
			out[key] = el[key]
		}
	}
	if option != nil {
		out["selected_option"] = option
	}
	return out
}

// PressView presses a button of a modal or home tab.
func (s *Server) PressView(user string, v View, which string) *Act {
	s.t.Helper()
	var body struct {
		Blocks json.RawMessage `json:"blocks"`
	}
	json.Unmarshal(v.Body, &body) //nolint:errcheck // a view the fake took is JSON
	el, option, block := element(body.Blocks, which)
	if el == nil {
		s.t.Errorf("view %s has nothing to press called %q", v.ID, which)
		return &Act{}
	}
	s.mu.Lock()
	fields := map[string]any{
		"container": map[string]any{"type": "view", "view_id": v.ID}, "view": s.wireView(&v),
		"actions": []any{s.action(el, option, block)},
	}
	s.mu.Unlock()
	return s.Interact("block_actions", user, fields)
}

// Submit sends a modal off with values for its inputs, by block id: typed text,
// or the value of an option; unnamed inputs stay empty. What the bot answers in
// its acknowledgement takes effect on the screen: see [Server.Modal].
func (s *Server) Submit(user string, v View, values map[string]string) *Act {
	s.t.Helper()
	var body struct {
		Blocks []known `json:"blocks"`
	}
	json.Unmarshal(v.Body, &body) //nolint:errcheck // a view the fake took is JSON
	state, taken := map[string]any{}, map[string]bool{}
	for _, b := range body.Blocks {
		id, _ := b["block_id"].(string)
		el, _ := b["element"].(known)
		if el == nil {
			continue
		}
		action, _ := el["action_id"].(string)
		state[id] = known{action: entered(el, values[id])}
		taken[id] = true
	}
	for id := range values {
		if !taken[id] {
			s.t.Errorf("view %s has no input %q", v.ID, id)
		}
	}
	s.mu.Lock()
	view := s.wireView(&v)
	view["state"] = map[string]any{"values": state}
	s.mu.Unlock()
	return s.Interact("view_submission", user, map[string]any{"view": view, "response_urls": []any{}})
}

// entered is the state of one input.
func entered(el known, typed string) known {
	options, _ := el["options"].([]any)
	if len(options) == 0 {
		out := known{"type": el["type"], "value": nil}
		if typed != "" {
			out["value"] = typed
		}
		return out
	}
	var chosen any
	for _, o := range options {
		if choice, _ := o.(known); typed != "" && choice["value"] == typed {
			chosen = choice
		}
	}
	if el["type"] == "checkboxes" {
		list := []any{}
		if chosen != nil {
			list = append(list, chosen)
		}
		return known{"type": el["type"], "selected_options": list}
	}
	return known{"type": el["type"], "selected_option": chosen}
}

// CloseModal closes a modal with its cross; the bot hears of it only when the
// view asked for that.
func (s *Server) CloseModal(user string, v View) *Act {
	var body struct {
		Notify bool `json:"notify_on_close"`
	}
	json.Unmarshal(v.Body, &body) //nolint:errcheck // a view the fake took is JSON
	s.mu.Lock()
	s.stacks[user] = slices.DeleteFunc(s.stacks[user], func(id string) bool { return id == v.ID })
	view := s.wireView(&v)
	s.touch()
	s.mu.Unlock()
	if !body.Notify {
		return &Act{}
	}
	return s.Interact("view_closed", user, map[string]any{"view": view, "is_cleared": false})
}

// submitted does what the acknowledgement of a submission asks: shows errors,
// replaces the view, pushes another, clears the stack, or closes the view. The
// lock is held.
func (s *Server) submitted(d *Delivery) {
	var sent struct {
		User struct{ ID string } `json:"user"`
		View struct{ ID string } `json:"view"`
	}
	var answer struct {
		Action string            `json:"response_action"`
		Errors map[string]string `json:"errors"`
		View   json.RawMessage   `json:"view"`
	}
	if json.Unmarshal(d.Payload, &sent) != nil || d.answer != nil && json.Unmarshal(d.answer, &answer) != nil {
		s.t.Errorf("view_submission answered with %s", d.answer)
		return
	}
	v, user := s.views[sent.View.ID], sent.User.ID
	if v == nil {
		return
	}
	switch answer.Action {
	case "errors":
		v.Errors = maps.Clone(answer.Errors)
	case "update", "push":
		next, out := s.parseView(answer.View, "modal")
		if out.code != "" {
			s.t.Errorf("view in the answer to a submission: %s %v", out.code, out.fields)
			return
		}
		if answer.Action == "update" {
			s.replace(v, next)
		} else if _, code := s.push(next, user); code != "" {
			s.t.Errorf("view in the answer to a submission: %s", code)
		}
	case "clear":
		delete(s.stacks, user)
	default:
		s.stacks[user] = slices.DeleteFunc(s.stacks[user], func(id string) bool { return id == v.ID })
	}
	s.touch()
}
