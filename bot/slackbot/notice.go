package slackbot

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"firstrod/engine"
)

const noticeKey = "notice/" // + key: a notice, kept so that it is told once

// Notice is something that nobody asked for and a safety manager must hear, such
// as rules that could not come into force.
type Notice struct {
	Key    string    `json:"key"` // one that was told under this key is not told again
	Text   string    `json:"text"`
	Stands bool      `json:"stands,omitempty"` // stays on the home tabs of safety managers until [Service.Over]
	At     time.Time `json:"at"`
}

// Tell sends a notice to every safety manager, in direct messages, and to the
// safety channel. It waits until Run has begun, and returns once the notice is
// durable; a key that was told already does nothing.
func (s *Service) Tell(ctx context.Context, n Notice) error {
	if err := s.begun(ctx); err != nil {
		return err
	}
	to := s.people.inRole(ctx, engine.RoleSafetyManager)
	if s.cfg.Safety != "" {
		to = append(to, s.cfg.Safety)
	}
	return s.post(ctx, n, to)
}

// Post sends a notice to the safety channel alone, and does nothing without one.
func (s *Service) Post(ctx context.Context, n Notice) error {
	if err := s.begun(ctx); err != nil || s.cfg.Safety == "" {
		return err
	}
	return s.post(ctx, n, []string{s.cfg.Safety})
}

// Over takes the notices whose keys begin with a prefix, or are it, off the home
// tabs. They stay told. It waits until Run has begun.
func (s *Service) Over(ctx context.Context, prefix string) error {
	if err := s.begun(ctx); err != nil {
		return err
	}
	puts := map[string][]byte{}
	err := s.cfg.Table.Each(ctx, noticeKey+prefix, func(key string, value []byte) error {
		var n Notice
		if err := json.Unmarshal(value, &n); err != nil || !n.Stands {
			return err
		}
		n.Stands = false
		var err error
		puts[key], err = json.Marshal(n)
		return err
	})
	if err != nil || len(puts) == 0 {
		return err
	}
	return s.cfg.Table.Apply(ctx, puts, nil)
}

func (s *Service) post(ctx context.Context, n Notice, to []string) error {
	was, told, err := s.cfg.Table.Get(ctx, noticeKey+n.Key)
	if err != nil {
		return err
	}
	n.At = s.cfg.Clock.Now()
	value, err := json.Marshal(n)
	if err != nil {
		return err
	}
	if told {
		var old Notice
		if err := json.Unmarshal(was, &old); err != nil || old.Stands == n.Stands || !n.Stands {
			return err
		}
		// It was over, and is back: it stands again, and nobody is told twice.
		return s.cfg.Table.Apply(ctx, map[string][]byte{noticeKey + n.Key: value}, nil)
	}
	var items []*item
	for _, channel := range to {
		items = append(items, &item{ID: s.out.id(), Op: opPost, Channel: channel, Text: escaped(cut(n.Text, maxSection))})
	}
	return s.out.add(ctx, items, map[string][]byte{noticeKey + n.Key: value}, nil)
}

// begun waits until Run knows what the last run left.
func (s *Service) begun(ctx context.Context) error {
	select {
	case <-s.ready:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// notices lists the notices that stand, the newest first.
func (s *Service) notices(ctx context.Context) ([]Notice, error) {
	var all []Notice
	err := s.cfg.Table.Each(ctx, noticeKey, func(_ string, value []byte) error {
		var n Notice
		if err := json.Unmarshal(value, &n); err != nil {
			return err
		}
		if n.Stands {
			all = append(all, n)
		}
		return nil
	})
	slices.SortFunc(all, func(a, b Notice) int { return b.At.Compare(a.At) })
	return all, err
}

// inRole lists the users with a role, from the list and the groups. A group that
// cannot be read has nobody in it.
func (p *people) inRole(ctx context.Context, role string) []string {
	var all []string
	for user, r := range p.roles {
		if r == role {
			all = append(all, user)
		}
	}
	for id, r := range p.groups {
		if r == role {
			users, _ := p.group(ctx, id, false)
			all = append(all, users...)
		}
	}
	slices.SortFunc(all, strings.Compare)
	return slices.Compact(all)
}
