package bot

import (
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Weight says how a part of a reply is to be shown. The words carry the
// meaning; a front end may add weight, never replace them.
type Weight string

// The weights.
const (
	Say     Weight = "say"
	Good    Weight = "good"    // something holds
	Bad     Weight = "bad"     // something does not hold
	Loud    Weight = "loud"    // a hold, a release that is void
	Release Weight = "release" // ready to drill
	Sheet   Weight = "sheet"   // a board or a list, lines to be kept as they are
	Caution Weight = "caution" // what comes before this tool
	Exact   Weight = "exact"   // to be copied to the letter: no line is broken or joined
)

// Part is a piece of a reply: one or more lines of text.
type Part struct {
	Weight Weight
	Text   string
}

// Ask is the question that ends a reply.
type Ask struct {
	ID      string   // the same for the same question about the same bore, for [Message.Answers]
	Where   string   // "Ground, 2 of 5"
	Text    string   // the question
	Options []string // what may be typed, where that is a short list
	Whole   []string // messages that answer it by themselves, for a place where nothing is remembered from one to the next
	Waits   bool     // it is about what was said just now; after a restart that must be said again, for the question to stand
}

// Reply is what to show for one message.
type Reply struct {
	Parts    []Part
	Ask      *Ask
	Bore     string         // the bore that the room is about
	Verdict  engine.Verdict // how it stands
	Pictures []Picture      // drawings of this turn
	Files    []ledger.File  // pictures to show, from the shelf
	Paper    *Paper         // the record of a bore that was released just now, to be filed
	Done     bool           // the person has left
	Lang     string         // the language it is in

	board *engine.Board // as the engine call of this turn left it; nil if there was none
}

func (r *Reply) add(w Weight, text string) {
	if text != "" {
		r.Parts = append(r.Parts, Part{w, text})
	}
}

// says tells whether a line is in the reply already.
func (r *Reply) says(line string) bool {
	return slices.ContainsFunc(r.Parts, func(p Part) bool { return slices.Contains(strings.Split(p.Text, "\n"), line) })
}

// String is the whole reply as plain text, for a front end without any layout.
func (r *Reply) String() string {
	var s strings.Builder
	for _, p := range r.Parts {
		s.WriteString(p.Text + "\n")
	}
	if r.Ask != nil {
		if r.Ask.Where != "" {
			s.WriteString("\n" + r.Ask.Where + "\n")
		}
		s.WriteString(r.Ask.Text + "\n")
	}
	return s.String()
}
