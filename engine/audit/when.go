package audit

import (
	"fmt"
	"strings"
	"time"
)

// ParseWhen reads a date, a date and time, or RFC 3339 with an offset of its own,
// in a zone. A date alone is its first moment, or with end the first moment of
// the day after, so that a range to a date has all of that day.
func ParseWhen(text string, zone *time.Location, end bool) (time.Time, error) {
	text = strings.TrimSpace(text)
	if t, err := time.ParseInLocation(time.DateOnly, text, zone); err == nil {
		if end {
			t = time.Date(t.Year(), t.Month(), t.Day()+1, 0, 0, 0, 0, zone)
		}
		return inYears(t, text)
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return inYears(t, text)
	}
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(layout, text, zone); err == nil {
			return inYears(t, text)
		}
	}
	return time.Time{}, notWhen(text)
}

func inYears(t time.Time, text string) (time.Time, error) {
	if t.Year() < 1970 || t.Year() > 9998 {
		return time.Time{}, notWhen(text)
	}
	return t, nil
}

func notWhen(text string) error {
	return fmt.Errorf("%q is no date or time; write 2026-03-02 or \"2026-03-02 14:30\"", text)
}
