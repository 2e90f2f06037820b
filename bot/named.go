package bot

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"firstrod/engine"
)

// wanted is a bore to be opened, or to be moved, and where.
type wanted struct {
	move  bool   // the room's bore is meant
	bore  string // the name of a new one
	place string // as it was typed
	zone  string
	code  string // jurisdiction
	given bool   // the message has a jurisdiction, or says none
	sure  bool   // and a yes behind it
}

// opening reads what stands behind "new": a name, a place, and from the end of it a
// time zone, a jurisdiction or none, and a yes for one that would be asked about.
// What looks like a jurisdiction and is none comes back as odd.
func (b *Bot) opening(rest string) (w wanted, odd string) {
	w.zone, w.code = b.zone, b.jurisdiction
	w.bore, w.place, _ = strings.Cut(rest, ",")
	for i := strings.LastIndex(w.place, ","); i >= 0; i = strings.LastIndex(w.place, ",") {
		last := strings.TrimSpace(w.place[i+1:])
		code, ok := jurisdiction(last)
		yes, _ := yesNo(last)
		_, err := time.LoadLocation(last)
		head, _, below := strings.Cut(last, "/")
		switch {
		case yes && !w.sure:
			w.sure = true
		case isNone(last):
			w.code, w.given = "", true
		case ok:
			w.code, w.given = code, true
		case below && err != nil && isPlace(head):
			return w, last
		case below:
			w.zone = last
		default:
			return w.settled(), ""
		}
		w.place = w.place[:i]
	}
	return w.settled(), ""
}

// settled: a place that is written as a jurisdiction is one, and a yes is about the
// jurisdiction in front of it, and about nothing else.
func (w wanted) settled() wanted {
	if code, ok := jurisdiction(w.place); ok && !w.given && strings.ContainsAny(code, "-/") {
		w.code, w.given = code, true
	}
	w.sure = w.sure && w.given
	return w
}

func isPlace(text string) bool { _, ok := jurisdiction(text); return ok }

// again is the message that opens such a bore in a jurisdiction.
func (b *Bot) again(r *room, w wanted, ends ...string) string {
	parts := []string{b.say(r, "place.new", nil) + " " + strings.TrimSpace(w.bore), strings.TrimSpace(w.place)}
	if w.zone != b.zone {
		parts = append(parts, w.zone)
	}
	return strings.Join(append(parts, ends...), ", ")
}

// named is the place with rules of its own that a text names, in any language: by
// its code, the title of its pack, or the name of its state. The narrowest one wins,
// in the state that is named if one is; where two are, in the one named last.
func (b *Bot) named(text string) string {
	in := wordsOf(text)
	places := b.engine.Places()
	state, at, length := "", -1, 0
	for _, p := range places {
		if p == "" || strings.Contains(p, "/") {
			continue
		}
		for _, n := range append(b.namesOf(p), wordsOf(p)) {
			if end := lastIn(in, n); end > at || end == at && end >= 0 && len(n) > length {
				state, at, length = p, end, len(n)
			}
		}
	}
	if state == "" {
		state = abbreviated(text, places)
	}
	best := state
	for _, p := range places {
		head, tail, below := strings.Cut(p, "/")
		if !below || state != "" && head != state || strings.Count(p, "/") <= strings.Count(best, "/") {
			continue
		}
		names := append(b.namesOf(p), wordsOf(p))
		if state != "" {
			names = append(names, wordsOf(tail[strings.LastIndexByte(tail, '/')+1:]))
		}
		if slices.ContainsFunc(names, func(n []string) bool { return lastIn(in, n) >= 0 }) {
			best = p
		}
	}
	return best
}

// namesOf are the names of a place in every language: the title of its pack, up to a
// colon, and of a state also the name that everybody knows.
func (b *Bot) namesOf(place string) [][]string {
	var all [][]string
	for _, lang := range Languages() {
		if id := "place." + place; b.words.text(lang, id, nil) != id {
			all = append(all, wordsOf(b.words.text(lang, id, nil)))
		}
		for _, l := range b.engine.Catalogue(place).Layers {
			if l.Holds == place && !l.Row {
				all = append(all, wordsOf(titleOf(l, lang)))
			}
		}
	}
	return all
}

// titleOf is the title of a pack, up to a colon: what comes after it says what the
// pack is about, not where.
func titleOf(l engine.Layer, lang string) string {
	title, _, _ := strings.Cut(l.Title.In(lang), ":")
	return title
}

// abbreviated is the state whose two letters end a text in capitals: "Alder Mill VA".
func abbreviated(text string, places []string) string {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return ""
	}
	for _, p := range places {
		if _, letters, _ := strings.Cut(p, "-"); letters == strings.Trim(fields[len(fields)-1], ".") {
			return p
		}
	}
	return ""
}

// wordsOf cuts a text into folded words.
func wordsOf(text string) []string {
	return strings.FieldsFunc(fold(text), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
}

// lastIn is where some words end in a text, the last time they stand in it one after
// the other; -1 if they do not.
func lastIn(text, words []string) int {
	for i := len(text) - len(words); i >= 0 && len(words) > 0; i-- {
		if slices.Equal(text[i:i+len(words)], words) {
			return i + len(words)
		}
	}
	return -1
}
