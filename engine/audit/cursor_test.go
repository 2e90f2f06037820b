package audit

import (
	"errors"
	"testing"
	"time"

	"firstrod/engine/ledger"
)

func TestCursorBelongsToItsQuestion(t *testing.T) {
	f := ledger.Filter{Person: "p_1", Since: time.Date(2026, 3, 2, 0, 0, 0, 0, time.FixedZone("", -7*3600))}
	c, err := ParseCursor(NewCursor(f, true, 41).String())
	if err != nil || c.After != 41 || !c.Newest {
		t.Fatalf("%+v %v", c, err)
	}
	if !c.Fits(f, true) {
		t.Error("does not fit its own question")
	}
	same := f
	same.Since = f.Since.UTC()
	if !c.Fits(same, true) {
		t.Error("the same moment in another zone is the same question")
	}
	other := f
	other.Person = "p_2"
	if c.Fits(other, true) || c.Fits(f, false) {
		t.Error("fits another question")
	}
}

// Whatever is typed as a cursor is refused or is exactly what it prints as.
func FuzzParseCursor(f *testing.F) {
	for _, s := range []string{"o0-00000000", "n1041-3fa9c2d1", "", "-", "o-1-00000000", "n+5-00000000", "n05-00000000", "x5-00000000",
		"n9223372036854775808-00000000", "n5-3FA9C2D1", "n5-3fa9c2d1-", "../../etc/passwd", "n5-\x00\x00\x00\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCursor(s)
		if err != nil {
			if !errors.Is(err, ErrCursor) {
				t.Errorf("%v", err)
			}
			return
		}
		if c.String() != s || c.After < 0 || len(c.Mark) != 8 {
			t.Errorf("%q is read as %q", s, c)
		}
	})
}

func TestParseWhen(t *testing.T) {
	zone, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		text string
		end  bool
		want string
	}{
		{"2026-03-02", false, "2026-03-02T07:00:00Z"},
		{"2026-03-02", true, "2026-03-03T07:00:00Z"},
		// Summer time began in the United States on 8 March 2026, the second Sunday
		// (15 U.S.C. 260a): that day has 23 hours.
		{"2026-03-08", false, "2026-03-08T07:00:00Z"},
		{"2026-03-08", true, "2026-03-09T06:00:00Z"},
		{"2026-03-02 14:30", true, "2026-03-02T21:30:00Z"},
		{"2026-03-02T14:30:15", false, "2026-03-02T21:30:15Z"},
		{"2026-03-02T14:30:15+01:00", false, "2026-03-02T13:30:15Z"},
		{" 2026-12-31 ", true, "2027-01-01T07:00:00Z"},
	} {
		got, err := ParseWhen(tt.text, zone, tt.end)
		if err != nil || got.UTC().Format(time.RFC3339) != tt.want {
			t.Errorf("%q: %v %v, want %s", tt.text, got, err, tt.want)
		}
	}
	for _, bad := range []string{"", "yesterday", "2026-13-01", "2026-02-30", "02.03.2026", "1968-12-31", "9999-12-31", "2026-03-02 25:00"} {
		if got, err := ParseWhen(bad, zone, true); err == nil {
			t.Errorf("%q is read as %v", bad, got)
		}
	}
}

// A moment that is read is one that a record can have, and reads the same again.
func FuzzParseWhen(f *testing.F) {
	for _, s := range []string{"2026-03-02", "2026-03-02 14:30", "2026-03-02T14:30:15Z", "0001-01-01", "9999-12-31T23:59:59Z"} {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, end bool) {
		at, err := ParseWhen(s, time.UTC, end)
		if err != nil {
			return
		}
		again, err := ParseWhen(at.Format(time.RFC3339), time.UTC, end)
		if err != nil || !again.Equal(at.Truncate(time.Second)) {
			t.Errorf("%q is %v, and again %v, %v", s, at, again, err)
		}
	})
}
