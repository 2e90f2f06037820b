package slackfake

import (
	"fmt"
	"slices"
)

// User is one account of the workspace, as users.info tells it.
type User struct {
	ID, Name, RealName string
	TZ, Locale         string // IANA zone; language tag such as "es-MX"
	TeamID             string // empty: the workspace's own
	IsBot              bool
	IsAppUser          bool
	IsRestricted       bool // a guest
	IsUltraRestricted  bool // a guest of one channel
	IsStranger         bool // from another organisation, in a shared channel
	Deleted            bool
}

// Channel is a conversation. Kind is "channel" (public), "group" (private) or
// "im" (the direct messages between User and the bot).
type Channel struct {
	ID, Name, Kind string
	User           string
	Archived       bool
	NoBot          bool // the bot is not, or no longer, a member
}

// AddUser adds an account or replaces the one of the same id.
func (s *Server) AddUser(u User) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if u.TeamID == "" {
		u.TeamID = s.cfg.TeamID
	}
	s.users[u.ID] = u
	s.touch()
}

// AddChannel adds a conversation or replaces the one of the same id. The bot is
// a member unless NoBot is set.
func (s *Server) AddChannel(c Channel) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c.Kind == "" {
		c.Kind = "channel"
	}
	s.channels[c.ID] = &c
	s.touch()
}

// ChangeChannel alters a conversation in place, for example archives it.
func (s *Server) ChangeChannel(id string, change func(*Channel)) {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[id]
	if c == nil {
		s.t.Errorf("no channel %s", id)
		return
	}
	change(c)
	s.touch()
}

// DM returns the id of the direct messages between a user and the bot, opening
// them if there are none.
func (s *Server) DM(user string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.dm(user)
}

func (s *Server) dm(user string) string {
	for id, c := range s.channels {
		if c.Kind == "im" && c.User == user {
			return id
		}
	}
	id := s.id("D")
	s.channels[id] = &Channel{ID: id, Kind: "im", User: user}
	return id
}

// AddGroup sets the members of a user group.
func (s *Server) AddGroup(id string, users ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.groups[id] = slices.Clone(users)
	s.touch()
}

// writable finds the conversation that the bot wants to write to. A user id
// stands for the direct messages with that user. The lock is held.
func (s *Server) writable(id string) (*Channel, string) {
	if _, person := s.users[id]; person {
		id = s.dm(id)
	}
	c := s.channels[id]
	switch {
	case c == nil:
		return nil, "channel_not_found"
	case c.Archived:
		return nil, "is_archived"
	case c.NoBot && c.Kind == "group": // a private channel hides itself from outsiders
		return nil, "channel_not_found"
	case c.NoBot:
		return nil, "not_in_channel"
	}
	return c, ""
}

// readable finds the conversation that the bot wants to read. The lock is held.
func (s *Server) readable(id string) (*Channel, string) {
	c := s.channels[id]
	switch {
	case c == nil, c.NoBot && c.Kind == "group":
		return nil, "channel_not_found"
	case c.NoBot:
		return nil, "not_in_channel"
	}
	return c, ""
}

// historyScope is the scope that lets the app see the conversation's messages.
func historyScope(c *Channel) string {
	switch c.Kind {
	case "im":
		return "im:history"
	case "group":
		return "groups:history"
	}
	return "channels:history"
}

func (u User) wire(locale bool) map[string]any {
	reply := map[string]any{
		"id": u.ID, "team_id": u.TeamID, "name": u.Name, "real_name": u.RealName, "deleted": u.Deleted,
		"tz": u.TZ, "is_bot": u.IsBot, "is_app_user": u.IsAppUser, "is_restricted": u.IsRestricted,
		"is_ultra_restricted": u.IsUltraRestricted, "is_stranger": u.IsStranger,
		"profile": map[string]any{"real_name": u.RealName, "display_name": u.Name, "team": u.TeamID},
	}
	if locale {
		reply["locale"] = u.Locale
	}
	return reply
}

func (c Channel) wire() map[string]any {
	return map[string]any{
		"id": c.ID, "name": c.Name, "is_channel": c.Kind == "channel", "is_group": c.Kind == "group",
		"is_private": c.Kind != "channel", "is_im": c.Kind == "im", "user": c.User,
		"is_archived": c.Archived, "is_member": !c.NoBot,
	}
}

// label is the name that payloads give a conversation.
func (c Channel) label() string {
	if c.Kind == "im" {
		return "directmessage"
	}
	if c.Name == "" {
		return fmt.Sprintf("channel-%s", c.ID)
	}
	return c.Name
}
