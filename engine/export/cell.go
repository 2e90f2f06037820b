package export

import (
	"regexp"
	"strings"
)

// plainNumber is what a spreadsheet takes as a number and as nothing else.
var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?$`)

// Cell is a text as it can stand in a CSV file that somebody opens in a
// spreadsheet. One that begins like a formula gets an apostrophe in front of it,
// so that it is shown and never run; a number stays a number. That is the advice
// of OWASP on CSV injection (from memory): = + - @, tab and carriage return; line
// feed and the wide forms of the four signs are treated the same.
func Cell(s string) string {
	if s == "" || plainNumber.MatchString(s) {
		return s
	}
	if strings.HasPrefix(s, "'") || strings.IndexAny(s, "=+-@\t\r\n＝＋－＠") == 0 {
		return "'" + s
	}
	return s
}

// Uncell gives the text that Cell was given.
func Uncell(s string) string {
	return strings.TrimPrefix(s, "'")
}
