package slackfake

import (
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// Call is one request the fake received.
type Call struct {
	Method string // such as "chat.postMessage"; "upload", "download", "response_url"
	Form   url.Values
	At     time.Time
	Error  string // what it was refused with; "" when it took effect or a fault ate it
	Done   bool   // it took effect, whether or not the caller was told
}

// Calls lists the requests of one method, or of all with "", oldest first. The
// token is left out of the form.
func (s *Server) Calls(method string) []Call {
	s.mu.Lock()
	defer s.mu.Unlock()
	var calls []Call
	for _, c := range s.calls {
		if method == "" || c.Method == method {
			calls = append(calls, c)
		}
	}
	return calls
}

// Emitted lists every payload of one kind that the bot ever sent, whether or
// not it was accepted: "message" (an array of blocks), "modal" or "home" (a
// view). Any of them can be handed to an outside check.
func (s *Server) Emitted(kind string) [][]byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.emitted[kind])
}

func (s *Server) emit(kind string, raw json.RawMessage) {
	if len(raw) > 0 {
		s.emitted[kind] = append(s.emitted[kind], slices.Clone(raw))
	}
}

// reply is what a method answers: fields on success, or an error code with
// detail fields beside it.
type reply struct {
	code   string
	fields map[string]any
}

func refuse(code string) reply             { return reply{code: code} }
func accept(fields map[string]any) reply   { return reply{fields: fields} }
func refuseWith(code, detail string) reply { return reply{code, messages(detail)} }

func messages(detail string) map[string]any {
	return map[string]any{"response_metadata": map[string]any{"messages": []string{"[ERROR] " + detail}}}
}

// method is one entry of the Web API: which token it wants, any one of which
// scopes, and what it does. Run is called with the lock held.
type method struct {
	app    bool
	scopes []string
	run    func(*request) reply
}

func (s *Server) methods() map[string]method {
	write := []string{"chat:write"}
	read := []string{"channels:history", "groups:history", "im:history"}
	info := []string{"channels:read", "groups:read", "im:read"}
	return map[string]method{
		"auth.test":                    {run: s.authTest},
		"apps.connections.open":        {app: true, run: s.openConnection},
		"chat.postMessage":             {scopes: write, run: s.postMessage},
		"chat.update":                  {scopes: write, run: s.updateMessage},
		"chat.delete":                  {scopes: write, run: s.deleteMessage},
		"chat.postEphemeral":           {scopes: write, run: s.postEphemeral},
		"conversations.replies":        {scopes: read, run: s.conversationReplies},
		"conversations.history":        {scopes: read, run: s.conversationHistory},
		"conversations.info":           {scopes: info, run: s.conversationInfo},
		"users.info":                   {scopes: []string{"users:read"}, run: s.userInfo},
		"usergroups.users.list":        {scopes: []string{"usergroups:read"}, run: s.groupMembers},
		"reactions.add":                {scopes: []string{"reactions:write"}, run: s.addReaction},
		"pins.add":                     {scopes: []string{"pins:write"}, run: s.addPin},
		"views.open":                   {run: s.openView},
		"views.push":                   {run: s.pushView},
		"views.update":                 {run: s.updateView},
		"views.publish":                {run: s.publishView},
		"files.getUploadURLExternal":   {scopes: []string{"files:write"}, run: s.uploadURL},
		"files.completeUploadExternal": {scopes: []string{"files:write"}, run: s.completeUpload},
	}
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	methods := s.methods()
	mux.HandleFunc("/api/{method}", func(w http.ResponseWriter, r *http.Request) {
		name := r.PathValue("method")
		m, known := methods[name]
		req, err := read(name, r)
		if err != nil {
			sendJSON(w, map[string]any{"ok": false, "error": "invalid_json"})
			return
		}
		if !known {
			m.run = func(*request) reply { return refuse("unknown_method") }
		}
		s.call(w, req, m)
	})
	mux.HandleFunc("GET /link/{ticket}", s.serveSocket)
	mux.HandleFunc("POST /upload/{file}", s.upload)
	mux.HandleFunc("GET /files/{file}/{name}", s.download)
	mux.HandleFunc("GET /signin", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, "<!doctype html><title>Sign in</title>") //nolint:errcheck // the reader may be gone
	})
	mux.HandleFunc("POST /respond/{id}", s.respond)
	return mux
}

// call runs one method: fault, token, scope, effect, fault, reply.
func (s *Server) call(w http.ResponseWriter, req *request, m method) {
	f := s.fault(req.method)
	entry := Call{Method: req.method, Form: req.form, At: time.Now()}
	if !f.before(w, s.done) {
		s.record(entry)
		return
	}
	s.mu.Lock()
	out := s.permit(req, m)
	if out.code == "" {
		out = m.run(req)
	}
	w.Header().Set("X-OAuth-Scopes", strings.Join(s.cfg.Scopes, ","))
	echoes := s.echoes
	s.echoes = nil
	s.mu.Unlock()
	entry.Error, entry.Done = out.code, out.code == ""
	s.record(entry)
	for _, d := range echoes {
		s.send(d, false)
	}
	if !f.after(w, s.done) {
		return
	}
	if out.code == "ratelimited" {
		RateLimit{After: time.Second}.before(w, s.done)
		return
	}
	fields := map[string]any{"ok": out.code == ""}
	if out.code != "" {
		fields["error"] = out.code
	}
	maps.Copy(fields, out.fields)
	sendJSON(w, fields)
}

// permit checks token and scopes. The lock is held.
func (s *Server) permit(req *request, m method) reply {
	want, other := s.cfg.BotToken, s.cfg.AppToken
	if m.app {
		want, other = other, want
	}
	switch {
	case req.token == "":
		return refuse("not_authed")
	case req.token == other:
		return refuse("not_allowed_token_type")
	case req.token != want:
		return refuse("invalid_auth")
	case !s.has(m.scopes...):
		return reply{"missing_scope", map[string]any{
			"needed": strings.Join(m.scopes, ","), "provided": strings.Join(s.cfg.Scopes, ","),
		}}
	}
	return reply{}
}

func (s *Server) record(c Call) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.calls = append(s.calls, c)
	s.touch()
}

func sendJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	json.NewEncoder(w).Encode(v) //nolint:errcheck // the reader may be gone
}

func (s *Server) authTest(*request) reply {
	fields := map[string]any{
		"url": s.http.URL + "/", "team": "Fake workspace", "user": s.users[s.cfg.BotUserID].Name,
		"team_id": s.cfg.TeamID, "user_id": s.cfg.BotUserID, "bot_id": s.cfg.BotID,
	}
	if s.cfg.EnterpriseID != "" {
		fields["enterprise_id"] = s.cfg.EnterpriseID
	}
	return accept(fields)
}
