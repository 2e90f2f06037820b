package paper

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestVisible(t *testing.T) {
	ascii := func(r rune) bool { return r < 0x80 }
	for _, c := range []struct {
		in, want string
		has      func(rune) bool
	}{
		{"Dana Reyes", "Dana Reyes", nil},
		{"a\tb\u00a0c\u2003d", "a b c d", nil},
		{"a\r\nb", "a\nb", nil},
		{"a\x00b\x1bc", "a[U+0000]b[U+001B]c", nil},
		{"a\u202eb\u2066c\u200d", "a[U+202E]b[U+2066]c[U+200D]", nil},
		{"a\u2028b\ufeff", "a[U+2028]b[U+FEFF]", nil},
		{"\u3164\u2800", "[U+3164][U+2800]", nil},
		{"a\xffb", "a[U+FFFD]b", nil},
		{"e\u0301\u0302\u0303\u0304", "e\u0301\u0302[U+0303][U+0304]", nil},
		{"😀ñ", "😀ñ", nil},
		{"😀ñ", "[U+1F600][U+00F1]", ascii},
	} {
		if got := visible(c.in, c.has); got != c.want {
			t.Errorf("%q: %q, want %q", c.in, got, c.want)
		}
	}
}

// Whatever anybody types: no line is wider than its room, and nothing is lost.
func TestNoLineIsTooWide(t *testing.T) {
	measure := func(s string) float64 { return float64(utf8.RuneCountInString(s)) }
	rapid.Check(t, func(t *rapid.T) {
		text := visible(rapid.String().Draw(t, "text"), nil)
		width := float64(rapid.IntRange(1, 40).Draw(t, "width"))
		lines := wrapped(glued(text), width, measure)
		for _, l := range lines {
			if measure(l) > width {
				t.Fatalf("%q is wider than %v", l, width)
			}
		}
		all := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if got, want := all(strings.Join(lines, "\n")), all(text); got != want {
			t.Fatalf("%q became %q", want, got)
		}
	})
}

func TestNumbersStayWithTheirUnits(t *testing.T) {
	measure := func(s string) float64 { return float64(utf8.RuneCountInString(s)) }
	for text, want := range map[string]string{
		"reads 4 ft 9 1/2 in (1.461 m), short": "reads 4 ft|9 1/2 in|(1.461 m),|short",
		"one in two":                           "one in two",
		"9.5 kHz, 22 kHz":                      "9.5 kHz,|22 kHz",
	} {
		got := strings.ReplaceAll(strings.Join(wrapped(glued(text), 10, measure), "|"), hard, " ")
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
