package slackbot

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"

	"firstrod/bot/slackbot/slackfake"
	"firstrod/bot/slackbot/slackfake/blockcheck"
)

func TestHomeTab(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(2)
	home := func(user string, parts ...string) string {
		t.Helper()
		x.still()
		x.fake.OpenHome(user)
		x.fake.Wait("the home tab of "+user, patience, func() bool {
			v, ok := x.fake.Home(user)
			return ok && strings.Contains(v.Plain(), parts[0])
		})
		v, _ := x.fake.Home(user)
		has(t, v.Plain(), parts...)
		return v.Plain()
	}
	home(dana, "Waits for you", "painted or flagged", "Your open bores", "OR-4, Otter Run")
	if text := home(luis, "Te espera", "Nada te espera"); strings.Contains(text, "Detenidas") {
		t.Error("what is on hold is for a safety manager")
	}
	home(pat, "no role here")
	x.fake.Say(gus, crewCh, thread, "yes")
	_, last = x.reply(thread, last, line{marta, "hold smell of gas"})
	x.fake.Say(luis, crewCh, thread, "waive 1 because")
	_, _ = x.next("OR-4", last)
	home(marta, "On hold", "HELD", "Refused", "OR-4: Gus Fell. an answer by a guest")
	blockcheck.Validate(t, blockcheck.Home, x.fake.Emitted("home"))
}

func TestTheFormForANewBore(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	x.connected()
	x.fake.Shortcut(dana, "open_bore")
	var form slackfake.View
	x.fake.Wait("the form", patience, func() bool { var ok bool; form, ok = x.fake.Modal(dana); return ok })
	wrong := x.fake.Submit(dana, form, map[string]string{"name": "fence by the road!", "place": "Otter Run"})
	x.fake.Wait("what is wrong", patience, wrong.Acked)
	form, _ = x.fake.Modal(dana)
	if len(form.Errors) != 2 || form.Errors["name"] == "" || form.Errors["channel"] == "" {
		t.Fatalf("%+v", form.Errors)
	}
	right := x.fake.Interact("view_submission", dana, map[string]any{"view": map[string]any{
		"id": form.ID, "hash": form.Hash, "callback_id": "open_bore", "state": map[string]any{"values": map[string]any{
			"name": map[string]any{"name": map[string]any{"value": "or-7"}}, "place": map[string]any{"place": map[string]any{"value": "Otter Run"}},
			"zone":    map[string]any{"zone": map[string]any{"value": nil}},
			"channel": map[string]any{"channel": map[string]any{"selected_conversation": crewCh}},
		}},
	}})
	right.Again()
	x.thread("OR-7")
	m, _ := x.next("OR-7", "")
	has(t, m.Plain(), "OR-7 is open at Otter Run")
	blockcheck.Validate(t, blockcheck.Modal, x.fake.Emitted("modal"))
}

func TestOpeningInOtherWays(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	x.connected()
	x.fake.Say(dana, crewCh, "", "<@"+x.fake.BotUser()+"> new OR-4, Otter Run")
	thread := x.thread("OR-4")
	_, last := x.next("OR-4", "")
	answers := func(user, text string, parts ...string) {
		t.Helper()
		n := len(x.fake.Ephemerals(user))
		x.fake.Slash(user, crewCh, text)
		x.fake.Wait(text, patience, func() bool { return len(x.fake.Ephemerals(user)) > n })
		has(t, x.fake.Ephemerals(user)[n].Plain(), parts...)
	}
	answers(dana, "new OR-4, Otter Run", "has its thread already", "/archives/"+crewCh+"/p"+strings.ReplaceAll(thread, ".", ""))
	answers(dana, "open OR-4", "has its thread already")
	answers(dana, "bores", "OR-4", "being prepared", "/firstrod new")
	answers(dana, "yes", "not taken for an answer")
	answers(luis, "", "Abre una perforación")
	answers(pat, "new OR-5, Otter Run", "You have no role here")
	x.fake.Slash(dana, x.fake.DM(dana), "new OR-8, Otter Run")
	x.still()
	if _, opened := x.svc.bot.Find(t.Context(), "OR-8"); opened {
		t.Error("a bore with no crew's channel was opened")
	}
	x.fake.Slash(dana, crewCh, "open OR-6, Otter Run")
	x.thread("OR-6")
	// A mention in the thread is an answer, once.
	x.fake.Say(dana, crewCh, thread, "<@"+x.fake.BotUser()+"> OTR-2291, 2026-11-23, 2026-12-03")
	m, _ := x.next("OR-4", last)
	has(t, m.Plain(), "OTR-2291", "Holds.")
}

// Each profile needs what its manifest asks for.
func TestProfilesAreThoseOfTheManifests(t *testing.T) {
	for _, p := range Profiles() {
		raw, err := os.ReadFile(filepath.Join("..", "..", "deploy", "slack-"+string(p)+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		var m struct {
			Features struct {
				Shortcuts []struct {
					Callback string `yaml:"callback_id"`
				} `yaml:"shortcuts"`
			} `yaml:"features"`
			OAuth struct {
				Scopes struct{ Bot []string } `yaml:"scopes"`
			} `yaml:"oauth_config"`
		}
		if err := yaml.Unmarshal(raw, &m); err != nil {
			t.Fatal(err)
		}
		slices.Sort(m.OAuth.Scopes.Bot)
		if !slices.Equal(m.OAuth.Scopes.Bot, p.Needs()) {
			t.Errorf("%s asks for %v, the profile needs %v", p, m.OAuth.Scopes.Bot, p.Needs())
		}
		if len(m.Features.Shortcuts) != 1 || m.Features.Shortcuts[0].Callback != newBore {
			t.Errorf("%s: shortcuts %+v", p, m.Features.Shortcuts)
		}
	}
}

func TestCheckNamesWhatIsMissing(t *testing.T) {
	fake := newFake(t)
	cfg := Config{APIURL: fake.API(), Tokens: Tokens{Bot: fake.BotToken(), App: fake.AppToken()}, Bot: plainService(t).bot}
	r, err := Check(t.Context(), cfg, Full)
	if err != nil || len(r.Missing) != 0 || r.Socket != nil || r.TeamID != fake.Team() {
		t.Errorf("%+v %v", r, err)
	}
	fake.Scopes("chat:write", "commands", "im:history", "channels:history")
	r, err = Check(t.Context(), cfg, Replies)
	if err != nil || !slices.Equal(r.Missing, []string{"app_mentions:read", "groups:history"}) {
		t.Errorf("%+v %v", r, err)
	}
	cfg.Tokens.App = "xapp-wrong"
	if r, err = Check(t.Context(), cfg, Minimal); err != nil || len(r.Missing) != 0 || r.Socket == nil {
		t.Errorf("%+v %v", r, err)
	}
	cfg.Tokens.Bot = "xoxb-wrong"
	if _, err = Check(t.Context(), cfg, Minimal); err == nil || !strings.Contains(err.Error(), "invalid_auth") {
		t.Errorf("%v", err)
	}
}

// A workspace whose app may read no profiles: whoever is on the list answers.
func TestTheSmallestProfile(t *testing.T) {
	fake := newFake(t)
	fake.Scopes(Minimal.Needs()...)
	x := newSite(t, loadRules(t), fake, nil)
	x.connected()
	fake.Slash(dana, crewCh, "new OR-4, Otter Run")
	x.thread("OR-4")
	x.next("OR-4", "")
	dm := fake.DM(dana)
	for _, l := range []string{"resume OR-4", crew()[0].text} {
		x.still()
		fake.Say(dana, dm, "", l)
	}
	fake.Wait("the second question", patience, func() bool {
		all := fake.Messages(dm, "")
		return strings.Contains(all[len(all)-1].Plain(), "How many owners")
	})
	x.still()
	fake.Slash(pat, crewCh, "new OR-5, Otter Run")
	fake.Wait("a refusal", patience, func() bool { return len(fake.Ephemerals(pat)) == 1 })
}

var worded = regexp.MustCompile(`"((?:chat|caution|contact|fault)\.[a-z_.]+)"`)

func TestEveryWordIsThere(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	s := plainService(t)
	n := 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		raw, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range worded.FindAllStringSubmatch(string(raw), -1) {
			if n++; strings.HasSuffix(m[1], ".") {
				continue
			}
			for _, lang := range []string{"en", "es"} {
				if s.bot.Words(lang, m[1], nil) == m[1] {
					t.Errorf("%s: %s is not in %s", f, m[1], lang)
				}
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d words found; the pattern is wrong", n)
	}
}
