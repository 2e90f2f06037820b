// Package quantity turns what a gloved crew types into an exact value, a value
// that must be asked about first, or a refusal with a reason a person can act
// on; and turns values back into text.
//
// Call Read with the text and a Want (kind, default unit, limits). Look at
// Reading.Outcome before anything else: its zero value is Refuse. An Exact
// reading carries a Value; an Ask reading carries the Value to be taken upon a
// "yes" together with the Reason for asking; a refusal carries only a Reason.
// ReadAll does the same for several values in one message. Print and PrintIn
// give the text for crews, ParseHuman reads parameter files, and Value.Exact,
// Value.Items and Parse are the form kept in records.
//
// Numbers are exact rationals in base units (micrometre, hertz, millivolt,
// second, part per million, thousandth of a decibel), never floating point.
// The foot is the international foot, 0.3048 m exactly (NIST Special
// Publication 811, appendix B).
//
// The package holds no state, reads no clock and no files; Want.Now and
// Want.Zone supply the time. All functions may be called from any goroutine.
package quantity
