package rules

import (
	"strings"

	"firstrod/engine"
)

// maxLikely is how many states are proposed for one that is none.
const maxLikely = 3

// states refuses a pack for a state that the one-call table does not have: no bore of
// a crew that writes its state as it is would be judged by it. Rules that were kept
// with a ledger are past that, and load as they were.
func (sh *shelf) states() error {
	out := &faults{}
	for _, t := range sh.local {
		sh.stateOf(t.overlay, out)
	}
	return out.err()
}

func (sh *shelf) stateOf(o *overlay, out *faults) {
	country, rest, below := strings.Cut(o.holds, "-")
	if sh.base.calls == nil || country != "US" || !below {
		return
	}
	letters, county, inside := strings.Cut(rest, "/")
	state := country + "-" + letters
	if _, ok := sh.base.calls.rows[state]; ok {
		return
	}
	f := fault{file: o.file, line: o.line, say: state + " is no state that " + oneCallCSV + " of the base has",
		hint: "Write the two letters of a state, as in US-VA."}
	likely := sh.likely(state)
	for i := range likely {
		if inside {
			likely[i] += "/" + county
		}
	}
	if len(likely) > 0 {
		f.say += "; did you mean " + strings.Join(likely[:min(len(likely), maxLikely)], " or ") + "?"
	}
	out.list = append(out.list, f)
}

// likely lists the states that one slip makes of another word; two letters that
// changed places come before a wrong one.
func (sh *shelf) likely(word string) []string {
	var all []string
	for _, s := range sortedKeys(sh.base.calls.rows) {
		if engine.Swapped(s, word) {
			return []string{s}
		}
		if engine.Alike(s, word) {
			all = append(all, s)
		}
	}
	return all
}
