package quantity_test

import (
	"testing"
	"time"
	_ "time/tzdata"

	. "firstrod/engine/quantity"
)

// at is a question asked in Chicago at a local moment.
func at(t *testing.T, k Kind, local string) Want {
	t.Helper()
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	now, err := time.ParseInLocation("2006-01-02 15:04", local, zone)
	if err != nil {
		t.Fatal(err)
	}
	return Want{Kind: k, Zone: zone, Now: now}
}

// when is one line of a table of dates or times, the value printed in the
// zone of the site.
type when struct {
	text    string
	outcome Outcome
	printed string
	code    Code
}

func checkWhens(t *testing.T, w Want, table []when) {
	t.Helper()
	for _, c := range table {
		got := Read(c.text, w)
		printed := PrintIn(got.Value, "en", w.Zone)
		if got.Outcome != c.outcome || printed != c.printed || got.Reason.Code != c.code {
			t.Errorf("Read(%q) for %s: got %d %q %q %v, want %d %q %q", c.text, w.Kind,
				got.Outcome, printed, got.Reason.Code, got.Reason.Args, c.outcome, c.printed, c.code)
		}
	}
}

func TestDates(t *testing.T) {
	// Late in the evening, when it is tomorrow already in UTC.
	checkWhens(t, at(t, Date, "2026-11-24 22:00"), []when{
		{"2026-11-30", Exact, "2026-11-30", ""},
		{"2026/11/30", Exact, "2026-11-30", ""},
		{"Nov 30", Exact, "2026-11-30", ""},
		{"november 30th, 2026", Exact, "2026-11-30", ""},
		{"30 nov", Exact, "2026-11-30", ""},
		{"30-nov-2026", Exact, "2026-11-30", ""},
		{"30 de noviembre", Exact, "2026-11-30", ""},
		{"el 30 de noviembre de 2026", Exact, "2026-11-30", ""},
		{"today", Exact, "2026-11-24", ""},
		{"Hoy", Exact, "2026-11-24", ""},
		{"tomorrow", Exact, "2026-11-25", ""},
		{"mañana", Exact, "2026-11-25", ""},
		{"man\u0303ana", Exact, "2026-11-25", ""},
		{"yesterday", Exact, "2026-11-23", ""},
		{"29 feb 2028", Exact, "2028-02-29", ""},
		{"Jan 3", Ask, "2027-01-03", YearAssumed},
		{"March 3", Ask, "2027-03-03", YearAssumed},
		{"July 4", Ask, "2026-07-04", YearAssumed},
		{"11/30/2026", Ask, "2026-11-30", DayMonth},
		{"11/30", Ask, "2026-11-30", DayMonth},
		{"30/11/2026", Ask, "2026-11-30", DayMonth},
		{"11/05/26", Ask, "2026-11-05", DayMonth},
		{"11/31", Refuse, "", NoSuchDay},
		{"13/13/2026", Refuse, "", NoSuchDay},
		{"Nov 31", Refuse, "", NoSuchDay},
		{"2026-02-29", Refuse, "", NoSuchDay},
		{"29 feb", Refuse, "", NoSuchDay},
		{"2026-00-10", Refuse, "", NoSuchDay},
		{"0206-11-30", Refuse, "", YearFar},
		{"11/30/0026", Refuse, "", YearFar},
		{"2026-11", Refuse, "", NotADate},
		{"Monday", Refuse, "", NotADate},
		{"Nov", Refuse, "", NotADate},
		{"Nov 30 Dec 1", Refuse, "", NotADate},
		{"next week", Refuse, "", NotADate},
		{"26", Refuse, "", NotADate},
	})
	args := Read("11/05/26", at(t, Date, "2026-11-24 22:00")).Reason.Args
	if args["value"] != "2026-11-05" || args["other"] != "2026-05-11" {
		t.Errorf("both orders must be shown: %v", args)
	}
	for _, text := range []string{"today", "11/30", "Nov 30"} {
		if got := Read(text, Want{Kind: Date}); got.Reason.Code != BadQuestion {
			t.Errorf("%s without a clock: %+v", text, got)
		}
	}
	w := at(t, Time, "2026-11-24 22:00")
	if got := Read("19:30", Want{Kind: Time, Zone: w.Zone}); got.Reason.Code != BadQuestion {
		t.Errorf("19:30 without a clock: %+v", got)
	}
}

func TestTimes(t *testing.T) {
	checkWhens(t, at(t, Time, "2026-11-24 15:00"), []when{
		{"19:30", Exact, "2026-11-24 19:30", ""},
		{"7:30 pm", Exact, "2026-11-24 19:30", ""},
		{"7:30 p.m.", Exact, "2026-11-24 19:30", ""},
		{"730pm", Exact, "2026-11-24 19:30", ""},
		{"19h30", Exact, "2026-11-24 19:30", ""},
		{"1930 hrs", Exact, "2026-11-24 19:30", ""},
		{"until 7 pm", Exact, "2026-11-24 19:00", ""},
		{"hasta las 19:00", Exact, "2026-11-24 19:00", ""},
		{"7 pm", Exact, "2026-11-24 19:00", ""},
		{"a las 7 de la noche", Exact, "2026-11-24 19:00", ""},
		{"7 de la mañana", Exact, "2026-11-25 07:00", ""},
		{"07:30", Exact, "2026-11-25 07:30", ""}, // past today, so tomorrow
		{"15:00", Exact, "2026-11-25 15:00", ""}, // now is not the next such moment
		{"15:01", Exact, "2026-11-24 15:01", ""},
		{"noon", Exact, "2026-11-25 12:00", ""},
		{"mediodía", Exact, "2026-11-25 12:00", ""},
		{"12 am", Exact, "2026-11-25 00:00", ""},
		{"midnight", Exact, "2026-11-25 00:00", ""},
		{"2026-11-30 10:15", Exact, "2026-11-30 10:15", ""},
		{"19:30:05", Exact, "2026-11-24 19:30:05", ""},
		{"Nov 30, 7 pm", Exact, "2026-11-30 19:00", ""},
		{"7 pm 30 de noviembre", Exact, "2026-11-30 19:00", ""},
		{"mañana 19:00", Exact, "2026-11-25 19:00", ""},
		{"mañana a las 7 de la mañana", Exact, "2026-11-25 07:00", ""},
		{"7:30", Ask, "2026-11-25 07:30", HalfDay},
		{"today 10:15", Ask, "2026-11-24 10:15", HalfDay},
		{"1930", Ask, "2026-11-24 19:30", CompactTime},
		{"Nov 30 midnight", Ask, "2026-11-30 00:00", Midnight},
		{"11/30 7 pm", Ask, "2026-11-30 19:00", DayMonth},
		{"7", Refuse, "", NotATime},
		{"10 hours", Refuse, "", NotATime},
		{"19:30:05:01", Refuse, "", NotATime},
		{"24:00", Refuse, "", NotATime},
		{"19:60", Refuse, "", NotATime},
		{"19:30 pm", Refuse, "", NotATime},
		{"13 am", Refuse, "", NotATime},
		{"7pm pm", Refuse, "", NotATime},
		{"12 de la noche", Refuse, "", NotATime},
		{"19:30 CST", Refuse, "", NotADate},
		{"Nov 31 7 pm", Refuse, "", NoSuchDay},
		{"later", Refuse, "", NotATime},
	})
}

// The clocks of the United States go forward at 2 a.m. on the second Sunday of
// March and back at 2 a.m. on the first Sunday of November (15 U.S.C. 260a):
// 8 March and 1 November in 2026.
func TestTimesWhenTheClocksChange(t *testing.T) {
	checkWhens(t, at(t, Time, "2026-03-07 15:00"), []when{
		{"02:30", Refuse, "", NoSuchTime},
		{"2026-03-08 02:30", Refuse, "", NoSuchTime},
		{"03:00", Exact, "2026-03-08 03:00", ""},
		{"01:59", Exact, "2026-03-08 01:59", ""},
	})
	checkWhens(t, at(t, Time, "2026-03-08 15:00"), []when{
		{"02:30", Exact, "2026-03-09 02:30", ""}, // tomorrow's exists
	})
	checkWhens(t, at(t, Time, "2026-10-31 15:00"), []when{
		{"01:30", Ask, "2026-11-01 01:30 CDT", TwiceThatDay},
		{"2026-11-01 01:30", Ask, "2026-11-01 01:30 CDT", TwiceThatDay},
		{"00:59", Exact, "2026-11-01 00:59", ""},
		{"02:00", Exact, "2026-11-01 02:00", ""},
	})
	w := at(t, Time, "2026-11-01 00:30")
	w.Now = w.Now.Add(90 * time.Minute) // 01:00 the second time, CST
	checkWhens(t, w, []when{{"01:30", Ask, "2026-11-01 01:30 CST", TwiceThatDay}})
}
