package quantity

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// readYesNos reads a group of only yes or no answers.
func readYesNos(text string, ws []Want) []Reading {
	switch fold(text) {
	case "all yes", "yes all", "yes to all", "todo si", "todos si", "todas si", "si a todo", "si todo":
		return slices.Repeat([]Reading{{Outcome: Exact, Value: OfYes(true)}}, len(ws))
	case "all no", "no to all", "todo no", "todos no", "todas no", "no a todo":
		return slices.Repeat([]Reading{{Outcome: Exact, Value: OfYes(false)}}, len(ws))
	}
	words := yesNoWords(text)
	if len(words) == 1 && readYesNo(words[0]).refuse == nil {
		return all(*because(OneForMany, "wanted", strconv.Itoa(len(ws))), len(ws))
	}
	if len(words) != len(ws) {
		return all(*because(PartCount, "wanted", strconv.Itoa(len(ws)), "seen", strconv.Itoa(len(words))), len(ws))
	}
	readings := make([]Reading, len(ws))
	for i, w := range ws {
		readings[i] = Read(words[i], w)
	}
	return readings
}

// yesNoWords cuts a group of answers into words. A "y" is a yes among single
// letters ("y y n") and an "and" among whole words ("sí y no").
func yesNoWords(text string) []string {
	words := strings.FieldsFunc(fold(text), func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune(",;/&.", r)
	})
	words = slices.DeleteFunc(words, func(w string) bool { return w == "and" })
	if strings.Trim(strings.Join(words, ""), "yn") == "" && letters(words) {
		return words
	}
	var out []string
	for i, w := range words {
		joins := w == "y" && i > 0 && i < len(words)-1 && words[i-1] != "y" && words[i+1] != "y"
		if !joins {
			out = append(out, w)
		}
	}
	return out
}

func letters(words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return len(w) != 1 })
}
