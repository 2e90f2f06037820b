package quantity

import "strings"

// depth says how boldly a message is cut into parts.
type depth int

const (
	byLine  depth = iota // line ends and semicolons
	byComma              // and commas, unless tight between digits
	bySlash              // and slashes with a space on either side
	byAnd                // and the words "and", "y", and "&"
)

// cut cuts text at every separator up to how. A separator at the very end
// makes no part.
func cut(text string, how depth) []string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", ";", "\n").Replace(strings.TrimSpace(text))
	if how >= byComma {
		text = cutCommas(text)
	}
	if how >= bySlash {
		text = strings.ReplaceAll(text, " / ", "\n")
	}
	if how >= byAnd {
		text = cutWords(text)
	}
	parts := strings.Split(strings.TrimRight(text, "\n "), "\n")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// cutCommas makes a line end of every comma but those tight between digits.
func cutCommas(text string) string {
	b := []byte(text)
	for i := range b {
		between := i > 0 && isDigit(b[i-1]) && startsDigit(text[i+1:])
		if b[i] == ',' && !between {
			b[i] = '\n'
		}
	}
	return string(b)
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// cutWords makes a line end of the words "and", "y" and of "&", and drops them
// behind another separator (", and"). One that is a whole line stays, for it
// may be the y of a yes. A capital Y stays too, for it may be an initial,
// unless all is in capitals.
func cutWords(text string) string {
	caps := text == strings.ToUpper(text)
	lines := strings.Split(text, "\n")
	for n, line := range lines {
		fields := strings.Fields(line)
		var b strings.Builder
		for i, f := range fields {
			joins := f == "and" || f == "y" || f == "&" || (caps && (f == "AND" || f == "Y"))
			switch last := i == len(fields)-1; {
			case joins && !last && i > 0:
				b.WriteByte('\n')
			case joins && !last && n > 0:
			default:
				b.WriteString(" " + f)
			}
		}
		lines[n] = b.String()
	}
	return strings.Join(lines, "\n")
}

// tightComma reports whether a comma stands between two digits.
func tightComma(s string) bool {
	for i := 1; i < len(s); i++ {
		if s[i] == ',' && isDigit(s[i-1]) && startsDigit(s[i+1:]) {
			return true
		}
	}
	return false
}
