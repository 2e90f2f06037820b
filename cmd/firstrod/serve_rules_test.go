package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firstrod/bot/slackbot/slackfake"
)

const (
	marta      = "U0MARTA01"
	safetyRoom = "C0SAFETY1"
)

// safetySettings are those of the crew's workspace, with a safety manager and a
// channel for safety.
func (c *crewChat) safetySettings(more string) string {
	c.t.Helper()
	c.fake.AddUser(slackfake.User{ID: marta, Name: "marta", RealName: "Marta Quill", Locale: "en-US"})
	c.fake.AddChannel(slackfake.Channel{ID: safetyRoom, Name: "safety"})
	path := filepath.Join(c.t.TempDir(), "config.yaml")
	text := fmt.Sprintf("%sslack:\n  api_url: %s\n  safety_channel: %s\n  roles:\n    %s: locating_hand\n    %s: drill_operator\n    %s: safety_manager\n",
		more, c.fake.API(), safetyRoom, dana, luis, marta)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		c.t.Fatal(err)
	}
	return path
}

// texts are the bot's messages in a channel or with a user.
func (c *crewChat) texts(channel string) []string {
	var all []string
	for _, m := range c.fake.Messages(channel, "") {
		if m.User == c.fake.BotUser() {
			all = append(all, m.Text)
		}
	}
	return all
}

// told waits for a direct message to the safety manager.
func (c *crewChat) told(parts ...string) string {
	c.t.Helper()
	found := ""
	c.fake.Wait("a word about "+parts[0], 2*time.Minute, func() bool {
		for _, text := range c.texts(c.fake.DM(marta)) {
			all := true
			for _, p := range parts {
				all = all && strings.Contains(text, p)
			}
			if all {
				found = text
			}
		}
		return found != ""
	})
	return found
}

// home is the safety manager's home tab as it is now.
func (c *crewChat) home() string {
	c.t.Helper()
	before := len(c.fake.Calls("views.publish"))
	c.fake.OpenHome(marta)
	c.fake.Wait("the home tab", 30*time.Second, func() bool { return len(c.fake.Calls("views.publish")) > before })
	v, _ := c.fake.Home(marta)
	return v.Plain()
}

// heard says a line in the thread and gives what the bot said to it.
func (c *crewChat) heard(line string) string {
	c.t.Helper()
	before := len(c.own())
	c.say(line)
	var all []string
	for _, m := range c.own()[before:] {
		all = append(all, m.Text)
	}
	return strings.Join(all, "\n")
}

func wants(t *testing.T, text string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("lacks %q:\n%s", p, text)
		}
	}
}

// overlay writes the local pack of the yard: a limit of its own, and what becomes of
// a release that stands.
func (y yard) overlay(standoff, onPublish string) {
	y.t.Helper()
	text := "title:\n  en: \"A state\"\n  es: \"Un estado\"\nholds: \"US-AZ\"\non_publish: \"" + onPublish + "\"\n"
	if standoff != "" {
		text += "limits:\n  ground.standoff:\n    value: \"" + standoff + "\"\n    reason:\n      en: \"More metal about.\"\n      es: \"Hay más metal.\"\n" +
			"    source:\n      name: \"the test\"\n      status: \"chosen\"\n"
	}
	to := filepath.Join(y.dir, "local", "az")
	if _, err := os.Stat(to); err != nil {
		if err := os.CopyFS(to, os.DirFS("testdata/az")); err != nil {
			y.t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(to, "overlay.yaml"), []byte(text), 0o644); err != nil {
		y.t.Fatal(err)
	}
}

// The whole way: from a safety manager's folder to the crew's thread and back to the
// safety manager, with the program as it is installed.
func TestServeTellsOfRules(t *testing.T) {
	c := newCrewChat(t)
	y := newYard(t)
	y.overlay("", "keep")
	y.publish(exitFine, "first")
	data := t.TempDir()
	config := c.safetySettings("rules_every: 40ms\n")
	s := startServe(t, "--data", data, "--policies", y.dir, "--jurisdiction", "US-AZ", "--config", config)
	c.turn("the command", func() {
		c.fake.Wait("the program", 2*time.Minute, func() bool { return len(c.fake.Calls("apps.connections.open")) > 0 })
		time.Sleep(100 * time.Millisecond)
		c.fake.Slash(dana, crewRoom, "new OR-4, Otter Run")
	})
	c.thread = c.parent()
	lines, err := demoLines(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range lines[3:] {
		if l == "sign" {
			break
		}
		if !strings.HasPrefix(l, "#") {
			c.say(l)
		}
	}

	// A broken pack leaves the rules that are in force.
	const rule = "base/ground/metal_baseline.rego"
	y.edit(rule, "input.metal_distance", "input.metal_distanse")
	y.name("a slip")
	broken := c.told("Publication 2 by Otto Krug is not used", rule+":", "metal_distanse")
	if home := c.home(); !strings.Contains(home, rule+":") {
		t.Errorf("the home tab lacks %s and a line; the message was\n%s\nthe tab:\n%s", rule, broken, home)
	}
	wants(t, strings.Join(c.texts(safetyRoom), "\n"), rule+":")
	wants(t, c.heard("status"), "Ground", "9 of 9 hold")
	if strings.Contains(strings.Join(c.texts(c.fake.DM(dana)), ""), rule) {
		t.Error("the crew was told of files")
	}

	// Mended, and stricter: the next turn is judged by it, and says what is new.
	y.edit(rule, "input.metal_distanse", "input.metal_distance")
	y.overlay("45 ft", "keep")
	y.publish(exitFine, "more room")
	c.told("Rules 3 are in force, published by Alma Ruiz: more room")
	if home := c.home(); strings.Contains(home, rule) {
		t.Errorf("what is mended still stands on the home tab:\n%s", home)
	}
	wants(t, c.heard("sign"), "BLOCKED: 1 rule does not hold.", "Nobody signs before every rule holds.")
	c.heard("change deepest point")
	wants(t, c.heard("14 ft"), "OTHER RULES ARE IN FORCE", "BLOCKED: Nearest metal is at 34 ft (10.36 m); at least 45 ft")
	wants(t, c.heard("50 ft"), "50 ft", "Holds.")
	for _, l := range []string{"sign", "yes", "sign Luis Ortega, drill operator"} {
		c.say(l)
	}
	wants(t, c.heard("yes"), "READY TO DRILL  OR-4")

	// A release stands to its end under its rules, unless the new ones want every
	// release looked at again.
	y.overlay("60 ft", "keep")
	y.publish(exitFine, "still more room")
	c.told("Rules 4 are in force")
	wants(t, c.heard("status"), "READY TO DRILL")
	y.overlay("65 ft", "recheck")
	y.publish(exitFine, "at once")
	c.told("Rules 5 are in force")
	// The crew is told at once, in the thread and in the channel.
	const void = "RELEASE VOID: OR-4 is not ready to drill any more, other rules came into force that did not let it stand: at once."
	for _, thread := range []string{"", c.thread} {
		c.fake.Wait("the crew to be told", time.Minute, func() bool {
			return slices.ContainsFunc(c.fake.Messages(crewRoom, thread), func(m slackfake.Message) bool {
				return strings.HasPrefix(m.Text, void) && strings.Contains(m.Text, "BLOCKED: Nearest metal is at 50 ft")
			})
		})
	}
	if text := c.heard("status"); strings.Contains(text, "READY TO DRILL") || !strings.Contains(text, "65 ft") {
		t.Errorf("a release stands under rules that do not hold:\n%s", text)
	}
	wants(t, c.heard("70 ft"), "70 ft", "Holds.", "Two people sign")
	if text := strings.Join(c.texts(c.fake.DM(marta)), "\n"); strings.Contains(text, "not published") || strings.Count(text, "are in force") != 3 {
		t.Errorf("told of somebody's work on files:\n%s", text)
	}

	// Broken again, and put right while the program is down.
	y.edit(rule, "input.metal_distance", "input.metal_distanse")
	y.name("another slip")
	c.told("Publication 6 by Otto Krug is not used")
	halt := func() {
		s.stop()
		if err := <-s.done; err != nil {
			t.Fatalf("%v\n%s", err, s.out)
		}
	}
	halt()
	y.edit(rule, "input.metal_distanse", "input.metal_distance")
	y.publish(exitFine, "mended")
	s = startServe(t, "--data", data, "--policies", y.dir, "--jurisdiction", "US-AZ", "--config", config)
	c.fake.Wait("a clean home tab", 2*time.Minute, func() bool { return !strings.Contains(c.home(), rule) })
	halt()
	outcome(t, exitFine, "verify", "--data", data)
	if t.Failed() {
		var all []string
		for _, m := range c.own() {
			all = append(all, m.Text)
		}
		t.Log(strings.Join(all, "\n----\n"))
	}
}

// parent is the message that opens the bore's thread.
func (c *crewChat) parent() string {
	c.t.Helper()
	c.fake.Wait("the first question", 30*time.Second, func() bool { return len(c.texts(crewRoom)) > 0 && c.quiet() })
	for _, m := range c.own() {
		if m.Channel == crewRoom {
			return m.TS
		}
	}
	return ""
}

// The checkpoint of the day is posted once, also when the program starts again on
// the same day; and it is the ledger's own, to be pinned.
func TestServePostsOneCheckpointADay(t *testing.T) {
	c := newCrewChat(t)
	config, data := c.safetySettings(""), t.TempDir()
	posted := func() []string { return c.texts(safetyRoom) }
	day := func() string { return time.Now().UTC().Format(time.DateOnly) }
	if time.Now().UTC().Hour() == 23 && time.Now().UTC().Minute() > 57 {
		t.Skip("the day ends while this runs")
	}
	for range 3 {
		before := len(c.fake.Calls("apps.connections.open"))
		s := startServe(t, "--data", data, "--config", config)
		c.fake.Wait("the program", time.Minute, func() bool { return len(c.fake.Calls("apps.connections.open")) > before })
		c.fake.Wait("the checkpoint", time.Minute, func() bool { return len(posted()) > 0 && c.quiet() })
		time.Sleep(200 * time.Millisecond)
		s.stop()
		if err := <-s.done; err != nil {
			t.Fatalf("%v\n%s", err, s.out)
		}
	}
	all := posted()
	if len(all) != 1 {
		t.Fatalf("%d checkpoints on one day: %q", len(all), all)
	}
	first, note, _ := strings.Cut(all[0], "\n")
	wants(t, first, "Checkpoint of "+day(), "firstrod verify --pin")
	pin := filepath.Join(t.TempDir(), "pin.txt")
	if err := os.WriteFile(pin, []byte(strings.TrimRight(note, "\n")+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	wants(t, outcome(t, exitFine, "verify", "--data", data, "--pin", pin), "continues the ledger of every pinned checkpoint")
	// Of another ledger it proves nothing.
	other := t.TempDir()
	outcome(t, exitStop, "chat", "--data", other)
	wants(t, outcome(t, exitDamaged, "verify", "--data", other, "--pin", pin), "DOES NOT VERIFY")
}
