package engine

import (
	"slices"
	"strings"

	"firstrod/engine/ledger"
)

// Known is what is known of a jurisdiction that somebody typed.
type Known struct {
	Here   bool     // it has rules of its own
	Holds  string   // the narrowest place around it that has; "" for the base alone
	Near   string   // a place with rules of its own that was probably meant; "" when none is close
	Others []string // the places inside Holds with rules of their own
}

// Look holds a jurisdiction against the places that have rules of their own.
func Look(places []string, code string) Known {
	if code == "" || slices.Contains(places, code) {
		return Known{Here: true, Holds: code}
	}
	k := Known{}
	for k.Holds = ledger.Wider(code); k.Holds != "" && !slices.Contains(places, k.Holds); {
		k.Holds = ledger.Wider(k.Holds)
	}
	for _, p := range places {
		if p != "" && Inside(p, k.Holds) {
			k.Others = append(k.Others, p)
		}
	}
	k.Near = near(places, k.Others, code)
	return k
}

// Doubtful says that rules of a place may be missed by a slip: where others near it
// or beside it have rules of their own, one wrong letter would leave them out.
func (k Known) Doubtful() bool { return !k.Here && (k.Near != "" || len(k.Others) > 0) }

// Inside says whether a place lies in another one and is not that place itself.
func Inside(place, around string) bool {
	country := !strings.ContainsAny(around, "-/")
	return around == "" || strings.HasPrefix(place, around+"/") || country && strings.HasPrefix(place, around+"-")
}

// near is the place that was probably meant: beside it first, then anywhere.
func near(places, beside []string, code string) string {
	_, county, below := strings.Cut(code, "/")
	if !below {
		return nearState(places, code)
	}
	for _, among := range [][]string{beside, places} {
		var all []string
		for _, p := range among {
			if _, tail, ok := strings.Cut(p, "/"); ok && !Inside(code, p) {
				if all = append(all, p); tail == county || named(county, p) {
					return p
				}
			}
		}
		if best := Nearest(code, all); best != "" {
			return best
		}
	}
	return ""
}

// named says whether the last name of a place is part of what was typed:
// "county-of-alder" names US-VA/alder.
func named(typed, place string) bool {
	last := place[strings.LastIndexByte(place, '/')+1:]
	return strings.Contains("-"+strings.ReplaceAll(typed, "/", "-")+"-", "-"+last+"-")
}

// nearState is a state or country that differs by one slip, if there is just one, or the one
// whose country was left out: VA is US-VA. Any more would be a guess.
func nearState(places []string, code string) string {
	var all []string
	for _, p := range places {
		_, state, _ := strings.Cut(p, "-")
		switch {
		case p == "" || strings.Contains(p, "/"):
		case state == code:
			return p
		case Alike(p, code):
			all = append(all, p)
		}
	}
	if len(all) == 1 {
		return all[0]
	}
	return ""
}
