package slackfake

import (
	"maps"
	"slices"
	"strings"
)

// event wraps an inner event for the Events API. The lock is held.
func (s *Server) event(inner map[string]any) *Delivery {
	payload := map[string]any{
		"token": "fake", "team_id": s.cfg.TeamID, "api_app_id": s.cfg.AppID, "type": "event_callback",
		"event_id": s.id("Ev"), "event_time": s.cfg.Clock().Unix(), "event": inner, "is_ext_shared_channel": false,
		"authorizations": []any{map[string]any{
			"enterprise_id": nil, "team_id": s.cfg.TeamID, "user_id": s.cfg.BotUserID, "is_bot": true, "is_enterprise_install": false,
		}},
	}
	if s.cfg.EnterpriseID != "" {
		payload["enterprise_id"] = s.cfg.EnterpriseID
	}
	kind, _ := inner["type"].(string)
	return s.prepare(Events, kind, payload)
}

// heard prepares the events that a new or changed message causes for the app:
// nothing where it is no member or has no scope. The lock is held.
func (s *Server) heard(c *Channel, m *Message, inner map[string]any) []*Delivery {
	if c.NoBot {
		return nil
	}
	kind := map[string]string{"im": "im", "group": "group"}[c.Kind]
	if kind == "" {
		kind = "channel"
	}
	var out []*Delivery
	inner["channel"], inner["channel_type"], inner["event_ts"] = c.ID, kind, m.TS
	if s.has(historyScope(c)) {
		out = append(out, s.event(inner))
	}
	mention := strings.Contains(m.Text, "<@"+s.cfg.BotUserID+">") && m.User != s.cfg.BotUserID
	if mention && c.Kind != "im" && s.has("app_mentions:read") && inner["subtype"] == nil {
		twin := maps.Clone(inner)
		twin["type"] = "app_mention"
		delete(twin, "channel_type")
		out = append(out, s.event(twin))
	}
	if len(out) == 2 && s.rand.IntN(2) == 0 {
		slices.Reverse(out)
	}
	return out
}

// act sends what was prepared, in order.
func (s *Server) act(a *Act) *Act {
	for _, d := range a.Deliveries {
		s.send(d, false)
	}
	return a
}

// Say writes a message as a person: with a thread as a reply to it, else in the
// channel root.
func (s *Server) Say(user, channel, thread, text string) *Act {
	return s.write(user, channel, thread, text, nil)
}

func (s *Server) write(user, channel, thread, text string, files []File) *Act {
	s.t.Helper()
	s.mu.Lock()
	c := s.channels[channel]
	if c == nil || c.Archived {
		s.mu.Unlock()
		s.t.Errorf("nobody can write in %s", channel)
		return &Act{}
	}
	m := s.add(Message{Channel: channel, ThreadTS: thread, User: user, Text: text, Files: files})
	inner := s.wire(m, false)
	inner["client_msg_id"] = s.id("msg-")
	if len(files) > 0 {
		inner["subtype"] = "file_share"
	}
	a := &Act{Channel: channel, TS: m.TS, Deliveries: s.heard(c, m, inner)}
	s.mu.Unlock()
	return s.act(a)
}

// Upload shares a file as a person, with no text.
func (s *Server) Upload(user, channel, thread, name string, data []byte) *Act {
	s.t.Helper()
	s.mu.Lock()
	f := s.newFile(name, user)
	f.Data, f.Shared = slices.Clone(data), true
	shared := *f
	s.mu.Unlock()
	return s.write(user, channel, thread, "", []File{shared})
}

// Edit changes a person's message afterwards.
func (s *Server) Edit(channel, ts, text string) *Act {
	s.t.Helper()
	return s.alter(channel, ts, "message_changed", func(m *Message) { m.Text = text; m.Edits++ })
}

// Delete removes a person's message.
func (s *Server) Delete(channel, ts string) *Act {
	s.t.Helper()
	return s.alter(channel, ts, "message_deleted", s.remove)
}

func (s *Server) alter(channel, ts, subtype string, change func(*Message)) *Act {
	s.t.Helper()
	s.mu.Lock()
	m, c := s.find(channel, ts), s.channels[channel]
	if m == nil || c == nil {
		s.mu.Unlock()
		s.t.Errorf("no message %s in %s", ts, channel)
		return &Act{}
	}
	a := &Act{Channel: channel, TS: ts, Deliveries: s.altered(c, m, subtype, change)}
	s.mu.Unlock()
	return s.act(a)
}

// altered applies a change and prepares its event. The lock is held.
func (s *Server) altered(c *Channel, m *Message, subtype string, change func(*Message)) []*Delivery {
	before := s.wire(m, false)
	change(m)
	inner := map[string]any{
		"type": "message", "subtype": subtype, "hidden": true, "ts": s.tick(), "previous_message": before,
	}
	if subtype == "message_deleted" {
		inner["deleted_ts"] = m.TS
	} else {
		inner["message"] = s.wire(m, false)
	}
	return s.heard(c, m, inner)
}

// Event sends any inner event, such as app_home_opened or channel_archive.
func (s *Server) Event(inner map[string]any) *Act {
	s.mu.Lock()
	inner = maps.Clone(inner)
	if inner["event_ts"] == nil {
		inner["event_ts"] = s.tick()
	}
	a := &Act{Deliveries: []*Delivery{s.event(inner)}}
	s.mu.Unlock()
	return s.act(a)
}

// OpenHome opens the app's home tab as a person.
func (s *Server) OpenHome(user string) *Act {
	inner := map[string]any{"type": "app_home_opened", "user": user, "channel": s.DM(user), "tab": "home"}
	if v, ok := s.Home(user); ok {
		s.mu.Lock()
		inner["view"] = s.wireView(&v)
		s.mu.Unlock()
	}
	return s.Event(inner)
}

// Slash types the slash command in a conversation. It cannot be typed in a
// thread.
func (s *Server) Slash(user, channel, text string) *Act {
	s.mu.Lock()
	name := ""
	if c := s.channels[channel]; c != nil {
		name = c.label()
	}
	payload := map[string]any{
		"token": "fake", "team_id": s.cfg.TeamID, "team_domain": "fake", "channel_id": channel, "channel_name": name,
		"user_id": user, "user_name": s.users[user].Name, "command": s.cfg.Command, "text": text,
		"api_app_id": s.cfg.AppID, "is_enterprise_install": "false", // a string, as users of the Go library found
		"response_url": s.replyURL(channel, user, ""), "trigger_id": s.trigger(user),
	}
	if s.cfg.EnterpriseID != "" {
		payload["enterprise_id"] = s.cfg.EnterpriseID
	}
	a := &Act{Channel: channel, Deliveries: []*Delivery{s.prepare(Command, "slash_command", payload)}}
	s.mu.Unlock()
	return s.act(a)
}

// interaction is what every interactive payload begins with. The lock is held.
func (s *Server) interaction(kind, user string) map[string]any {
	u := s.users[user]
	var enterprise any
	if s.cfg.EnterpriseID != "" {
		enterprise = map[string]any{"id": s.cfg.EnterpriseID, "name": "Fake organisation"}
	}
	return map[string]any{
		"type": kind, "token": "fake", "api_app_id": s.cfg.AppID, "trigger_id": s.trigger(user),
		"team": map[string]any{"id": s.cfg.TeamID, "domain": "fake"}, "enterprise": enterprise, "is_enterprise_install": false,
		"user": map[string]any{"id": user, "username": u.Name, "name": u.Name, "team_id": u.TeamID},
	}
}

// Interact sends any interactive payload; missing common fields are filled in.
func (s *Server) Interact(kind, user string, fields map[string]any) *Act {
	s.mu.Lock()
	payload := s.interaction(kind, user)
	maps.Copy(payload, fields)
	a := &Act{Deliveries: []*Delivery{s.prepare(Interactive, kind, payload)}}
	s.mu.Unlock()
	return s.act(a)
}

// Shortcut uses a global shortcut of the app.
func (s *Server) Shortcut(user, callbackID string) *Act {
	s.mu.Lock()
	at := s.tick()
	s.mu.Unlock()
	return s.Interact("shortcut", user, map[string]any{"callback_id": callbackID, "action_ts": at})
}

// MessageShortcut uses a shortcut on a message.
func (s *Server) MessageShortcut(user string, m Message, callbackID string) *Act {
	s.mu.Lock()
	fields := map[string]any{
		"callback_id": callbackID, "action_ts": s.tick(), "message_ts": m.TS, "message": s.wire(&m, false),
		"channel": map[string]any{"id": m.Channel}, "response_url": s.replyURL(m.Channel, user, m.TS),
	}
	s.mu.Unlock()
	return s.Interact("message_action", user, fields)
}
