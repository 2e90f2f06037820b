package picture

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"unicode"

	"firstrod/engine/depth"
)

// The most of each kind that a phone can still show.
const (
	mostPanels    = 6
	mostMarks     = 60
	mostPath      = 5000
	mostCrossings = 20
	mostPoints    = 500
	farthest      = 1e6  // metres or decibels; beyond is nonsense
	finest        = 1e-6 // of what has to have a size
)

func refuse(field, why string) error { return &depth.FieldError{Field: field, Why: why} }

// finite refuses what cannot be drawn at all.
func finite(field string, v float64) error {
	switch {
	case math.IsNaN(v):
		return refuse(field, "is not a number")
	case math.Abs(v) > farthest:
		return refuse(field, fmt.Sprintf("%g is outside -1e+06 to 1e+06", v))
	}
	return nil
}

func positive(field string, v float64) error {
	if v < finest {
		return refuse(field, "is not above zero, or too small to draw")
	}
	return finite(field, v)
}

func notNegative(field string, v float64) error {
	if v < 0 {
		return refuse(field, "is below zero")
	}
	return finite(field, v)
}

// counted holds a number of things between one and most.
func counted(field string, n, most int) error {
	if n < 1 || n > most {
		return refuse(field, fmt.Sprintf("%d of them; 1 to %d can be drawn", n, most))
	}
	return nil
}

func (a Axis) check(field string) error {
	return cmp.Or(positive(field+".Metres", a.Metres), a.label(field))
}

// label refuses an axis that does not say what it shows.
func (a Axis) label(field string) error {
	if strings.TrimSpace(a.Label) == "" {
		return refuse(field+".Label", "is empty")
	}
	return nil
}

// described refuses a picture that a screen reader could not read.
func described(alt string) error {
	if strings.TrimSpace(alt) == "" {
		return refuse("Alt", "is empty: a picture needs words for those who cannot see it")
	}
	return nil
}

// clean makes text safe to draw: valid, on one line, with no hidden characters,
// and not without end.
func clean(text string) string {
	const most = 120
	text = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
	if r := []rune(text); len(r) > most {
		text = string(r[:most-3]) + "..."
	}
	return text
}
