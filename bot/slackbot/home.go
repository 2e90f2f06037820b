package slackbot

import (
	"context"
	"slices"

	"github.com/slack-go/slack"

	"firstrod/bot"
	"firstrod/engine"
)

// homeBores is how many bores the home tab shows at most.
const homeBores = 20

// showHome publishes the home tab of whoever opened it: what waits for them,
// their open bores, and for a safety manager what is on hold and was refused.
func (s *Service) showHome(ctx context.Context, l letter) error {
	w := s.people.who(ctx, l, false)
	view, err := s.home(ctx, w)
	if err != nil {
		return err
	}
	call, stop := context.WithTimeout(ctx, s.cfg.Patience)
	defer stop()
	// A view is absolute: publishing it twice does no harm.
	_, err = again(call, func() (*slack.ViewResponse, error) {
		return s.api.PublishViewContext(call, slack.PublishViewContextRequest{UserID: l.User, View: view})
	})
	if err != nil && ctx.Err() == nil {
		s.health.trouble("a home tab could not be shown", err)
	}
	return s.settle(ctx, l, nil, nil)
}

func (s *Service) home(ctx context.Context, w who) (slack.HomeTabViewRequest, error) {
	say := func(id string) string { return s.bot.Words(w.Lang, id, nil) }
	h := &tab{}
	if w.Stand != mayAnswer {
		h.line(say("chat.home.nobody"))
		return h.view(), nil
	}
	lines, err := s.bot.Overview(ctx, w.Lang, homeBores*5)
	if err != nil {
		return slack.HomeTabViewRequest{}, err
	}
	h.section(s, say("chat.home.waits"), say("chat.home.nothing"), pick(lines, func(b bot.Line) bool { return s.waitsFor(b, w) }), true)
	h.section(s, say("chat.home.mine"), say("chat.home.none"), pick(lines, func(b bot.Line) bool { return s.mine(b, w) }), false)
	if w.Role == engine.RoleSafetyManager {
		if err := s.homeNotices(ctx, h, w.Lang); err != nil {
			return slack.HomeTabViewRequest{}, err
		}
		held := func(b bot.Line) bool { return b.Verdict == engine.OnHold || b.Held }
		h.section(s, say("chat.home.held"), say("chat.home.none"), pick(lines, held), false)
		tried, err := s.bot.Refused(ctx, homeBores)
		if err != nil {
			return slack.HomeTabViewRequest{}, err
		}
		h.head(say("chat.home.refused"))
		if len(tried) == 0 {
			h.line(say("chat.home.none"))
		}
		for _, t := range tried {
			h.line(t.Bore + ": " + t.Who + ". " + t.Why)
			h.note(marks(shown(t.At, nil)))
		}
	}
	return h.view(), nil
}

// homeNotices puts what stands and concerns the rules on a safety manager's tab.
func (s *Service) homeNotices(ctx context.Context, h *tab, lang string) error {
	all, err := s.notices(ctx)
	if err != nil || len(all) == 0 {
		return err
	}
	h.head(s.bot.Words(lang, "chat.home.notices", nil))
	for _, n := range all {
		h.line(n.Text)
		h.note(marks(shown(n.At, nil)))
	}
	return nil
}

func pick(lines []bot.Line, want func(bot.Line) bool) []bot.Line {
	var all []bot.Line
	for _, l := range lines {
		if want(l) && len(all) < homeBores {
			all = append(all, l)
		}
	}
	return all
}

// mine: a bore that somebody opened or spoke on.
func (s *Service) mine(b bot.Line, w who) bool {
	t, ok := s.places.thread(b.Bore)
	_, took := t.People[w.User]
	return ok && took
}

// waitsFor: a bore of theirs whose next answer is for their role, or that they
// could sign and have not.
func (s *Service) waitsFor(b bot.Line, w who) bool {
	if !s.mine(b, w) {
		return false
	}
	if b.Verdict == engine.Signable {
		return !slices.Contains(b.Signed, w.Ref)
	}
	return b.Next != "" && (len(b.Who) == 0 || slices.Contains(b.Who, w.Role))
}

// tab collects the blocks of a home tab, up to what it may have.
type tab struct{ blocks []slack.Block }

func (h *tab) add(b slack.Block) {
	if len(h.blocks) < maxViewBlocks {
		h.blocks = append(h.blocks, b)
	}
}

func (h *tab) head(text string) { h.add(slack.NewHeaderBlock(plainText(cut(text, maxHeader)))) }
func (h *tab) line(text string) {
	h.add(slack.NewSectionBlock(plainText(cut(text, maxSection)), nil, nil))
}
func (h *tab) note(text slack.MixedElement) { h.add(slack.NewContextBlock("", text)) }

func (h *tab) section(s *Service, title, empty string, lines []bot.Line, next bool) {
	h.head(title)
	if len(lines) == 0 {
		h.line(empty)
	}
	for _, b := range lines {
		text := b.Head
		if next && b.Next != "" {
			text += "\n" + b.Next
		}
		h.line(text)
		if t, ok := s.places.thread(b.Bore); ok {
			if _, posted := s.places.where(t.Parent); posted {
				h.note(marks("<" + s.link(t) + "|" + escaped(b.Bore) + ">"))
			}
		}
	}
}

func (h *tab) view() slack.HomeTabViewRequest {
	return slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: h.blocks}}
}
