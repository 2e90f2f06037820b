package slackbot

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"firstrod/engine"
)

const (
	// cached is how long a person's profile and the members of a group are
	// believed.
	cached = 5 * time.Minute
	// asking is how long somebody is looked up before they count as unknown.
	asking = 10 * time.Second
)

// stand is whether somebody may speak.
type stand string

const (
	mayAnswer stand = "may answer"
	program   stand = "a program"
	guest     stand = "a guest of this workspace"
	gone      stand = "an account that was closed"
	noRole    stand = "a person with no role"
	twoRoles  stand = "a person in groups of different roles"
	unknown   stand = "a person whose role could not be read"
)

// who is somebody as the chat knows them.
type who struct {
	User, Ref, Name string
	Role            string // one of engine.Roles; "" unless Stand is mayAnswer
	Lang            string // "" when the profile does not say
	Stand           stand
}

// people finds out who somebody is and in which role. Whatever cannot be read
// gives no role.
type people struct {
	api    *slack.Client
	team   string
	roles  map[string]string
	groups map[string]string
	now    func() time.Time

	mu      sync.Mutex
	users   map[string]profile
	members map[string]group
}

type profile struct {
	user slack.User
	at   time.Time
	bare bool // the app may not read profiles; nothing but the id is known
}

type group struct {
	users []string
	at    time.Time
}

func newPeople(cfg Config, api *slack.Client) *people {
	return &people{
		api: api, roles: cfg.Roles, groups: cfg.Groups, now: cfg.Clock.Now,
		users: map[string]profile{}, members: map[string]group{},
	}
}

// who says who wrote a letter. With fresh nothing is believed that is not read
// now: for a signature.
func (p *people) who(ctx context.Context, l letter, fresh bool) who {
	w := who{User: l.User, Ref: l.ref(), Name: l.Name, Stand: program}
	if w.Name == "" {
		w.Name = l.User
	}
	if l.Program || l.User == "" {
		return w
	}
	prof, err := p.profile(ctx, l.User, fresh)
	if err != nil {
		w.Stand = unknown
		return w
	}
	u := prof.user
	if !prof.bare {
		w.Name, w.Lang = nameOf(u), lang(u.Locale)
	}
	switch {
	case u.IsBot, u.IsAppUser, u.IsWorkflowBot, u.IsConnectorBot:
		return w
	case u.Deleted:
		w.Stand = gone
	case u.IsRestricted, u.IsUltraRestricted, u.IsStranger, u.TeamID != "" && u.TeamID != p.team && u.Enterprise.ID == "":
		w.Stand = guest
	default:
		w.Role, w.Stand = p.role(ctx, l.User, prof.bare, fresh)
	}
	return w
}

func nameOf(u slack.User) string {
	for _, n := range []string{u.Profile.RealName, u.RealName, u.Profile.DisplayName, u.Name} {
		if n = strings.TrimSpace(n); n != "" {
			return n
		}
	}
	return u.ID
}

// lang is the language of a locale that the bot speaks; "" for another.
func lang(locale string) string {
	tag, _, _ := strings.Cut(locale, "-")
	if tag == "en" || tag == "es" {
		return tag
	}
	return ""
}

// role is that of the list, or else that of the groups. A profile that may not
// be read leaves only the list: whoever is on it was put there by a person.
func (p *people) role(ctx context.Context, user string, bare, fresh bool) (string, stand) {
	if role := p.roles[user]; slices.Contains(engine.Roles(), role) {
		return role, mayAnswer
	}
	if bare {
		return "", unknown
	}
	found := ""
	for id, role := range p.groups {
		users, err := p.group(ctx, id, fresh)
		switch {
		case err != nil:
			return "", unknown
		case !slices.Contains(users, user) || !slices.Contains(engine.Roles(), role):
		case found != "" && found != role:
			return "", twoRoles
		default:
			found = role
		}
	}
	if found == "" {
		return "", noRole
	}
	return found, mayAnswer
}

func (p *people) profile(ctx context.Context, user string, fresh bool) (profile, error) {
	p.mu.Lock()
	have, ok := p.users[user]
	p.mu.Unlock()
	if ok && !fresh && p.now().Sub(have.at) < cached {
		return have, nil
	}
	ctx, done := context.WithTimeout(ctx, asking)
	defer done()
	u, err := again(ctx, func() (*slack.User, error) {
		return p.api.GetUserInfoContext(ctx, user, slack.GetUserInfoOptionIncludeLocale(true))
	})
	prof := profile{at: p.now()}
	switch {
	case code(err) == "missing_scope":
		prof.user, prof.bare = slack.User{ID: user}, true
	case err != nil:
		return profile{}, err
	default:
		prof.user = *u
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.users[user] = prof
	return prof, nil
}

func (p *people) group(ctx context.Context, id string, fresh bool) ([]string, error) {
	p.mu.Lock()
	have, ok := p.members[id]
	p.mu.Unlock()
	if ok && !fresh && p.now().Sub(have.at) < cached {
		return have.users, nil
	}
	ctx, done := context.WithTimeout(ctx, asking)
	defer done()
	users, err := again(ctx, func() ([]string, error) { return p.api.GetUserGroupMembersContext(ctx, id) })
	if err != nil {
		return nil, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.members[id] = group{users, p.now()}
	return users, nil
}

// tries is how often something that changes nothing is asked for.
const tries = 3

// again asks once more where nothing is changed by asking: after a cut, a fault
// of the server, or a limit.
func again[T any](ctx context.Context, ask func() (T, error)) (T, error) {
	for n := 1; ; n++ {
		v, err := ask()
		how, wait := judge(err)
		if err == nil || how == refused || n == tries {
			return v, err
		}
		if sleep(ctx, max(wait, time.Duration(n)*100*time.Millisecond)) != nil {
			return v, err
		}
	}
}
