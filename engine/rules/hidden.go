package rules

import (
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"
)

// seen refuses what is hidden. Only a text over several lines has line ends.
func (r *reader) seen(n *yaml.Node) bool {
	text := n.Value
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		text = strings.ReplaceAll(text, "\n", "")
	}
	if c := hidden(text); c != 0 {
		r.fault(n, "this text has a character in it that is not seen (%U); write it anew without", c)
		return false
	}
	return true
}

// hidden is the first character of a text that moves the cursor, turns the way of
// writing round or is not seen; 0 where there is none. Texts are shown in terminals,
// where such a character could make them read as another text.
func hidden(text string) rune {
	for _, c := range text {
		if c >= ' ' && c <= '~' {
			continue
		}
		if unicode.In(c, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Co) {
			return c
		}
	}
	return 0
}
