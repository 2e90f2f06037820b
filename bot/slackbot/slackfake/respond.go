package slackfake

import (
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"time"
)

// replyURL lets the bot answer one interaction: five times within half an hour
// (documentation of interactions).
type replyURL struct {
	channel, user, message string
	born                   time.Time
	used                   int
}

// replyURL makes an address for answers to one interaction. The lock is held.
func (s *Server) replyURL(channel, user, message string) string {
	id := s.id("R")
	s.replies[id] = &replyURL{channel: channel, user: user, message: message, born: time.Now()}
	return s.http.URL + "/respond/" + id
}

// respond takes an answer sent to a response_url.
func (s *Server) respond(w http.ResponseWriter, r *http.Request) {
	f := s.fault("response_url")
	if !f.before(w, s.done) {
		return
	}
	body, err := io.ReadAll(io.LimitReader(r.Body, maxBody))
	s.mu.Lock()
	problem := "invalid_payload"
	if err == nil {
		problem = s.answer(s.replies[r.PathValue("id")], body)
	}
	s.mu.Unlock()
	s.record(Call{Method: "response_url", Form: url.Values{"body": {string(body)}}, At: time.Now(), Error: problem, Done: problem == ""})
	if !f.after(w, s.done) {
		return
	}
	if problem != "" {
		http.Error(w, problem, http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/plain")
	io.WriteString(w, "ok") //nolint:errcheck // the reader may be gone
}

// answer posts, replaces or deletes. The lock is held.
func (s *Server) answer(to *replyURL, body []byte) string {
	var a struct {
		Text            string          `json:"text"`
		Blocks          json.RawMessage `json:"blocks"`
		ResponseType    string          `json:"response_type"`
		ReplaceOriginal bool            `json:"replace_original"`
		DeleteOriginal  bool            `json:"delete_original"`
		ThreadTS        string          `json:"thread_ts"`
	}
	switch {
	case to == nil || time.Since(to.born) > 30*time.Minute:
		return "expired_url"
	case to.used >= 5:
		return "used_url"
	case json.Unmarshal(body, &a) != nil:
		return "invalid_payload"
	}
	to.used++
	if string(a.Blocks) == "null" {
		a.Blocks = nil
	}
	s.emit("message", a.Blocks)
	if out := checkBlocks(a.Blocks, 50); out.code != "" {
		return out.code
	}
	original := s.find(to.channel, to.message)
	switch {
	case a.DeleteOriginal && original != nil:
		s.remove(original)
	case a.ReplaceOriginal && original != nil:
		original.Text, original.Blocks = a.Text, a.Blocks
		original.Edits++
		s.touch()
	case a.ResponseType == "in_channel":
		s.add(Message{Channel: to.channel, ThreadTS: a.ThreadTS, User: s.cfg.BotUserID, Text: a.Text, Blocks: a.Blocks, Via: "response_url"})
	default:
		s.ephemera = append(s.ephemera, Message{
			Channel: to.channel, TS: s.tick(), ThreadTS: a.ThreadTS, User: s.cfg.BotUserID, To: to.user,
			Text: a.Text, Blocks: a.Blocks, Via: "response_url",
		})
		s.touch()
	}
	return ""
}
