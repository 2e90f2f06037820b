package slackbot

import (
	"context"
	"strings"

	"github.com/slack-go/slack"

	"firstrod/bot"
	"firstrod/engine"
)

// status is how a bore stands, in the language of its thread.
type status struct {
	line  bot.Line
	sheet string
	lang  string
}

func (s *Service) status(ctx context.Context, bore, lang string) (status, error) {
	if bore == "" {
		return status{}, nil
	}
	s.turns <- struct{}{}
	defer func() { <-s.turns }()
	line, sheet, err := s.bot.Status(ctx, bore, lang)
	return status{line, sheet, lang}, err
}

// summary is the message that opens a thread and stays pinned: how the bore
// stands. It is a view; the ledger decides.
func (s *Service) summary(how status) (text string, blocks []slack.Block) {
	lang, line := how.lang, how.line
	head, rest, _ := strings.Cut(how.sheet, "\n")
	blocks = []slack.Block{slack.NewHeaderBlock(plainText(cut(head, maxHeader)))}
	for i, piece := range split(rest, maxSection) {
		if i == summarySections {
			more := s.bot.Words(lang, "chat.more", nil)
			blocks = append(blocks, slack.NewSectionBlock(plainText(more), nil, nil))
			break
		}
		blocks = append(blocks, slack.NewSectionBlock(plainText(piece), nil, nil))
	}
	foot := []slack.MixedElement{plainText(s.bot.Words(lang, "chat.thread", map[string]any{"Bore": line.Bore}))}
	if line.Verdict == engine.Ready {
		foot = append(foot, marks(escaped(s.bot.Words(lang, "chat.until", nil))+" "+shown(line.Until, line.Zone)))
	}
	return cut(how.sheet, maxText), append(blocks, slack.NewContextBlock("", foot...))
}

// summarySections is how much of a long board the summary shows, three thousand
// characters each; "status" shows all of it.
const summarySections = 3

// summaryItem brings the summary of a bore up to date, at most once a second.
func (s *Service) summaryItem(t place, how status) *item {
	text, blocks := s.summary(how)
	return &item{
		ID: s.out.id(), Op: opUpdate, Channel: t.Channel, Of: t.Parent, Text: escaped(text), Blocks: encode(blocks), Once: "summary/" + t.Bore,
	}
}
