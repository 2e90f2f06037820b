package slackbot

import (
	"strings"
	"testing"

	"firstrod/bot/slackbot/slackfake"
)

const safetyCh = "C0SAFETY"

// notices gives what the bot posted in a channel, in order.
func (x *site) notices(channel string) []string {
	var all []string
	for _, m := range x.fake.Messages(channel, "") {
		all = append(all, m.Text)
	}
	return all
}

func TestANoticeReachesTheSafetyManagerOnce(t *testing.T) {
	fake := newFake(t)
	fake.AddChannel(slackfake.Channel{ID: safetyCh, Name: "safety"})
	x := newSite(t, loadRules(t), fake, func(c *Config) { c.Safety = safetyCh })
	x.connected()
	n := Notice{Key: "rules/abc", Text: "The new rules are NOT in force: ground/standoff.rego:12: there is no limit standof.", Stands: true}
	for range 2 {
		if err := x.svc.Tell(t.Context(), n); err != nil {
			t.Fatal(err)
		}
	}
	x.fake.Wait("the notice", patience, func() bool { return len(x.notices(safetyCh)) > 0 })
	home := func(user string) string {
		x.fake.OpenHome(user)
		x.still()
		v, _ := x.fake.Home(user)
		return v.Plain()
	}
	has(t, home(marta), "NOT in force")
	if strings.Contains(home(dana), "NOT in force") {
		t.Error("the crew's home tab shows what is for a safety manager")
	}
	x.restart()
	x.connected()
	if err := x.svc.Tell(t.Context(), n); err != nil {
		t.Fatal(err)
	}
	if err := x.svc.Over(t.Context(), n.Key); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(home(marta), "NOT in force") {
		t.Error("a notice that is over still stands")
	}
	// The same thing again stands again, and is told once all the same.
	if err := x.svc.Tell(t.Context(), n); err != nil {
		t.Fatal(err)
	}
	has(t, home(marta), "NOT in force")
	if err := x.svc.Over(t.Context(), "rules/"); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(home(marta), "NOT in force") {
		t.Error("a notice that is over still stands")
	}
	if got := x.notices(safetyCh); len(got) != 1 {
		t.Errorf("told %d times: %q", len(got), got)
	}
	if got := x.notices(x.fake.DM(marta)); len(got) != 1 {
		t.Errorf("the safety manager was told %d times: %q", len(got), got)
	}
	if got := x.notices(x.fake.DM(dana)); len(got) != 0 {
		t.Errorf("the crew was told: %q", got)
	}
}

func TestThePostOfTheDayNeedsAChannel(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	x.connected()
	if err := x.svc.Post(t.Context(), Notice{Key: "checkpoint/2026-11-24", Text: "size 12"}); err != nil {
		t.Fatal(err)
	}
	if got := x.notices(x.fake.DM(marta)); len(got) != 0 {
		t.Errorf("posted to %q", got)
	}
}
