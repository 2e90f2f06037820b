package quantity

import (
	"strconv"
	"strings"
	"time"
)

const (
	daySeconds = 24 * 60 * 60
	firstYear  = 1990 // of a typed date; others are slips of the finger
	lastYear   = 2100
	nearDays   = 90 // a day and month without a year is plain within these
)

// day is a civil date.
type day struct {
	year  int
	month time.Month
	day   int
}

func dayOf(t time.Time) day {
	y, m, d := t.Date()
	return day{y, m, d}
}

func (d day) plus(days int) day {
	return dayOf(time.Date(d.year, d.month, d.day+days, 0, 0, 0, 0, time.UTC))
}

func (d day) value() Value {
	return Of(Date, time.Date(d.year, d.month, d.day, 0, 0, 0, 0, time.UTC).Unix()/daySeconds)
}

func (d day) exists() bool {
	return d == dayOf(time.Date(d.year, d.month, d.day, 0, 0, 0, 0, time.UTC))
}

func readDate(text string, w Want) draft {
	d, doubts, bad := parseDay(text, w)
	if bad != nil {
		return draft{refuse: bad}
	}
	return draft{value: d.value(), doubts: doubts}
}

// parseDay reads a folded date: today, 2026-11-30, Nov 30, 30 de noviembre,
// 11/30 or 11/30/2026.
func parseDay(text string, w Want) (day, []Reason, *Reason) {
	switch text {
	case "today", "hoy":
		return relative(0, w)
	case "tomorrow", "manana":
		return relative(1, w)
	case "yesterday", "ayer":
		return relative(-1, w)
	}
	if fields := digitFields(text); len(fields) > 1 {
		return numericDay(fields, text, w)
	}
	return wordyDay(text, w)
}

func relative(days int, w Want) (day, []Reason, *Reason) {
	if bad := noToday(w); bad != nil {
		return day{}, nil, bad
	}
	return dayOf(w.Now.In(w.Zone)).plus(days), nil, nil
}

func noToday(w Want) *Reason {
	if w.Zone == nil || w.Now.IsZero() {
		return because(BadQuestion, "why", "a date without the zone and clock of the site")
	}
	return nil
}

// digitFields splits 2026-11-30 or 11/30 into its numbers; nil for all else.
func digitFields(text string) []string {
	for _, separator := range []string{"-", "/"} {
		fields := strings.Split(text, separator)
		plain := len(fields) == 2 || len(fields) == 3
		for _, f := range fields {
			plain = plain && f != "" && len(f) <= 4 && strings.Trim(f, "0123456789") == ""
		}
		if plain {
			return fields
		}
	}
	return nil
}

// numericDay reads year first as certain; anything else must be asked about.
func numericDay(fields []string, text string, w Want) (day, []Reason, *Reason) {
	n := make([]int, len(fields))
	for i, f := range fields {
		n[i], _ = strconv.Atoi(f) // digits only, see digitFields
	}
	long := len(fields[0]) > 2
	switch {
	case long && len(fields) == 3 && len(fields[0]) == 4:
		return certain(day{n[0], time.Month(n[1]), n[2]}, nil, text)
	case long || len(fields[1]) > 2:
		return day{}, nil, because(NotADate, "seen", text)
	}
	monthFirst, dayFirst := day{0, time.Month(n[0]), n[1]}, day{0, time.Month(n[1]), n[0]}
	switch {
	case len(fields) == 2:
		if bad := noToday(w); bad != nil {
			return day{}, nil, bad
		}
		monthFirst, _ = nearest(monthFirst, w)
		dayFirst, _ = nearest(dayFirst, w)
	case len(fields[2]) == 2:
		monthFirst.year, dayFirst.year = 2000+n[2], 2000+n[2]
	default:
		monthFirst.year, dayFirst.year = n[2], n[2]
	}
	return eitherOrder(monthFirst, dayFirst, text)
}

// eitherOrder takes the month first, as is usual in the United States, unless
// only the other order is a day; it is always asked about, with its year.
func eitherOrder(monthFirst, dayFirst day, text string) (day, []Reason, *Reason) {
	take, other := monthFirst, dayFirst
	if !take.exists() {
		take, other = other, take
	}
	if !take.exists() {
		return day{}, nil, because(NoSuchDay, "seen", text)
	}
	doubt := because(DayMonth, "seen", text, "value", Print(take.value()))
	if other.exists() && other != take {
		doubt.Args["other"] = Print(other.value())
	}
	return certain(take, []Reason{*doubt}, text)
}

// certain checks that d is a day at all and not absurdly far away.
func certain(d day, doubts []Reason, text string) (day, []Reason, *Reason) {
	if !d.exists() {
		return day{}, nil, because(NoSuchDay, "seen", text)
	}
	if d.year < firstYear || d.year > lastYear {
		return day{}, nil, because(YearFar, "seen", text, "year", strconv.Itoa(d.year))
	}
	return d, doubts, nil
}

// nearest gives d the year that brings it closest to now. That is doubtful
// when it is another year than this or far away. A 29 February without any
// such year near stays a day that does not exist.
func nearest(d day, w Want) (day, []Reason) {
	today := dayOf(w.Now.In(w.Zone))
	best, bestGap := day{today.year, d.month, d.day}, int64(1<<62)
	for year := today.year - 1; year <= today.year+1; year++ {
		c := day{year, d.month, d.day}
		gap := c.value().Base() - today.value().Base()
		if gap = max(gap, -gap); c.exists() && gap < bestGap {
			best, bestGap = c, gap
		}
	}
	if best.year != today.year || bestGap > nearDays {
		return best, []Reason{*because(YearAssumed, "year", strconv.Itoa(best.year))}
	}
	return best, nil
}

// wordyDay reads a day with the name of its month, in any order.
func wordyDay(text string, w Want) (day, []Reason, *Reason) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,-./", r) })
	var d day
	for _, f := range fields {
		n, number := dayNumber(f)
		month := monthOf(f)
		switch {
		case f == "de" || f == "del" || f == "of" || f == "the" || f == "el":
		case month != 0 && d.month == 0:
			d.month = month
		case number && n >= 1000 && d.year == 0:
			d.year = n
		case number && n < 100 && d.day == 0:
			d.day = n
		default:
			return day{}, nil, because(NotADate, "seen", text)
		}
	}
	if d.month == 0 || d.day == 0 {
		return day{}, nil, because(NotADate, "seen", text)
	}
	var doubts []Reason
	if d.year == 0 {
		if bad := noToday(w); bad != nil {
			return day{}, nil, bad
		}
		d, doubts = nearest(d, w)
	}
	return certain(d, doubts, text)
}

// dayNumber reads 30, 30th, 1st, 1o.
func dayNumber(f string) (int, bool) {
	digits := strings.TrimRight(f, "abcdefghijklmnopqrstuvwxyzº°")
	switch strings.TrimPrefix(f, digits) {
	case "", "st", "nd", "rd", "th", "o", "ro", "º", "°":
	default:
		return 0, false
	}
	if len(digits) > 4 || strings.Trim(digits, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(digits)
	return n, err == nil
}

// monthOf finds a month by its English or Spanish name or the first three or
// more letters of it; 0 when f is none.
func monthOf(f string) time.Month {
	names := [...][]string{
		{"january", "enero"}, {"february", "febrero"}, {"march", "marzo"},
		{"april", "abril"}, {"may", "mayo"}, {"june", "junio"}, {"july", "julio"},
		{"august", "agosto"}, {"september", "septiembre", "setiembre"},
		{"october", "octubre"}, {"november", "noviembre"}, {"december", "diciembre"},
	}
	if len(f) < 3 {
		return 0
	}
	for i, spellings := range names {
		for _, name := range spellings {
			if strings.HasPrefix(name, f) {
				return time.Month(i + 1)
			}
		}
	}
	return 0
}
