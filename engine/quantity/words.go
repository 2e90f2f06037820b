package quantity

import (
	"slices"
	"strconv"
	"strings"
)

// readYesNo takes a plain yes or no in English or Spanish and nothing else.
func readYesNo(text string) draft {
	switch word := fold(text); word {
	case "yes", "y", "yeah", "yep", "yup", "affirmative", "si", "s", "afirmativo", "afirmativa":
		return draft{value: OfYes(true)}
	case "no", "n", "nope", "nah", "negative", "negativo", "negativa":
		return draft{value: OfYes(false)}
	case "ok", "okay", "okey":
		// May mean "heard" as well as "yes".
		return draft{value: OfYes(true), doubts: []Reason{*because(OkUnclear, "seen", word)}}
	default:
		return refused(NotYesNo, "seen", plainSpace(text))
	}
}

// readChoice finds the option whose ID or word was typed, or begins so.
func readChoice(text string, options []Option) draft {
	typed := fold(text)
	hits := matching(options, func(w string) bool { return w == typed })
	if len(hits) == 0 && len([]rune(typed)) >= 3 {
		hits = matching(options, func(w string) bool { return strings.HasPrefix(w, typed) })
	}
	switch len(hits) {
	case 0:
		all := matching(options, func(string) bool { return true })
		return refused(NoSuchChoice, "seen", plainSpace(text), "choices", strings.Join(all, ", "))
	case 1:
		v := OfText(Choice, hits[0])
		if !v.Valid() {
			return refused(BadQuestion, "why", strconv.Quote(hits[0])+" cannot be the ID of an option")
		}
		return draft{value: v}
	default:
		return refused(ChoiceUnclear, "seen", plainSpace(text), "choices", strings.Join(hits, ", "))
	}
}

// matching lists the IDs of the options of which some folded word is a hit.
func matching(options []Option, hit func(string) bool) []string {
	var ids []string
	for _, o := range options {
		words := append([]string{o.ID}, o.Words...)
		found := slices.ContainsFunc(words, func(w string) bool { return hit(fold(w)) })
		if found && !slices.Contains(ids, o.ID) {
			ids = append(ids, o.ID)
		}
	}
	return ids
}

// readNames reads names between commas, semicolons, line ends, "and" or "y".
func readNames(text string) draft {
	switch fold(text) {
	case "none", "no", "nobody", "no one", "ninguno", "ninguna", "ningunos", "ningunas", "nadie", "nada":
		return draft{value: OfList(Names)}
	}
	items := cut(text, byAnd)
	if len(items) > Names.most() {
		return refused(TooMany, "most", strconv.Itoa(Names.most()))
	}
	var names []Value
	for _, name := range items {
		name, bad := cleanText(Text, name)
		switch {
		case bad != nil && bad.Code == Empty:
			return refused(ItemMissing, "seen", plainSpace(text))
		case bad != nil && bad.Code != TextLength:
			return draft{refuse: bad}
		case bad != nil || !nameLength(name):
			return refused(NameLength, "most", strconv.Itoa(maxName))
		case notAName(fold(name)):
			return refused(NamesWanted, "item", name)
		}
		v := OfText(Text, name)
		if twice(names, v) {
			return refused(Duplicate, "item", name)
		}
		names = append(names, v)
	}
	return draft{value: OfList(Names, names...)}
}

// notAName reports whether a folded word answers some other question: "yes",
// "no" beside names, "0", "no lines". Single letters may be names, but for y.
func notAName(word string) bool {
	switch word {
	case "0", "zero", "cero", "nothing", "nada", "none", "n/a", "na", "ninguno", "ninguna", "y", "?":
		return true
	}
	answer := len(word) > 1 && readYesNo(word).refuse == nil
	return answer || strings.HasPrefix(word, "no ") || strings.HasPrefix(word, "sin ")
}
