package slackfake_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/slack-go/slack"

	"firstrod/bot/slackbot/slackfake"
)

func words(s string) *slack.TextBlockObject {
	return slack.NewTextBlockObject(slack.PlainTextType, s, false, false)
}

func form(title string) slack.ModalViewRequest {
	field := slack.NewInputBlock("depth", words("Depth"), nil, slack.NewPlainTextInputBlockElement(nil, "v"))
	return slack.ModalViewRequest{
		Type: slack.VTModal, Title: words(title), Submit: words("Save"), CallbackID: "values",
		Blocks: slack.Blocks{BlockSet: []slack.Block{field}},
	}
}

// trigger types the command and takes the trigger out of its payload.
func trigger(t *testing.T, s *slackfake.Server) (id, answerAt string) {
	t.Helper()
	var p struct {
		TriggerID   string `json:"trigger_id"`
		ResponseURL string `json:"response_url"`
	}
	if err := json.Unmarshal(s.Slash("U1", "C1", "open").Deliveries[0].Payload, &p); err != nil {
		t.Fatal(err)
	}
	return p.TriggerID, p.ResponseURL
}

func TestModalsStackAndTriggersWearOut(t *testing.T) {
	s, api := fresh(t, func(c *slackfake.Config) { c.TriggerLife = 60 * time.Millisecond })
	ctx := t.Context()
	id, _ := trigger(t, s)
	opened, err := api.OpenViewContext(ctx, id, form("one"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := api.OpenViewContext(ctx, id, form("again")); refused(err) != "exchanged_trigger_id" {
		t.Errorf("used trigger: %v", err)
	}
	late, _ := trigger(t, s)
	time.Sleep(80 * time.Millisecond)
	if _, err := api.OpenViewContext(ctx, late, form("late")); refused(err) != "expired_trigger_id" {
		t.Errorf("late trigger: %v", err)
	}
	if _, err := api.OpenViewContext(ctx, "1.2.3", form("none")); refused(err) != "invalid_trigger_id" {
		t.Errorf("no trigger: %v", err)
	}
	for n, want := range []string{"<nil>", "<nil>", "push_limit_reached"} {
		next, _ := trigger(t, s)
		if _, err := api.PushViewContext(ctx, next, form("more")); refused(err) != want {
			t.Errorf("push %d: %v, want %s", n, err, want)
		}
	}
	if top, _ := s.Modal("U1"); top.Root != opened.ID {
		t.Errorf("root of the stack %s, want %s", top.Root, opened.ID)
	}
	if _, err := api.UpdateViewContext(ctx, form("new"), "", "stale", opened.ID); refused(err) != "hash_conflict" {
		t.Errorf("update over a newer view: %v", err)
	}
	if _, err := api.UpdateViewContext(ctx, form("new"), "", opened.Hash, opened.ID); err != nil {
		t.Error(err)
	}
	tooLong, _ := trigger(t, s)
	if _, err := api.OpenViewContext(ctx, tooLong, form("a title of twenty-five c.")); refused(err) != "invalid_arguments" {
		t.Errorf("long title: %v", err)
	}
}

func TestHomeTab(t *testing.T) {
	s, api := fresh(t)
	publish := func(text, hash string) error {
		block := slack.NewSectionBlock(slack.NewTextBlockObject(slack.MarkdownType, text, false, false), nil, nil)
		req := slack.PublishViewContextRequest{UserID: "U1", View: slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: []slack.Block{block}}}}
		if hash != "" {
			req.Hash = &hash
		}
		_, err := api.PublishViewContext(t.Context(), req)
		return err
	}
	if err := publish("no bores", ""); err != nil {
		t.Fatal(err)
	}
	before, _ := s.Home("U1")
	if err := publish("one bore", before.Hash); err != nil {
		t.Error(err)
	}
	if err := publish("stale", before.Hash); refused(err) != "hash_conflict" {
		t.Errorf("publish over a newer tab: %v", err)
	}
	if now, _ := s.Home("U1"); now.Plain() != "one bore" || len(s.Emitted("home")) != 3 {
		t.Errorf("home says %q, %d payloads kept", now.Plain(), len(s.Emitted("home")))
	}
}

func TestAnswersByResponseURL(t *testing.T) {
	s, api := fresh(t)
	_, address := trigger(t, s)
	send := func(kind, text string) error {
		_, _, _, err := api.SendMessageContext(t.Context(), "", slack.MsgOptionResponseURL(address, kind), slack.MsgOptionText(text, false))
		return err
	}
	if err := send(slack.ResponseTypeEphemeral, "only you"); err != nil {
		t.Error(err)
	}
	if err := send(slack.ResponseTypeInChannel, "all of you"); err != nil {
		t.Error(err)
	}
	if got := s.Ephemerals("U1"); len(got) != 1 || got[0].Text != "only you" {
		t.Errorf("ephemeral %+v", got)
	}
	if got := s.Messages("C1", ""); len(got) != 1 || got[0].Text != "all of you" {
		t.Errorf("in the channel %+v", got)
	}
	for range 3 {
		if err := send(slack.ResponseTypeEphemeral, "more"); err != nil {
			t.Error(err)
		}
	}
	if err := send(slack.ResponseTypeEphemeral, "too many"); err == nil {
		t.Error("a sixth answer was taken")
	}
}
