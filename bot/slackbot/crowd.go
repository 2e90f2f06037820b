package slackbot

import (
	"context"
	"slices"
	"strings"

	"github.com/slack-go/slack"

	"firstrod/bot"
	"firstrod/engine"
)

// refuse says to somebody that they have no say here, and records that they
// tried. A program is told nothing, and recorded once in a thread: it would go
// on for ever.
func (s *Service) refuse(ctx context.Context, l letter, p place, w who) error {
	if p.Bore != "" && (w.Stand != program || s.first(p.room()+"\x00"+l.User)) {
		m := bot.Message{
			Text: l.Text, Key: "slack:" + l.Key, From: "slack", Speaker: &bot.Speaker{Ref: w.Ref, Name: w.Name},
		}
		err := s.bot.Refuse(ctx, m, p.Bore, "an answer by "+string(w.Stand))
		if err != nil {
			return err
		}
	}
	if w.Stand == program {
		return s.settle(ctx, l, nil, nil)
	}
	call := s.cfg.Call
	lang := w.Lang
	if call == "" {
		call = s.bot.Words(lang, "contact.none", nil)
	}
	id := map[stand]string{guest: "chat.refused.guest", unknown: "chat.refused.unknown", twoRoles: "chat.refused.two"}[w.Stand]
	if id == "" {
		id = "chat.refused"
	}
	text := s.bot.Words(lang, id, map[string]any{"Who": call})
	return s.settle(ctx, l, []*item{s.hint(l, text)}, nil)
}

// first says whether something happens for the first time since the start.
func (s *Service) first(what string) bool {
	s.tmu.Lock()
	defer s.tmu.Unlock()
	seen := s.told[what]
	s.told[what] = true
	return !seen
}

// hint is for the eyes of whoever wrote a letter, where they wrote it.
func (s *Service) hint(l letter, text string) *item {
	it := &item{ID: s.out.id(), Op: opHint, Channel: l.Channel, User: l.User, Text: escaped(text)}
	if l.Thread != "" && !l.direct() {
		it.At = l.Thread
	}
	switch {
	case l.Respond != "" && l.Kind == commanded:
		it.Op, it.URL = opAnswer, l.Respond
	case l.direct():
		it.Op = opPost
	case l.Kind == submitted:
		it.Op, it.Channel = opPost, l.User // a form has no place of its own
	}
	return it
}

// astray answers what was typed in the channel root and looks meant for a bore.
// It is never guessed which.
func (s *Service) astray(ctx context.Context, l letter) error {
	w := s.people.who(ctx, l, false)
	bores := s.places.in(l.Channel)
	text := s.bot.Words(w.Lang, "chat.astray", map[string]any{"Bores": strings.Join(bores, ", ")})
	return s.settle(ctx, l, []*item{s.hint(l, text)}, nil)
}

// wasEdited says that a message that is changed afterwards changes no answer.
func (s *Service) wasEdited(ctx context.Context, l letter) error {
	w := s.people.who(ctx, l, false)
	if w.Stand == program {
		return s.settle(ctx, l, nil, nil)
	}
	return s.settle(ctx, l, []*item{s.hint(l, s.bot.Words(w.Lang, "chat.edited", nil))}, nil)
}

// loud is a hold, or a release that is void, as a message of its own in the
// channel. It names the people of the bore, those who must act first.
func (s *Service) loud(t place, m message, lang string) *item {
	blocks := m.Blocks
	text := escaped(m.Text)
	if names := mentions(t.People); names != "" {
		line := escaped(s.bot.Words(lang, "chat.act", nil)) + " " + names
		blocks = append(slices.Clone(blocks), slack.NewSectionBlock(marks(cut(line, maxSection)), nil, nil))
		text += "\n" + line
	}
	return &item{ID: s.out.id(), Op: opPost, Channel: t.Channel, Text: text, Blocks: encode(blocks), Owner: t.Opener}
}

// mentions calls the people of a bore, so that their telephones ring: the
// locating hand and the drill operator, who must act, first.
func mentions(people map[string]string) string {
	var all []string
	for _, role := range engine.Roles() {
		var users []string
		for user, r := range people {
			if r == role {
				users = append(users, user)
			}
		}
		slices.Sort(users)
		for _, u := range users {
			all = append(all, "<@"+u+">")
		}
	}
	return strings.Join(all, " ")
}
