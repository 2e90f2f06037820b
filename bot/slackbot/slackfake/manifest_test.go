package slackfake_test

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/bot/slackbot/slackfake/blockcheck"
)

// manifest is the part of an app manifest that is used here; anything else in
// the file is an error.
type manifest struct {
	Display  struct{ Name, Description string } `yaml:"display_information"`
	Features struct {
		Home struct {
			Tab      bool `yaml:"home_tab_enabled"`
			Messages bool `yaml:"messages_tab_enabled"`
			ReadOnly bool `yaml:"messages_tab_read_only_enabled"`
		} `yaml:"app_home"`
		Bot struct {
			Name   string `yaml:"display_name"`
			Online bool   `yaml:"always_online"`
		} `yaml:"bot_user"`
		Shortcuts []struct {
			Name, Type, Description string
			ID                      string `yaml:"callback_id"`
		}
		Commands []struct {
			Command, Description string
			Hint                 string `yaml:"usage_hint"`
			Escape               bool   `yaml:"should_escape"`
		} `yaml:"slash_commands"`
	}
	OAuth    struct{ Scopes struct{ Bot []string } } `yaml:"oauth_config"`
	Settings struct {
		Events struct {
			Bot []string `yaml:"bot_events"`
		} `yaml:"event_subscriptions"`
		Interactivity struct {
			On bool `yaml:"is_enabled"`
		}
		Org      bool `yaml:"org_deploy_enabled"`
		Socket   bool `yaml:"socket_mode_enabled"`
		Rotation bool `yaml:"token_rotation_enabled"`
	}
}

func readManifest(t *testing.T, name string) (manifest, []byte) {
	t.Helper()
	raw, err := os.ReadFile("../../../deploy/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var m manifest
	strict := yaml.NewDecoder(bytes.NewReader(raw))
	strict.KnownFields(true)
	if err := strict.Decode(&m); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var tree map[string]any
	if err := yaml.Unmarshal(raw, &tree); err != nil {
		t.Fatal(err)
	}
	asJSON, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	return m, asJSON
}

// feature ties what the bot does to what it must be granted (reference of
// scopes and of events, docs.slack.dev).
type feature struct{ scopes, events []string }

func features() map[string]feature {
	return map[string]feature{
		"slash command, shortcut, buttons": {scopes: []string{"commands"}},
		"post and update":                  {scopes: []string{"chat:write"}},
		"answers in direct messages":       {[]string{"im:history"}, []string{"message.im"}},
		"home tab":                         {events: []string{"app_home_opened"}},
		"mention":                          {[]string{"app_mentions:read"}, []string{"app_mention"}},
		"answers in public threads":        {[]string{"channels:history"}, []string{"message.channels"}},
		"answers in private threads":       {[]string{"groups:history"}, []string{"message.groups"}},
		"photos in":                        {scopes: []string{"files:read"}},
		"files out":                        {scopes: []string{"files:write"}},
		"names, zones, languages":          {scopes: []string{"users:read"}},
		"roles from user groups":           {scopes: []string{"usergroups:read"}},
		"pinned summary":                   {scopes: []string{"pins:write"}},
		"ticks":                            {scopes: []string{"reactions:write"}},
	}
}

func profiles() map[string][]string {
	minimal := []string{"slash command, shortcut, buttons", "post and update", "answers in direct messages", "home tab"}
	replies := append(slices.Clone(minimal), "mention", "answers in public threads", "answers in private threads")
	return map[string][]string{
		"slack-minimal.yaml": minimal,
		"slack-replies.yaml": replies,
		"slack-photos-groups.yaml": append(slices.Clone(replies), "photos in", "files out", "names, zones, languages",
			"roles from user groups", "pinned summary", "ticks"),
	}
}

// Each manifest asks for what its features need and for nothing else.
func TestManifestsAskForWhatTheyUse(t *testing.T) {
	table := features()
	for name, uses := range profiles() {
		m, _ := readManifest(t, name)
		var scopes, events []string
		for _, f := range uses {
			scopes, events = append(scopes, table[f].scopes...), append(events, table[f].events...)
		}
		same(t, name+" scopes", m.OAuth.Scopes.Bot, scopes)
		same(t, name+" events", m.Settings.Events.Bot, events)
		if name == "slack-photos-groups.yaml" {
			same(t, name+" against the fake", m.OAuth.Scopes.Bot, slackfake.AllScopes())
		}
		s := m.Settings
		if !s.Socket || !s.Org || s.Rotation || !s.Interactivity.On {
			t.Errorf("%s: settings %+v", name, s)
		}
		if h := m.Features.Home; !h.Messages || h.ReadOnly || !h.Tab {
			t.Errorf("%s: people could not write to the app: %+v", name, h)
		}
	}
}

func same(t *testing.T, what string, got, want []string) {
	t.Helper()
	got, want = slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(want))
	if !slices.Equal(got, want) {
		t.Errorf("%s:\n got  %v\n want %v", what, got, want)
	}
}

// Limits: schemas/manifest.schema.1.0.0.json of the public repository
// slackapi/manifest-schema; the characters of a bot's name: the types of
// @slack/web-api 8.2.0.
func TestManifestsKeepTheLimits(t *testing.T) {
	bot := regexp.MustCompile(`^[a-z0-9._-]{1,80}$`)
	for name := range profiles() {
		m, _ := readManifest(t, name)
		within := func(what, text string, most int) {
			if n := utf8.RuneCountInString(text); n < 1 || n > most {
				t.Errorf("%s: %s has %d characters, at most %d", name, what, n, most)
			}
		}
		within("name", m.Display.Name, 35)
		within("description", m.Display.Description, 140)
		if !bot.MatchString(m.Features.Bot.Name) {
			t.Errorf("%s: bot name %q", name, m.Features.Bot.Name)
		}
		for _, c := range m.Features.Commands {
			within("command", c.Command, 32)
			within("command description", c.Description, 2000)
			within("usage hint", c.Hint, 1000)
			if !strings.HasPrefix(c.Command, "/") {
				t.Errorf("%s: command %q", name, c.Command)
			}
		}
		for _, s := range m.Features.Shortcuts {
			within("shortcut", s.Name, 24)
			within("shortcut description", s.Description, 150)
			within("shortcut id", s.ID, 255)
			if s.Type != "global" && s.Type != "message" {
				t.Errorf("%s: shortcut of type %q", name, s.Type)
			}
		}
		for what, n := range map[string][2]int{
			"commands": {len(m.Features.Commands), 50}, "shortcuts": {len(m.Features.Shortcuts), 10},
			"scopes": {len(m.OAuth.Scopes.Bot), 255}, "events": {len(m.Settings.Events.Bot), 100},
		} {
			if n[0] < 1 || n[0] > n[1] {
				t.Errorf("%s: %d %s, at most %d", name, n[0], what, n[1])
			}
		}
	}
}

// The published types name every scope and event there is; a misspelt one does
// not pass.
func TestManifestsAgainstThePublishedTypes(t *testing.T) {
	var good [][]byte
	for name := range profiles() {
		_, raw := readManifest(t, name)
		good = append(good, raw)
	}
	blockcheck.Validate(t, blockcheck.Manifest, good)
	planted := map[string][2]string{
		"scope that is none": {`"files:read"`, `"file:read"`},
		"event that is none": {`"message.im"`, `"messages.im"`},
		"unknown key":        {`"org_deploy_enabled"`, `"org_deployed"`},
		"long app name":      {`"name":"firstrod"`, `"name":"` + strings.Repeat("x", 36) + `"`},
	}
	_, raw := readManifest(t, "slack-photos-groups.yaml")
	var bad []blockcheck.Payload
	var names []string
	for name, swap := range planted {
		broken := bytes.Replace(raw, []byte(swap[0]), []byte(swap[1]), 1)
		if bytes.Equal(broken, raw) {
			t.Fatalf("%s: nothing was planted", name)
		}
		bad, names = append(bad, blockcheck.Payload{Kind: blockcheck.Manifest, JSON: broken}), append(names, name)
	}
	for i, found := range blockcheck.Problems(t, bad) {
		if len(found) == 0 {
			t.Errorf("%s: not found", names[i])
		}
	}
}
