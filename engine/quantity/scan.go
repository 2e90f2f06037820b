package quantity

import (
	"strings"
	"unicode"
)

// sort is the sort of a token.
type sort int

const (
	end    sort = iota // past the last token
	number             // digits, with points and commas inside
	word               // a unit, or what stands in its place
	sign               // one of - + / ,
)

// token is one piece of a typed measure.
type token struct {
	sort  sort
	text  string
	tight bool // no space before it
}

// scan cuts a straightened text into tokens.
func scan(s string) ([]token, *Reason) {
	var tokens []token
	for rest, tight := s, true; rest != ""; {
		if trimmed := strings.TrimLeft(rest, " "); trimmed != rest {
			rest, tight = trimmed, false
			continue
		}
		t := next(rest)
		if t.sort == end {
			return nil, because(NumberForm, "seen", string([]rune(rest)[0]))
		}
		rest = rest[len(t.text):]
		if t.sort == word && strings.HasPrefix(rest, ".") && !startsDigit(rest[1:]) {
			rest = rest[1:] // the dot of an abbreviation: "10 ft. 2 in."
		}
		t.tight = tight
		tokens, tight = append(tokens, t), true
	}
	return tokens, nil
}

// next is the token that s, which has no space in front, begins with.
func next(s string) token {
	switch c := s[0]; {
	case startsDigit(s) || (c == '.' && startsDigit(s[1:])):
		return token{sort: number, text: s[:numberLength(s)]}
	case strings.IndexByte(`'"%`, c) >= 0:
		return token{sort: word, text: s[:1]}
	case strings.IndexByte("-+/,", c) >= 0:
		return token{sort: sign, text: s[:1]}
	}
	n := strings.IndexFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r)
	})
	switch n {
	case 0:
		return token{}
	case -1:
		return token{sort: word, text: s}
	default:
		return token{sort: word, text: s[:n]}
	}
}

// numberLength is how far the number at the start of s goes: a point or comma
// belongs to it only with a digit behind.
func numberLength(s string) int {
	for i := range len(s) {
		separator := (s[i] == '.' || s[i] == ',') && startsDigit(s[i+1:])
		if !startsDigit(s[i:]) && !separator {
			return i
		}
	}
	return len(s)
}

func startsDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }
