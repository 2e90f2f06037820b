package slackbot

import (
	"fmt"
	"time"
)

// shown is a moment that each person sees in their own time, and, where the chat
// cannot do that, in the zone of the site, which is named.
func shown(t time.Time, zone *time.Location) string {
	if zone == nil {
		zone = time.UTC
	}
	fallback := t.In(zone).Format("2006-01-02 15:04 ") + zone.String()
	return fmt.Sprintf("<!date^%d^{date_short_pretty} {time}|%s>", t.Unix(), escaped(fallback))
}
