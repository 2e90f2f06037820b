package slackfake

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"
)

// View is a modal or a home tab as it stands now.
type View struct {
	ID, Hash        string
	Kind            string // "modal" or "home"
	User            string // who sees it
	CallbackID      string
	ExternalID      string
	PrivateMetadata string
	Root, Previous  string            // ids, for modals pushed on others
	Body            json.RawMessage   // as the bot sent it
	Errors          map[string]string // what the last submission was refused with, by block
}

// stackDepth is how many modals may lie on each other (views.push, from memory).
const stackDepth = 3

// Modal returns the modal on top of a user's screen.
func (s *Server) Modal(user string) (View, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	stack := s.stacks[user]
	if len(stack) == 0 {
		return View{}, false
	}
	return s.views[stack[len(stack)-1]].copy(), true
}

// Home returns the home tab last published for a user.
func (s *Server) Home(user string) (View, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := s.views[s.homes[user]]
	if v == nil {
		return View{}, false
	}
	return v.copy(), true
}

func (v *View) copy() View {
	c := *v
	c.Errors = maps.Clone(v.Errors)
	return c
}

// Plain gives every text of the view, one line each.
func (v View) Plain() string {
	var lines []string
	walk(v.Body, func(node map[string]any) {
		if text, ok := node["text"].(string); ok {
			lines = append(lines, text)
		}
	})
	return strings.Join(lines, "\n")
}

// trigger is a short-lived permission to open a view for one user.
type trigger struct {
	user string
	at   time.Time
	used bool
}

// trigger gives out a trigger id. The lock is held.
func (s *Server) trigger(user string) string {
	id := s.id("1337.42.")
	s.triggers[id] = trigger{user: user, at: time.Now()}
	return id
}

// spend uses a trigger up. The error codes are from memory.
func (s *Server) spend(id string) (user, code string) {
	t, known := s.triggers[id]
	switch {
	case !known:
		return "", "invalid_trigger_id"
	case t.used:
		return "", "exchanged_trigger_id"
	case time.Since(t.at) > s.cfg.TriggerLife:
		return "", "expired_trigger_id"
	}
	t.used = true
	s.triggers[id] = t
	return t.user, ""
}

// parseView reads what the bot sent and refuses what the service would.
func (s *Server) parseView(raw json.RawMessage, kind string) (View, reply) {
	s.emit(kind, raw)
	var v struct {
		Type            string          `json:"type"`
		CallbackID      string          `json:"callback_id"`
		ExternalID      string          `json:"external_id"`
		PrivateMetadata string          `json:"private_metadata"`
		Blocks          json.RawMessage `json:"blocks"`
	}
	var tree map[string]any
	if json.Unmarshal(raw, &v) != nil || json.Unmarshal(raw, &tree) != nil || v.Type != kind {
		return View{}, refuseWith("invalid_arguments", "failed to match all allowed schemas [json-pointer:/view]")
	}
	delete(tree, "blocks")
	if fault := firstFault(tree); fault != "" {
		return View{}, refuseWith("invalid_arguments", fault)
	}
	if len(v.Blocks) == 0 {
		return View{}, refuseWith("invalid_arguments", "missing required field: blocks [json-pointer:/view]")
	}
	if out := checkBlocks(v.Blocks, 100); out.code != "" {
		out.code = "invalid_arguments"
		return View{}, out
	}
	return View{
		Kind: kind, CallbackID: v.CallbackID, ExternalID: v.ExternalID, PrivateMetadata: v.PrivateMetadata, Body: raw,
	}, reply{}
}

// show stores a view under a fresh id and hash. The lock is held.
func (s *Server) show(v View, user string) *View {
	v.ID, v.User = s.id("V"), user
	v.Hash = s.tick() + ".h"
	if v.Root == "" {
		v.Root = v.ID
	}
	s.views[v.ID] = &v
	s.touch()
	return &v
}

// replace changes a shown view in place. The lock is held.
func (s *Server) replace(old *View, v View) {
	v.ID, v.User, v.Root, v.Previous = old.ID, old.User, old.Root, old.Previous
	v.Hash = s.tick() + ".h"
	*old = v
	s.touch()
}

func (s *Server) openView(r *request) reply {
	v, out := s.parseView(r.raw("view"), "modal")
	if out.code != "" {
		return out
	}
	user, code := s.spend(r.form.Get("trigger_id"))
	if code != "" {
		return refuse(code)
	}
	shown := s.show(v, user)
	s.stacks[user] = []string{shown.ID}
	return accept(map[string]any{"view": s.wireView(shown)})
}

func (s *Server) pushView(r *request) reply {
	v, out := s.parseView(r.raw("view"), "modal")
	if out.code != "" {
		return out
	}
	user, code := s.spend(r.form.Get("trigger_id"))
	if code != "" {
		return refuse(code)
	}
	shown, code := s.push(v, user)
	if code != "" {
		return refuse(code)
	}
	return accept(map[string]any{"view": s.wireView(shown)})
}

func (s *Server) push(v View, user string) (*View, string) {
	stack := s.stacks[user]
	switch {
	case len(stack) == 0:
		return nil, "not_found"
	case len(stack) >= stackDepth:
		return nil, "push_limit_reached"
	}
	v.Root, v.Previous = stack[0], stack[len(stack)-1]
	shown := s.show(v, user)
	s.stacks[user] = append(stack, shown.ID)
	return shown, ""
}

func (s *Server) updateView(r *request) reply {
	v, out := s.parseView(r.raw("view"), "modal")
	if out.code != "" {
		return out
	}
	old := s.views[r.form.Get("view_id")]
	for _, other := range s.views {
		if old == nil && other.ExternalID != "" && other.ExternalID == r.form.Get("external_id") {
			old = other
		}
	}
	switch {
	case old == nil || old.Kind == "modal" && !slices.Contains(s.stacks[old.User], old.ID):
		return refuse("not_found")
	case r.form.Get("hash") != "" && r.form.Get("hash") != old.Hash:
		return refuse("hash_conflict")
	}
	s.replace(old, v)
	return accept(map[string]any{"view": s.wireView(old)})
}

func (s *Server) publishView(r *request) reply {
	v, out := s.parseView(r.raw("view"), "home")
	if out.code != "" {
		return out
	}
	user := r.form.Get("user_id")
	if _, known := s.users[user]; !known {
		return refuse("user_not_found")
	}
	old := s.views[s.homes[user]]
	switch {
	case old == nil:
		old = s.show(v, user)
		s.homes[user] = old.ID
	case r.form.Get("hash") != "" && r.form.Get("hash") != old.Hash:
		return refuse("hash_conflict")
	default:
		s.replace(old, v)
	}
	return accept(map[string]any{"view": s.wireView(old)})
}

// wireView is the view as replies and payloads show it. The lock is held.
func (s *Server) wireView(v *View) map[string]any {
	out := map[string]any{}
	if json.Unmarshal(v.Body, &out) != nil {
		out = map[string]any{}
	}
	maps.Copy(out, map[string]any{
		"id": v.ID, "team_id": s.cfg.TeamID, "app_id": s.cfg.AppID, "bot_id": s.cfg.BotID, "hash": v.Hash,
		"root_view_id": v.Root, "previous_view_id": v.Previous,
		"state": map[string]any{"values": map[string]any{}},
	})
	return out
}
