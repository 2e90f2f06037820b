package depth

import (
	"fmt"
	"math"
)

// FieldError says which input cannot be used, and why. Field is the name of
// the parameter or struct field as it is written in this package.
type FieldError struct {
	Field string
	Why   string
}

func (e *FieldError) Error() string { return e.Field + ": " + e.Why }

// Ranges outside which a value is nonsense for this trade. They also keep
// every cube and square below well inside what a float64 can hold.
const (
	shortest  = 1e-6 // metres
	longest   = 1e6  // metres
	weakest   = 1e-30
	strongest = 1e30
	mostDB    = 1000.0
	steepest  = 10.0 // slope ratio; 84 degrees
	finest    = 1e-9 // smallest believable uncertainty of a mark, metres
)

func within(field string, v, low, high float64) error {
	switch {
	case math.IsNaN(v):
		return &FieldError{field, "is not a number"}
	case v < low || v > high:
		return &FieldError{field, fmt.Sprintf("%g is outside %g to %g", v, low, high)}
	}
	return nil
}

func length(field string, v float64) error   { return within(field, v, shortest, longest) }
func position(field string, v float64) error { return within(field, v, -longest, longest) }
func signal(field string, v float64) error   { return within(field, v, weakest, strongest) }
func decibel(field string, v float64) error  { return within(field, v, -mostDB, mostDB) }
func slope(field string, v float64) error    { return within(field, v, -steepest, steepest) }

// doubt checks an uncertainty that must not be missing: zero is refused.
func doubt(field string, v float64) error {
	if v == 0 {
		return &FieldError{field, "is zero: nothing is measured without uncertainty"}
	}
	return within(field, v, finest, longest)
}

// settled is the last gate before a result leaves the package: result itself if
// all its numbers are finite, else its zero value and an error.
func settled[T any](result T, field string, numbers ...float64) (T, error) {
	for _, v := range numbers {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			var none T
			return none, &FieldError{field, "the result is out of range"}
		}
	}
	return result, nil
}
