package quantity

import (
	"strconv"
	"strings"
	"time"
)

// half says which half of the day a clock time is in.
type half int

const (
	unsaid half = iota
	morning
	afternoon
	night   // "de la noche": evening hours only, 12 of the night is none of them
	fullDay // 24 hours are counted
)

// wall is a clock time of a day.
type wall struct {
	hour, minute, second int
	compact              bool // typed as 1930
	half                 half
	padded               bool // typed as 07:30
}

// readTime reads a clock time with or without a date before or behind it.
func readTime(text string, w Want) draft {
	fields := clockFields(fold(text))
	var clock *wall
	var rest []string
	for i := 0; i < len(fields); i++ {
		marked := i+1 < len(fields) && halfOf(fields[i+1]) != unsaid
		f := fields[i]
		if marked {
			f += fields[i+1] // "7 pm" is "7pm"
		}
		c, ok := wallOf(f, len(fields) == 1)
		if !ok || clock != nil {
			rest = append(rest, fields[i])
			continue
		}
		clock = &c
		if marked {
			i++
		}
	}
	if clock == nil || !clock.settle() {
		return refused(NotATime, "seen", plainSpace(text))
	}
	if len(rest) == 0 {
		return nextMoment(*clock, w)
	}
	return dated(*clock, strings.Join(rest, " "), w)
}

// clockFields splits a folded text at spaces, with the words for parts of the
// day made one field each and words without meaning left out.
func clockFields(text string) []string {
	text = strings.NewReplacer(
		"a. m", "am", "p. m", "pm", "a.m", "am", "p.m", "pm",
		"de la manana", "am", "por la manana", "am", "in the morning", "am",
		"de la tarde", "pm", "por la tarde", "pm", "in the afternoon", "pm", "in the evening", "pm",
		"de la noche", "night", "por la noche", "night", "at night", "night",
		"mediodia", "12:00 pm", "midday", "12:00 pm", "noon", "12:00 pm",
		"medianoche", "12:00 am", "midnight", "12:00 am",
		",", " ",
	).Replace(text)
	var fields []string
	for _, f := range strings.Fields(text) {
		switch f = strings.TrimRight(f, "."); f {
		case "at", "a", "las", "la", "al", "until", "hasta":
		default:
			fields = append(fields, f)
		}
	}
	return fields
}

func halfOf(s string) half {
	switch s {
	case "am":
		return morning
	case "pm":
		return afternoon
	case "night":
		return night
	case "h", "hrs", "hours", "horas":
		return fullDay
	default:
		return unsaid
	}
}

// wallOf reads 19:30, 19:30:15, 7pm, 730pm, 19h30, 1930h; and 1930 when
// alone, for next to a date it would be a year.
func wallOf(f string, alone bool) (wall, bool) {
	var w wall
	digits := strings.TrimRight(f, "abcdefghijklmnopqrstuvwxyz")
	if suffix := strings.TrimPrefix(f, digits); suffix != "" {
		if w.half = halfOf(suffix); w.half == unsaid {
			return wall{}, false
		}
	}
	if before, after, ok := strings.Cut(digits, "h"); ok && w.half == unsaid {
		digits, w.half = before+":"+after, fullDay
	}
	said := w.half != unsaid
	pieces := strings.Split(digits, ":")
	if n := len(pieces[0]); len(pieces) == 1 && (alone || said) && (n == 3 || n == 4) {
		pieces = []string{pieces[0][:n-2], pieces[0][n-2:]}
		w.compact = !said
	}
	for i, p := range pieces {
		if len(p) < 1 || len(p) > 2 || (i > 0 && len(p) != 2) || strings.Trim(p, "0123456789") != "" {
			return wall{}, false
		}
	}
	if len(pieces) == 1 && (!said || w.half == fullDay) {
		return wall{}, false // "7" may be a day, "10 h" a length of time
	}
	return w.with(pieces)
}

func (w wall) with(pieces []string) (wall, bool) {
	var n [3]int
	if len(pieces) > len(n) {
		return wall{}, false
	}
	for i, p := range pieces {
		n[i], _ = strconv.Atoi(p) // digits only, see wallOf
	}
	w.hour, w.minute, w.second = n[0], n[1], n[2]
	w.padded = len(pieces[0]) == 2 && pieces[0][0] == '0'
	return w, n[0] < 24 && n[1] < 60 && n[2] < 60
}

// settle turns morning and afternoon into hours of the day; false when there
// is no such hour.
func (w *wall) settle() bool {
	switch w.half {
	case night:
		if w.hour < 6 || w.hour > 11 {
			return false
		}
		w.hour += 12
	case morning, afternoon:
		if w.hour < 1 || w.hour > 12 {
			return false
		}
		w.hour %= 12
		if w.half == afternoon {
			w.hour += 12
		}
	}
	return true
}

// eitherHalf reports whether the hour may be one of the morning or of the
// evening: 7:30, but not 07:30, 19:30 or 7:30 pm.
func (w wall) eitherHalf() bool {
	return w.half == unsaid && !w.padded && w.hour >= 1 && w.hour <= 12
}

// nextMoment is the first moment after now at which the clocks show c.
func nextMoment(c wall, w Want) draft {
	if w.Now.IsZero() {
		return refused(BadQuestion, "why", "a time without a date and no clock")
	}
	today := dayOf(w.Now.In(w.Zone))
	// Ends tomorrow at the latest: every moment of tomorrow is after now.
	for d := today; ; d = d.plus(1) {
		moments := c.on(d, w.Zone)
		if len(moments) == 0 && (d != today || !c.passed(w.Now.In(w.Zone))) {
			return refused(NoSuchTime, "date", Print(d.value()))
		}
		for _, m := range moments {
			if m > w.Now.Unix() {
				return c.draft(d, m, len(moments) > 1, w.Zone)
			}
		}
	}
}

// passed reports whether the clock of now shows a later time of day than c.
func (w wall) passed(now time.Time) bool {
	h, m, s := now.Clock()
	return h*3600+m*60+s > w.hour*3600+w.minute*60+w.second
}

// dated reads the words beside the clock time as a date.
func dated(c wall, date string, w Want) draft {
	d, doubts, bad := parseDay(date, w)
	if bad != nil {
		return draft{refuse: bad}
	}
	if fields := digitFields(date); len(fields) == 3 && len(fields[0]) == 4 && c.half == unsaid {
		c.half = fullDay // dates of this form come with hours to 24
	}
	moments := c.on(d, w.Zone)
	if len(moments) == 0 {
		return refused(NoSuchTime, "date", Print(d.value()))
	}
	out := c.draft(d, moments[0], len(moments) > 1, w.Zone)
	if c.half == morning && c.hour == 0 && c.minute == 0 {
		doubts = append(doubts, *because(Midnight, "date", Print(d.value())))
	}
	out.doubts = append(doubts, out.doubts...)
	return out
}

// on lists the moments, earliest first, at which the clocks of zone show w on
// d: one as a rule, none when they are put forward over it, two when they are
// put back over it. The offset from before the change gives the earlier one.
func (w wall) on(d day, zone *time.Location) []int64 {
	shown := time.Date(d.year, d.month, d.day, w.hour, w.minute, w.second, 0, time.UTC)
	var moments []int64
	for _, hours := range []time.Duration{-36, 36} {
		_, offset := shown.Add(hours * time.Hour).In(zone).Zone()
		t := shown.Add(-time.Duration(offset) * time.Second)
		same := t.In(zone).Format(time.DateTime) == shown.Format(time.DateTime)
		if same && (len(moments) == 0 || moments[0] != t.Unix()) {
			moments = append(moments, t.Unix())
		}
	}
	return moments
}

// draft is the reading of w as moment on d, with its doubts.
func (w wall) draft(d day, moment int64, twice bool, zone *time.Location) draft {
	out := draft{value: Of(Time, moment)}
	shown := PrintIn(out.value, "en", zone)
	if twice {
		out.doubts = append(out.doubts, *because(TwiceThatDay, "date", Print(d.value()), "value", shown))
	}
	switch {
	case w.compact:
		out.doubts = append(out.doubts, *because(CompactTime, "value", shown))
	case w.eitherHalf():
		other := w
		other.hour = (w.hour + 12) % 24
		out.doubts = append(out.doubts, *because(HalfDay, "value", shown, "other", other.text()))
	}
	return out
}

func (w wall) text() string {
	return time.Date(1, 1, 1, w.hour, w.minute, w.second, 0, time.UTC).Format("15:04")
}
