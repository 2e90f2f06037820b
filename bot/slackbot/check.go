package slackbot

import (
	"context"
	"slices"
	"strings"

	"firstrod/engine"
)

// Profile is how much of the chat an app may use; each has a manifest of its
// name in deploy.
type Profile string

// The profiles, the smallest first.
const (
	Minimal Profile = "minimal"       // commands, buttons; typed answers in direct messages
	Replies Profile = "replies"       // typed answers in the threads of channels
	Full    Profile = "photos-groups" // photos as evidence, pins, names, roles from user groups
)

// Profiles lists them.
func Profiles() []Profile { return []Profile{Minimal, Replies, Full} }

// Needs lists the scopes of the bot token that a profile needs, in order.
func (p Profile) Needs() []string {
	scopes := []string{"chat:write", "commands", "im:history"}
	if p == Replies || p == Full {
		scopes = append(scopes, "app_mentions:read", "channels:history", "groups:history")
	}
	if p == Full {
		scopes = append(scopes, "files:read", "files:write", "pins:write", "reactions:write", "usergroups:read", "users:read")
	}
	slices.Sort(scopes)
	return scopes
}

// Report is what a look at the set-up found.
type Report struct {
	Team, TeamID, BotUser string
	Missing               []string // scopes that the profile needs and the app was not granted
	Socket                error    // why no socket could be opened; nil when it can, or is not wanted
}

// Check asks the chat who the app is and what it was granted, and whether a
// socket can be opened. It changes nothing and posts nothing.
func Check(ctx context.Context, cfg Config, p Profile) (Report, error) {
	if !slices.Contains(Profiles(), p) {
		return Report{}, &engine.Error{Kind: engine.Usage, Say: "there is no profile " + string(p), Hint: "minimal, replies or photos-groups"}
	}
	s, err := New(cfg)
	if err != nil {
		return Report{}, err
	}
	ctx, stop := context.WithTimeout(ctx, s.cfg.Patience)
	defer stop()
	me, err := s.api.AuthTestContext(ctx)
	if err != nil {
		return Report{}, &engine.Error{Kind: engine.Forbidden, Say: "the chat refuses the bot token: " + code(err), Err: err}
	}
	r := Report{Team: me.Team, TeamID: me.TeamID, BotUser: me.UserID}
	granted := strings.FieldsFunc(me.Header.Get("X-OAuth-Scopes"), func(c rune) bool { return c == ',' || c == ' ' })
	for _, scope := range p.Needs() {
		if !slices.Contains(granted, scope) {
			r.Missing = append(r.Missing, scope)
		}
	}
	if cfg.Listen == "" {
		_, _, r.Socket = s.api.StartSocketModeContext(ctx)
	}
	return r, nil
}
