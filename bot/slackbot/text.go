package slackbot

import (
	"regexp"
	"strings"
)

// marked is what the chat puts in angle brackets: links, mentions, dates.
var marked = regexp.MustCompile(`<([^<>|]*)(?:\|([^<>]*))?>`)

// plain is a message as it was typed: the chat turns telephone numbers and
// addresses into links, and escapes three signs. Mentions of people become their
// id; a mention at the start is whom it was said to, and goes.
func plain(text string) string {
	text = marked.ReplaceAllStringFunc(text, func(m string) string {
		parts := marked.FindStringSubmatch(m)
		target, label := parts[1], parts[2]
		switch {
		case label != "":
			return label
		case strings.HasPrefix(target, "@"), strings.HasPrefix(target, "#"):
			return target
		case strings.HasPrefix(target, "!"):
			return "@" + target[1:]
		}
		return strings.TrimPrefix(strings.TrimPrefix(target, "tel:"), "mailto:")
	})
	return strings.TrimSpace(strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(text))
}

// without takes a mention of the bot out of a text.
func without(text, user string) string {
	return strings.TrimSpace(strings.ReplaceAll(text, "@"+user, ""))
}

// escaped is a text for the top of a message, where three signs mean something.
func escaped(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(text)
}
