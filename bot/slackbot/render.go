package slackbot

import (
	"encoding/json"
	"strings"
	"unicode/utf8"

	"github.com/slack-go/slack"

	"firstrod/bot"
)

// message is one message, ready to be sent.
type message struct {
	Text    string // all of it: screen readers and notifications take this, not the blocks
	Blocks  []slack.Block
	Release bool // the channel sees it too
	Loud    bool // it is also a message of its own in the channel
	Exact   bool // it goes with a release
	Ask     *bot.Ask
}

// Everything that came from people or rules goes out as plain text: nothing in
// it can be taken for a mark of the chat.
func plainText(text string) *slack.TextBlockObject {
	return &slack.TextBlockObject{Type: slack.PlainTextType, Text: text}
}

func marks(text string) *slack.TextBlockObject {
	return &slack.TextBlockObject{Type: slack.MarkdownType, Text: text}
}

// render makes messages of a reply: what was done first, then the question. A
// release is a message of its own, and so is what is loud.
func (s *Service) render(r *bot.Reply) []message {
	var all []message
	var usual []bot.Part
	flush := func() {
		all = append(all, build(usual)...)
		usual = nil
	}
	for i, p := range r.Parts {
		switch {
		case p.Weight == bot.Release:
			flush()
			parts := []bot.Part{p}
			if i+1 < len(r.Parts) && r.Parts[i+1].Weight == bot.Caution {
				parts = append(parts, r.Parts[i+1])
			}
			all = append(all, flagged(build(parts), true, false)...)
		case p.Weight == bot.Loud:
			flush()
			all = append(all, flagged(build([]bot.Part{p}), false, true)...)
		case p.Weight == bot.Exact && utf8.RuneCountInString(p.Text) <= maxSection && strings.Contains(strings.TrimSpace(p.Text), "\n"):
			flush()
			all = append(all, exact(p.Text))
		case p.Weight == bot.Caution && i > 0 && r.Parts[i-1].Weight == bot.Release:
		default:
			usual = append(usual, p)
		}
	}
	if r.Ask == nil {
		flush()
		return all
	}
	return append(all, s.question(usual, r.Ask, r.Lang)...)
}

// exact is what is copied to the letter: the first line says what it is, the rest
// is shown as it stands.
func exact(text string) message {
	what, rest, _ := strings.Cut(text, "\n")
	say := slack.NewRichTextSection(slack.NewRichTextSectionTextElement(what, nil))
	as := &slack.RichTextPreformatted{Type: slack.RTEPreformatted, Elements: []slack.RichTextSectionElement{slack.NewRichTextSectionTextElement(rest, nil)}}
	return message{Text: text, Blocks: []slack.Block{slack.NewRichTextBlock("", say, as)}, Exact: true}
}

func flagged(all []message, release, loud bool) []message {
	for i := range all {
		all[i].Release, all[i].Loud = release, loud
	}
	return all
}

// question puts the question behind what was said before it, in one message
// where they fit.
func (s *Service) question(before []bot.Part, ask *bot.Ask, lang string) []message {
	all := build(before)
	blocks, text := s.askBlocks(ask, lang)
	if n := len(all); n > 0 && len(all[n-1].Blocks)+len(blocks) <= maxBlocks && size(all[n-1])+utf8.RuneCountInString(text) <= maxText {
		all[n-1].Text += "\n\n" + text
		all[n-1].Blocks = append(all[n-1].Blocks, blocks...)
		all[n-1].Ask = ask
		return all
	}
	return append(all, message{Text: text, Blocks: blocks, Ask: ask})
}

func size(m message) int { return utf8.RuneCountInString(m.Text) }

// askBlocks is a question: where we are, what is asked, and a button for each
// answer where those are few. What a button says can be typed as well.
func (s *Service) askBlocks(ask *bot.Ask, lang string) ([]slack.Block, string) {
	var blocks []slack.Block
	text := ""
	if ask.Where != "" {
		text = ask.Where + "\n"
		blocks = append(blocks, slack.NewContextBlock("", plainText(cut(ask.Where, maxSection))))
	}
	for _, piece := range split(ask.Text, maxSection) {
		blocks = append(blocks, slack.NewSectionBlock(plainText(piece), nil, nil))
	}
	text += ask.Text
	if len(ask.Options) == 0 || len(ask.Options) > maxButtons {
		return blocks, text
	}
	var buttons []slack.BlockElement
	for i, o := range ask.Options {
		b := slack.NewButtonBlockElement(answerAction+string(rune('a'+i)), cut(ask.ID+valueSplit+o, maxValue), plainText(cut(o, maxLabel)))
		b.AccessibilityLabel = cut(o+": "+firstLine(ask.Text), maxLabel)
		buttons = append(buttons, b)
	}
	hint := s.bot.Words(lang, "chat.options", map[string]any{"Options": strings.Join(ask.Options, " / ")})
	blocks = append(blocks, slack.NewActionBlock("ask", buttons...), slack.NewContextBlock("", plainText(cut(hint, maxSection))))
	return blocks, text + "\n" + hint
}

// build makes as few messages of parts as the limits allow.
func build(parts []bot.Part) []message {
	var all []message
	var now message
	for _, p := range parts {
		for _, b := range partBlocks(p) {
			full := len(now.Blocks) == maxBlocks || size(now)+utf8.RuneCountInString(b.text)+2 > maxText
			if full && len(now.Blocks) > 0 {
				all, now = append(all, now), message{}
			}
			if now.Text != "" {
				now.Text += "\n"
			}
			now.Text += b.text
			now.Blocks = append(now.Blocks, b.block)
		}
	}
	if len(now.Blocks) > 0 {
		all = append(all, now)
	}
	return all
}

type textBlock struct {
	block slack.Block
	text  string
}

// partBlocks is one part. What is loud, and a release, has its first line as a
// header; the words carry the meaning, the header adds weight.
func partBlocks(p bot.Part) []textBlock {
	var all []textBlock
	text := strings.TrimSpace(strings.ReplaceAll(p.Text, "\r", ""))
	if p.Weight == bot.Sheet {
		text = strings.TrimRight(p.Text, "\n ")
	}
	if p.Weight == bot.Loud || p.Weight == bot.Release {
		first, rest, _ := strings.Cut(text, "\n")
		if utf8.RuneCountInString(first) <= maxHeader {
			all = append(all, textBlock{slack.NewHeaderBlock(plainText(first)), first})
			text = strings.TrimSpace(rest)
		}
	}
	for _, piece := range split(text, maxSection) {
		all = append(all, textBlock{slack.NewSectionBlock(plainText(piece), nil, nil), piece})
	}
	return all
}

// split cuts a text into pieces of at most n characters, between lines where it
// can, else between words. No piece is empty.
func split(text string, n int) []string {
	var all []string
	for strings.TrimSpace(text) != "" {
		runes := []rune(text)
		if len(runes) <= n {
			return append(all, text)
		}
		head := string(runes[:n])
		at := strings.LastIndex(head, "\n")
		if at <= 0 {
			at = strings.LastIndex(head, " ")
		}
		if at <= 0 {
			at = len(head)
		}
		if piece := strings.TrimRight(text[:at], "\n "); piece != "" {
			all = append(all, piece)
		}
		text = strings.TrimLeft(text[at:], "\n")
	}
	return all
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

func encode(blocks []slack.Block) json.RawMessage {
	raw, err := json.Marshal(slack.Blocks{BlockSet: blocks})
	if err != nil {
		return nil // the text goes alone
	}
	return raw
}

// settled is a question without its buttons, and what became of it.
func settled(q asked, note *slack.TextBlockObject, when *slack.TextBlockObject) json.RawMessage {
	var was slack.Blocks
	if json.Unmarshal(q.Blocks, &was) != nil {
		return nil
	}
	var blocks []slack.Block
	for i, b := range was.BlockSet {
		_, buttons := b.(*slack.ActionBlock)
		_, hint := b.(*slack.ContextBlock)
		if buttons || hint && i == len(was.BlockSet)-1 {
			continue
		}
		blocks = append(blocks, b)
	}
	elements := []slack.MixedElement{note}
	if when != nil {
		elements = append(elements, when)
	}
	return encode(append(blocks, slack.NewContextBlock("", elements...)))
}
