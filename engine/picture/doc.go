// Package picture draws what depth readings are worth: three pictures a crew can
// read on a phone, in grey, and a small one for a terminal.
//
// Fill in a [Readings], [Bore] or [History] and call its Render; post its Alt
// text beside the picture. [Readings.Text] is the same comparison in ASCII.
//
// Units: lengths in metres and signals in decibels of amplitude, as in package
// depth. An [Axis] says in which unit they are shown and how the axis is called.
// Every word in a picture comes from the caller, so that the language is the
// caller's. Nothing is judged here: verdicts come from package depth.
//
// Promises: the same input gives the same bytes. An input that cannot be drawn
// gives a *depth.FieldError that names the field, and no picture. Nothing is
// told by colour: states differ in shape, areas in shade. What lies too far off
// to be drawn to scale is drawn at the edge as an arrow.
//
// This is the only package that imports gonum.org/v1/plot.
package picture

// Format is the kind of file that Render makes.
type Format string

// The formats. A PNG is 1000 by 700 pixels; an SVG has the same shape, grows to any
// size, and carries the title and the Alt text inside.
const (
	PNG Format = "png"
	SVG Format = "svg"
)

// Axis is how values are shown along one side: its label, which has to name the
// unit, and the metres in that unit (0.3048 for feet, 1 for metres). For decibels
// and for steps that are only counted Metres is not looked at.
type Axis struct {
	Label  string
	Metres float64
}
