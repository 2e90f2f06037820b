package paper

import "firstrod/engine/picture"

// partKind is how a part of a document is set.
type partKind string

const (
	partHeading partKind = "heading"
	partVerdict partKind = "verdict" // Text large, Lines under it, in a frame
	partText    partKind = "text"
	partGrid    partKind = "grid" // Rows of a word and what it is, several beside one another
	partTable   partKind = "table"
	partPicture partKind = "picture"
	partCode    partKind = "code" // Text as it stands, every letter as wide as the next
	partSeal    partKind = "seal" // the square code, and Text beside it
)

// part is one piece of a document in words, the same for every form.
type part struct {
	Kind  partKind
	Text  string
	Lines []string
	Head  []string
	Wide  []float64 // share of the width that each column gets
	Rows  [][]string
	Loud  map[int]bool // rows that must be seen first
	Draw  func(picture.Format) ([]byte, error)
	Alt   string
	Seal  Seal
	Keep  float64 // millimetres that a heading and what follows want on one page
}

func heading(text string) part { return part{Kind: partHeading, Text: text} }
func para(text string) part    { return part{Kind: partText, Text: text} }
