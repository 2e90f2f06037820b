package slackfake

import (
	"slices"
	"strconv"
)

// page returns the part of the messages that limit, cursor, oldest, latest and
// inclusive ask for, as replies to the two reading methods.
func (s *Server) page(r *request, all []*Message) reply {
	oldest, latest, inclusive := r.form.Get("oldest"), r.form.Get("latest"), r.form.Get("inclusive") == "1" || r.form.Get("inclusive") == "true"
	all = slices.DeleteFunc(all, func(m *Message) bool {
		edge := (m.TS == oldest || m.TS == latest) && !inclusive
		return edge || oldest != "" && m.TS < oldest || latest != "" && m.TS > latest
	})
	start, _ := strconv.Atoi(r.form.Get("cursor"))
	limit, _ := strconv.Atoi(r.form.Get("limit"))
	if limit <= 0 || limit > 999 {
		limit = 100
	}
	start = min(max(start, 0), len(all))
	end := min(start+limit, len(all))
	metadata := r.form.Get("include_all_metadata")
	shown := []map[string]any{}
	for _, m := range all[start:end] {
		shown = append(shown, s.wire(m, metadata == "1" || metadata == "true"))
	}
	next := ""
	if end < len(all) {
		next = strconv.Itoa(end)
	}
	return accept(map[string]any{
		"messages": shown, "has_more": next != "", "response_metadata": map[string]any{"next_cursor": next},
	})
}

// seen finds a conversation whose messages the app may read. The lock is held.
func (s *Server) seen(id string) (*Channel, reply) {
	c, code := s.readable(id)
	if code != "" {
		return nil, refuse(code)
	}
	if scope := historyScope(c); !s.has(scope) {
		return nil, reply{"missing_scope", map[string]any{"needed": scope}}
	}
	return c, reply{}
}

// conversationReplies answers with the parent first, then its replies.
func (s *Server) conversationReplies(r *request) reply {
	c, out := s.seen(r.form.Get("channel"))
	if c == nil {
		return out
	}
	parent := s.find(c.ID, r.form.Get("ts"))
	if parent == nil {
		return refuse("thread_not_found")
	}
	var all []*Message
	for _, m := range s.messages {
		if m.Channel == c.ID && !m.Deleted && (m == parent || m.ThreadTS == parent.TS) {
			all = append(all, m)
		}
	}
	return s.page(r, all)
}

// conversationHistory answers with the channel root, newest first.
func (s *Server) conversationHistory(r *request) reply {
	c, out := s.seen(r.form.Get("channel"))
	if c == nil {
		return out
	}
	var all []*Message
	for _, m := range s.messages {
		if m.Channel == c.ID && !m.Deleted && (m.ThreadTS == "" || m.Broadcast) {
			all = append(all, m)
		}
	}
	slices.Reverse(all)
	return s.page(r, all)
}

func (s *Server) conversationInfo(r *request) reply {
	c := s.channels[r.form.Get("channel")]
	if c == nil || c.NoBot && c.Kind == "group" {
		return refuse("channel_not_found")
	}
	return accept(map[string]any{"channel": c.wire()})
}

func (s *Server) userInfo(r *request) reply {
	u, known := s.users[r.form.Get("user")]
	if !known {
		return refuse("user_not_found")
	}
	return accept(map[string]any{"user": u.wire(r.form.Get("include_locale") == "true")})
}

func (s *Server) groupMembers(r *request) reply {
	members, known := s.groups[r.form.Get("usergroup")]
	if !known {
		return refuse("no_such_subteam")
	}
	return accept(map[string]any{"users": slices.Clone(members)})
}

func (s *Server) addReaction(r *request) reply {
	c, code := s.writable(r.form.Get("channel"))
	if code != "" {
		return refuse(code)
	}
	m, name := s.find(c.ID, r.form.Get("timestamp")), r.form.Get("name")
	switch {
	case m == nil:
		return refuse("message_not_found")
	case name == "":
		return refuse("invalid_name")
	case slices.Contains(m.Reactions, name):
		return refuse("already_reacted")
	}
	m.Reactions = append(m.Reactions, name)
	s.touch()
	return accept(nil)
}

func (s *Server) addPin(r *request) reply {
	c, code := s.writable(r.form.Get("channel"))
	if code != "" {
		return refuse(code)
	}
	m := s.find(c.ID, r.form.Get("timestamp"))
	switch {
	case m == nil:
		return refuse("message_not_found")
	case m.Pinned:
		return refuse("already_pinned")
	}
	m.Pinned = true
	s.touch()
	return accept(nil)
}
