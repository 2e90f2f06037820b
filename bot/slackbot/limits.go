package slackbot

// The documented limits of the chat service that this package keeps to. They
// are those of the published block types (@slack/types 3.2.0 and its comments)
// and of the Block Kit reference, but for two: the sum of all block text is not
// documented (about 13,200 characters, reported by a user of its JavaScript
// library), and the pace of posts is "about one message a second and channel".
// All lengths are in characters.
const (
	maxBlocks     = 50     // blocks of one message
	maxViewBlocks = 100    // blocks of a modal or home tab
	maxText       = 12_000 // text of one message, under the 13,200 of all its blocks
	maxSection    = 3_000  // text of a section
	maxHeader     = 150    // text of a header
	maxButtons    = 25     // elements of an actions block
	maxContext    = 10     // elements of a context block
	maxLabel      = 75     // text and accessibility label of a button
	maxValue      = 2_000  // value of a button
	maxTitle      = 24     // title, submit and close of a modal
	maxAlt        = 2_000  // alternative text of a picture
	maxHint       = 150    // placeholder of an input
	maxInput      = 2_000  // label and hint of an input
)

// cut shortens a text to at most n characters, with an ellipsis where something
// is missing. It never leaves half a character.
func cut(text string, n int) string {
	runes := []rune(text)
	if len(runes) <= n {
		return text
	}
	return string(runes[:n-1]) + "…"
}
