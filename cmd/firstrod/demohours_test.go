package main

import (
	"strings"
	"testing"
	"time"

	"firstrod/engine/quantity"
)

// The demo's end of shift is read for certain at every hour of the day: "10:25"
// would be asked about, morning or evening.
func TestDemoAtEveryHour(t *testing.T) {
	zone, err := time.LoadLocation(demoZone)
	if err != nil {
		t.Fatal(err)
	}
	for minute := 0; minute < 24*60; minute += 7 {
		now := time.Date(2026, 11, 24, 0, minute, 0, 0, zone)
		lines, err := demoLines(now)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, l := range lines {
			if !strings.HasSuffix(l, " am") && !strings.HasSuffix(l, " pm") {
				continue
			}
			found = true
			got := quantity.Read(l, quantity.Want{Kind: quantity.Time, Zone: zone, Now: now})
			if got.Outcome != quantity.Exact || time.Unix(got.Value.Base(), 0).Sub(now) != 9*time.Hour {
				t.Errorf("at %s the shift ends %q, read as %v %s", now.Format("15:04"), l, got.Outcome, got.Reason.Code)
			}
		}
		if !found {
			t.Fatal("no line with the end of the shift")
		}
	}
}
