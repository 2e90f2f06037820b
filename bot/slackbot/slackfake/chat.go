package slackfake

import (
	"encoding/json"
	"strconv"
	"time"
)

func (s *Server) postMessage(r *request) reply {
	channel, code := s.writable(r.form.Get("channel"))
	if code != "" {
		return refuse(code)
	}
	s.emit("message", r.raw("blocks"))
	if out := checkMessage(r); out.code != "" {
		return out
	}
	if s.tooFast(channel.ID) {
		return refuse("ratelimited")
	}
	m := Message{
		Channel: channel.ID, User: s.cfg.BotUserID, Text: r.form.Get("text"), Blocks: r.raw("blocks"),
		Metadata: r.raw("metadata"), Via: "chat.postMessage",
	}
	// A reply whose parent is gone lands in the channel (comment at
	// PostMessageWithResponse in the Go client library).
	if parent := s.find(channel.ID, r.form.Get("thread_ts")); parent != nil {
		m.ThreadTS = parent.TS
		if parent.ThreadTS != "" {
			m.ThreadTS = parent.ThreadTS
		}
		m.Broadcast, _ = strconv.ParseBool(r.form.Get("reply_broadcast"))
	}
	posted := s.add(m)
	s.echoes = append(s.echoes, s.heard(channel, posted, s.wire(posted, false))...) // the app hears itself too
	return s.told(posted)
}

func (s *Server) told(m *Message) reply {
	return accept(map[string]any{"channel": m.Channel, "ts": m.TS, "text": m.Text, "message": s.wire(m, true)})
}

// tooFast tells whether a post comes sooner after the last one in its channel
// than the configured pace. A refused post does not count.
func (s *Server) tooFast(channel string) bool {
	now := time.Now()
	if s.cfg.PostPace > 0 && now.Sub(s.lastPost[channel]) < s.cfg.PostPace {
		return true
	}
	s.lastPost[channel] = now
	return false
}

// checkMessage refuses a message the service would not take.
func checkMessage(r *request) reply {
	blocks := r.raw("blocks")
	if r.form.Get("text") == "" && (len(blocks) == 0 || string(blocks) == "[]") && !r.form.Has("attachments") {
		return refuse("no_text")
	}
	if metadata := r.raw("metadata"); len(metadata) > 0 {
		var m struct {
			Type    string         `json:"event_type"`
			Payload map[string]any `json:"event_payload"`
		}
		if json.Unmarshal(metadata, &m) != nil || m.Type == "" || m.Payload == nil {
			return refuse("invalid_metadata_format")
		}
	}
	return checkBlocks(blocks, 50)
}

// updateMessage follows the method's documentation: without blocks, the old
// ones stay when no text is given either and go when text is given; an empty
// array removes them.
func (s *Server) updateMessage(r *request) reply {
	channel, code := s.writable(r.form.Get("channel"))
	if code != "" {
		return refuse(code)
	}
	s.emit("message", r.raw("blocks"))
	m := s.find(channel.ID, r.form.Get("ts"))
	switch {
	case m == nil:
		return refuse("message_not_found")
	case m.User != s.cfg.BotUserID:
		return refuse("cant_update_message")
	}
	if out := checkMessage(r); out.code != "" && (out.code != "no_text" || !r.form.Has("blocks")) {
		return out
	}
	s.echoes = append(s.echoes, s.altered(channel, m, "message_changed", func(m *Message) { rewrite(m, r) })...)
	return s.told(m)
}

func rewrite(m *Message, r *request) {
	if r.form.Has("text") {
		m.Text = r.form.Get("text")
	}
	if r.form.Has("text") || r.form.Has("blocks") {
		m.Blocks = r.raw("blocks")
		if string(m.Blocks) == "[]" {
			m.Blocks = nil
		}
	}
	if r.form.Has("metadata") {
		m.Metadata = r.raw("metadata")
	}
	m.Edits++
}

func (s *Server) deleteMessage(r *request) reply {
	m := s.find(r.form.Get("channel"), r.form.Get("ts"))
	switch {
	case m == nil:
		return refuse("message_not_found")
	case m.User != s.cfg.BotUserID:
		return refuse("cant_delete_message")
	}
	s.remove(m)
	return accept(map[string]any{"channel": m.Channel, "ts": m.TS})
}

func (s *Server) remove(m *Message) {
	m.Deleted = true
	if parent := s.find(m.Channel, m.ThreadTS); parent != nil {
		parent.replies--
	}
	s.touch()
}

func (s *Server) postEphemeral(r *request) reply {
	channel, code := s.writable(r.form.Get("channel"))
	if code != "" {
		return refuse(code)
	}
	if _, known := s.users[r.form.Get("user")]; !known {
		return refuse("user_not_in_channel")
	}
	s.emit("message", r.raw("blocks"))
	if out := checkMessage(r); out.code != "" {
		return out
	}
	m := Message{
		Channel: channel.ID, TS: s.tick(), ThreadTS: r.form.Get("thread_ts"), User: s.cfg.BotUserID,
		To: r.form.Get("user"), Text: r.form.Get("text"), Blocks: r.raw("blocks"), Via: "chat.postEphemeral",
	}
	s.ephemera = append(s.ephemera, m)
	s.touch()
	return accept(map[string]any{"message_ts": m.TS})
}
