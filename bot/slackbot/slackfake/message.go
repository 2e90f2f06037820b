package slackfake

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// Message is one message as it stands now.
type Message struct {
	Channel, TS string
	ThreadTS    string // of the parent; empty in the channel root
	Broadcast   bool   // a reply shown in the channel too
	User        string // who wrote it; the bot's user for its own
	To          string // an ephemeral message's only reader
	Text        string
	Blocks      json.RawMessage // nil when it has none
	Metadata    json.RawMessage
	Files       []File
	Reactions   []string
	Pinned      bool
	Deleted     bool
	Edits       int    // times it was changed
	Via         string // "chat.postMessage", "response_url", "files.completeUploadExternal", or "" for people

	replies int
}

// Messages lists what a person sees: with a thread, its parent and replies; with
// none, the channel root with the replies that were sent to the channel too.
// Oldest first, deleted ones left out.
func (s *Server) Messages(channel, thread string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var seen []Message
	for _, m := range s.messages {
		in := m.ThreadTS == "" || m.Broadcast
		if thread != "" {
			in = m.ThreadTS == thread || m.TS == thread
		}
		if m.Channel == channel && in && !m.Deleted {
			seen = append(seen, m.copy())
		}
	}
	return seen
}

// FromBot lists every message the bot wrote in any channel, oldest first.
func (s *Server) FromBot() []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var seen []Message
	for _, m := range s.messages {
		if m.User == s.cfg.BotUserID && !m.Deleted {
			seen = append(seen, m.copy())
		}
	}
	return seen
}

// Message finds one message by its channel and timestamp.
func (s *Server) Message(channel, ts string) (Message, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if m := s.find(channel, ts); m != nil {
		return m.copy(), true
	}
	return Message{}, false
}

// Ephemerals lists the messages only one user was shown, oldest first.
func (s *Server) Ephemerals(user string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var seen []Message
	for _, m := range s.ephemera {
		if m.To == user {
			seen = append(seen, m)
		}
	}
	return seen
}

func (m *Message) copy() Message {
	c := *m
	c.Files, c.Reactions = slices.Clone(m.Files), slices.Clone(m.Reactions)
	return c
}

// find returns a message that was not deleted. The lock is held.
func (s *Server) find(channel, ts string) *Message {
	m := s.index[[2]string{channel, ts}]
	if m == nil || m.Deleted {
		return nil
	}
	return m
}

// tick gives out the next timestamp: seconds and microseconds, unique and
// growing. The lock is held.
func (s *Server) tick() string {
	now := s.cfg.Clock().UnixMicro()
	s.lastTick = max(s.lastTick+1, now)
	return fmt.Sprintf("%d.%06d", s.lastTick/1e6, s.lastTick%1e6)
}

// add stores a message under a fresh timestamp. The lock is held.
func (s *Server) add(m Message) *Message {
	m.TS = s.tick()
	stored := &m
	s.messages = append(s.messages, stored)
	s.index[[2]string{m.Channel, m.TS}] = stored
	if parent := s.find(m.Channel, m.ThreadTS); parent != nil {
		parent.replies++
	}
	s.touch()
	return stored
}

// wire is the message as the API and the payloads show it. The lock is held.
func (s *Server) wire(m *Message, metadata bool) map[string]any {
	out := map[string]any{"type": "message", "user": m.User, "ts": m.TS, "text": m.Text, "team": s.cfg.TeamID}
	if m.User == s.cfg.BotUserID {
		out["bot_id"], out["app_id"] = s.cfg.BotID, s.cfg.AppID
	}
	if m.ThreadTS != "" {
		out["thread_ts"] = m.ThreadTS
	} else if m.replies > 0 {
		out["thread_ts"] = m.TS
	}
	if len(m.Blocks) > 0 {
		out["blocks"] = m.Blocks
	}
	if metadata && len(m.Metadata) > 0 {
		out["metadata"] = m.Metadata
	}
	if m.Broadcast {
		out["subtype"] = "thread_broadcast"
	}
	if len(m.Files) > 0 {
		out["files"] = s.wireFiles(m.Files)
	}
	if m.Edits > 0 {
		out["edited"] = map[string]any{"user": m.User, "ts": m.TS}
	}
	if m.Pinned {
		out["pinned_to"] = []string{m.Channel}
	}
	return out
}

// Plain gives the text of the message and of its blocks, one line each, so that
// a test can search what is on the screen.
func (m Message) Plain() string {
	lines := []string{m.Text}
	walk(m.Blocks, func(node map[string]any) {
		if text, ok := node["text"].(string); ok {
			lines = append(lines, text)
		}
	})
	return strings.Join(lines, "\n")
}

// Buttons lists the labels of the buttons on the message, in order.
func (m Message) Buttons() []string {
	var labels []string
	walk(m.Blocks, func(node map[string]any) {
		if node["type"] == "button" {
			text, _ := node["text"].(map[string]any)
			label, _ := text["text"].(string)
			labels = append(labels, label)
		}
	})
	return labels
}

// walk visits every JSON object below raw, outer before inner, array order kept
// and the keys of an object sorted.
func walk(raw json.RawMessage, visit func(map[string]any)) {
	var tree any
	if json.Unmarshal(raw, &tree) == nil {
		descend(tree, visit)
	}
}

func descend(node any, visit func(map[string]any)) {
	switch n := node.(type) {
	case []any:
		for _, child := range n {
			descend(child, visit)
		}
	case map[string]any:
		visit(n)
		keys := make([]string, 0, len(n))
		for k := range n {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			descend(n[k], visit)
		}
	}
}
