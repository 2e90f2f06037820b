package paper

import (
	"fmt"
	"strings"
	"unicode"
)

// most is how many marks in a row may stand over one letter.
const most = 2

// visible makes text that anybody may have typed safe to set: everything in it can
// be seen. What cannot, or has no letter by has, becomes [U+202E]. Line ends stay.
func visible(text string, has func(rune) bool) string {
	var b strings.Builder
	marks := 0
	for _, r := range strings.ToValidUTF8(text, "\uFFFD") {
		marks++
		if !unicode.Is(unicode.Mn, r) {
			marks = 0
		}
		switch {
		case r == '\n':
			b.WriteRune(r)
		case r == '\r':
		case r == '\t', unicode.Is(unicode.Zs, r):
			b.WriteRune(' ')
		case !unicode.IsPrint(r), looksEmpty(r), marks > most, has != nil && !has(r):
			fmt.Fprintf(&b, "[U+%04X]", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// looksEmpty lists letters and symbols that are printable and show nothing.
func looksEmpty(r rune) bool {
	switch r {
	case 0x034F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x2800, 0x3164, 0xFFA0, 0xFFFD:
		return true
	}
	return false
}

// rightToLeft are letters that a page set from the left shows in the wrong order.
func rightToLeft(r rune) bool {
	return r >= 0x0590 && r <= 0x08FF || r >= 0xFB1D && r <= 0xFDFF || r >= 0xFE70 && r <= 0xFEFF
}

// glued puts a hard space between a number and what belongs to it, so that "0.575 m"
// and "9 1/2 in" stay on one line.
func glued(text string) string {
	words := strings.Split(text, " ")
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			space := " "
			if numeric(words[i-1]) && (unit(w) || strings.Contains(w, "/") && numeric(w)) {
				space = hard
			}
			b.WriteString(space)
		}
		b.WriteString(w)
	}
	return b.String()
}

// hard is a space that no line is broken at.
const hard = "\u00A0"

func numeric(word string) bool {
	word = strings.TrimLeft(word, "(-+")
	return word != "" && len(word) < 12 && word[0] >= '0' && word[0] <= '9'
}

func unit(word string) bool {
	switch strings.TrimRight(word, ").,;:") {
	case "ft", "in", "pie", "pies", "pulg", "m", "cm", "mm", "kHz", "Hz", "dB", "%", "kV", "V", "h", "min", "s", "d", "bytes":
		return true
	}
	return false
}

// wrapped breaks text into lines no wider than width: at spaces, and within a word
// that is wider by itself. Widths add up: there is no kerning.
func wrapped(text string, width float64, measure func(string) float64) []string {
	var lines []string
	space := measure(" ")
	for _, para := range strings.Split(text, "\n") {
		line, used := "", 0.0
		for _, word := range strings.FieldsFunc(para, func(r rune) bool { return r == ' ' }) {
			w := measure(word)
			if line != "" && used+space+w <= width {
				line, used = line+" "+word, used+space+w
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			line, used = word, w
			if w > width {
				pieces := broken(word, width, measure)
				lines = append(lines, pieces[:len(pieces)-1]...)
				line = pieces[len(pieces)-1]
				used = measure(line)
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// broken cuts a word into pieces that fit, at least one letter each.
func broken(word string, width float64, measure func(string) float64) []string {
	var pieces []string
	from, used := 0, 0.0
	for at, r := range word {
		w := measure(string(r))
		if at > from && used+w > width {
			pieces = append(pieces, word[from:at])
			from, used = at, 0
		}
		used += w
	}
	return append(pieces, word[from:])
}
