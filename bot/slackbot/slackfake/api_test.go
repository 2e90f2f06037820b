package slackfake_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"

	"firstrod/bot/slackbot/slackfake"
)

// client is the Go library the bot uses, pointed at the fake. Its connections
// end with the test.
func client(t *testing.T, s *slackfake.Server, token string) *slack.Client {
	t.Helper()
	transport := &http.Transport{}
	t.Cleanup(transport.CloseIdleConnections)
	return slack.New(token, slack.OptionAPIURL(s.API()), slack.OptionAppLevelToken(s.AppToken()),
		slack.OptionHTTPClient(&http.Client{Transport: transport, Timeout: 10 * time.Second}))
}

func fresh(t *testing.T, tune ...func(*slackfake.Config)) (*slackfake.Server, *slack.Client) {
	t.Helper()
	s := slackfake.New(t, tune...)
	people(s)
	return s, client(t, s, s.BotToken())
}

func refused(err error) string {
	if r, ok := errors.AsType[slack.SlackErrorResponse](err); ok {
		return r.Err
	}
	return fmt.Sprint(err)
}

func TestWhoMayWriteWhere(t *testing.T) {
	s, api := fresh(t)
	s.AddChannel(slackfake.Channel{ID: "C2", Archived: true})
	s.AddChannel(slackfake.Channel{ID: "C3", NoBot: true})
	s.AddChannel(slackfake.Channel{ID: "G4", Kind: "group", NoBot: true})
	post := func(api *slack.Client, channel string) string {
		_, _, err := api.PostMessageContext(t.Context(), channel, slack.MsgOptionText("hello", false))
		return refused(err)
	}
	for channel, want := range map[string]string{
		"C1": "<nil>", "U1": "<nil>", "C2": "is_archived", "C3": "not_in_channel", "G4": "channel_not_found", "C9": "channel_not_found",
	} {
		if got := post(api, channel); got != want {
			t.Errorf("post to %s: %s, want %s", channel, got, want)
		}
	}
	if got := post(client(t, s, "xoxb-other"), "C1"); got != "invalid_auth" {
		t.Errorf("wrong token: %s", got)
	}
	if got := post(client(t, s, s.AppToken()), "C1"); got != "not_allowed_token_type" {
		t.Errorf("app token: %s", got)
	}
	if got := post(client(t, s, ""), "C1"); got != "not_authed" {
		t.Errorf("no token: %s", got)
	}
	s.Scopes("commands")
	_, _, err := api.PostMessageContext(t.Context(), "C1", slack.MsgOptionText("hello", false))
	r, _ := errors.AsType[slack.SlackErrorResponse](err)
	if r.Err != "missing_scope" || r.Needed != "chat:write" || r.Provided != "commands" {
		t.Errorf("without scope: %+v", r)
	}
	who, err := api.AuthTestContext(t.Context())
	if err != nil || who.Header.Get("X-OAuth-Scopes") != "commands" || who.UserID != s.BotUser() || who.TeamID != s.Team() {
		t.Errorf("auth.test: %+v %v", who, err)
	}
	for _, c := range s.Calls("") {
		if c.Form.Has("token") {
			t.Errorf("%s: the token was recorded", c.Method)
		}
	}
}

func TestThreadsMetadataAndUpdates(t *testing.T) {
	s, api := fresh(t)
	ctx := t.Context()
	_, root, err := api.PostMessageContext(ctx, "C1", slack.MsgOptionText("bore 41", false))
	if err != nil {
		t.Fatal(err)
	}
	meta := slack.SlackMetadata{EventType: "question", EventPayload: map[string]any{"key": "k1"}}
	stamps := map[string]bool{root: true}
	for i := range 30 {
		_, ts, err := api.PostMessageContext(ctx, "C1", slack.MsgOptionText(fmt.Sprint("reply ", i), false), slack.MsgOptionTS(root), slack.MsgOptionMetadata(meta))
		if err != nil || stamps[ts] {
			t.Fatalf("reply %d: ts %s %v", i, ts, err)
		}
		stamps[ts] = true
	}
	var all []slack.Message
	for cursor := ""; ; {
		page, more, next, err := api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: "C1", Timestamp: root, Limit: 7, Cursor: cursor, IncludeAllMetadata: true})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, page...)
		if cursor = next; !more {
			break
		}
	}
	if len(all) != 31 || all[0].Timestamp != root || all[30].Text != "reply 29" || all[30].Metadata.EventPayload["key"] != "k1" {
		t.Errorf("%d messages in the thread, the last %+v", len(all), all[len(all)-1])
	}
	plain, _, _, _ := api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: "C1", Timestamp: root})
	if len(plain) != 31 || plain[5].Metadata.EventType != "" {
		t.Errorf("metadata told though nobody asked: %+v", plain[5].Metadata)
	}
	if msg, err := broadcast(ctx, api, root); err != nil || msg.ThreadTimestamp != root {
		t.Errorf("broadcast %+v %v", msg, err)
	}
	if got := s.Messages("C1", ""); len(got) != 2 || got[1].Text != "also here" {
		t.Errorf("channel root %+v", got)
	}
	_, _, lost, err := api.PostMessageWithResponseContext(ctx, "C1", slack.MsgOptionText("orphan", false), slack.MsgOptionTS("1.000001"))
	if err != nil || lost.ThreadTimestamp != "" {
		t.Errorf("a reply to nothing: %+v %v", lost, err)
	}
	updates(t, s, api, root)
}

func broadcast(ctx context.Context, api *slack.Client, root string) (slack.Message, error) {
	_, _, m, err := api.PostMessageWithResponseContext(ctx, "C1", slack.MsgOptionText("also here", false), slack.MsgOptionTS(root), slack.MsgOptionBroadcast())
	return m, err
}

func updates(t *testing.T, s *slackfake.Server, api *slack.Client, root string) {
	t.Helper()
	ctx := t.Context()
	block := slack.NewSectionBlock(slack.NewTextBlockObject(slack.MarkdownType, "summary", false, false), nil, nil)
	change := func(options ...slack.MsgOption) slackfake.Message {
		if _, _, _, err := api.UpdateMessageContext(ctx, "C1", root, options...); err != nil {
			t.Error(err)
		}
		m, _ := s.Message("C1", root)
		return m
	}
	if m := change(slack.MsgOptionText("new", false), slack.MsgOptionBlocks(block)); m.Text != "new" || !strings.Contains(m.Plain(), "summary") {
		t.Errorf("update with blocks: %+v", m)
	}
	if m := change(slack.MsgOptionText("bare", false)); len(m.Blocks) != 0 || m.Edits != 2 {
		t.Errorf("text alone keeps blocks: %+v", m)
	}
	said := s.Say("U1", "C1", root, "10 ft")
	if _, _, _, err := api.UpdateMessageContext(ctx, "C1", said.TS, slack.MsgOptionText("mine", false)); refused(err) != "cant_update_message" {
		t.Errorf("update of a person's message: %v", err)
	}
	if _, _, _, err := api.UpdateMessageContext(ctx, "C1", "1.000001", slack.MsgOptionText("x", false)); refused(err) != "message_not_found" {
		t.Errorf("update of nothing: %v", err)
	}
	item := slack.NewRefToMessage("C1", said.TS)
	if err := api.AddReactionContext(ctx, "white_check_mark", item); err != nil {
		t.Error(err)
	}
	if err := api.AddReactionContext(ctx, "white_check_mark", item); refused(err) != "already_reacted" {
		t.Errorf("second reaction: %v", err)
	}
	if err := api.AddPinContext(ctx, "C1", slack.NewRefToMessage("C1", root)); err != nil {
		t.Error(err)
	}
	if m, _ := s.Message("C1", root); !m.Pinned {
		t.Error("not pinned")
	}
}

func TestBlocksOverALimitAreRefused(t *testing.T) {
	_, api := fresh(t)
	text := func(n int) slack.Block {
		return slack.NewSectionBlock(slack.NewTextBlockObject(slack.MarkdownType, strings.Repeat("x", n), false, false), nil, nil)
	}
	label := func(n int) slack.Block {
		return slack.NewActionBlock("a", slack.NewButtonBlockElement("x", "v", slack.NewTextBlockObject(slack.PlainTextType, strings.Repeat("x", n), false, false)))
	}
	for _, row := range []struct {
		name   string
		blocks []slack.Block
		want   string
	}{
		{"3000 of text", []slack.Block{text(3000)}, "<nil>"},
		{"3001 of text", []slack.Block{text(3001)}, "invalid_blocks"},
		{"50 blocks", slices.Repeat([]slack.Block{text(1)}, 50), "<nil>"},
		{"51 blocks", slices.Repeat([]slack.Block{text(1)}, 51), "invalid_blocks"},
		{"13,200 together", slices.Repeat([]slack.Block{text(2640)}, 5), "<nil>"},
		{"13,300 together", slices.Repeat([]slack.Block{text(2660)}, 5), "msg_blocks_too_long"},
		{"label of 75", []slack.Block{label(75)}, "<nil>"},
		{"label of 76", []slack.Block{label(76)}, "invalid_blocks"},
		{"block id twice", []slack.Block{label(1), label(1)}, "invalid_blocks"},
	} {
		_, _, err := api.PostMessageContext(t.Context(), "C1", slack.MsgOptionText("t", false), slack.MsgOptionBlocks(row.blocks...))
		if got := refused(err); got != row.want {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
	if _, _, err := api.PostMessageContext(t.Context(), "C1"); refused(err) != "no_text" {
		t.Errorf("nothing to say: %v", err)
	}
}

func TestUsersGroupsAndFiles(t *testing.T) {
	s, api := fresh(t)
	ctx := t.Context()
	s.AddGroup("S1", "U1", "U2")
	if u, err := api.GetUserInfoContext(ctx, "U1"); err != nil || u.TZ != "America/Denver" || u.Locale != "es-MX" || u.IsBot {
		t.Errorf("user %+v %v", u, err)
	}
	if _, err := api.GetUserInfoContext(ctx, "U9"); refused(err) != "user_not_found" {
		t.Errorf("unknown user: %v", err)
	}
	if members, err := api.GetUserGroupMembersContext(ctx, "S1"); err != nil || !slices.Equal(members, []string{"U1", "U2"}) {
		t.Errorf("group %v %v", members, err)
	}
	picture := bytes.Repeat([]byte{0x89, 'P', 'N', 'G'}, 5000)
	root := s.Say("U1", "C1", "", "bore")
	up := slack.UploadFileParameters{Reader: bytes.NewReader(picture), FileSize: len(picture), Filename: "depth.png", Channel: "C1", ThreadTimestamp: root.TS, AltTxt: "the depth screen"}
	sum, err := api.UploadFileContext(ctx, up)
	if err != nil {
		t.Fatal(err)
	}
	thread := s.Messages("C1", root.TS)
	if f, _ := s.File(sum.ID); len(thread) != 2 || f.AltText != "the depth screen" || !bytes.Equal(thread[1].Files[0].Data, picture) || f.Mimetype != "image/png" {
		t.Errorf("upload landed as %d messages, alt text %q", len(thread), f.AltText)
	}
	up.Reader, up.FileSize = bytes.NewReader(picture), len(picture)+1
	if _, err := api.UploadFileContext(ctx, up); err == nil {
		t.Error("a file shorter than announced was taken")
	}
	sent := s.Upload("U1", "C1", root.TS, "hole.jpg", []byte("not a picture"))
	replies, _, _, err := api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: "C1", Timestamp: root.TS})
	if err != nil || replies[2].Timestamp != sent.TS || len(replies[2].Files) != 1 {
		t.Fatalf("replies %+v %v", replies, err)
	}
	var got bytes.Buffer
	address := replies[2].Files[0].URLPrivateDownload
	if err := api.GetFileContext(ctx, address, &got); err != nil || got.String() != "not a picture" {
		t.Errorf("download %q %v", got.String(), err)
	}
	if err := client(t, s, "xoxb-other").GetFileContext(ctx, address, &got); err == nil || !strings.Contains(err.Error(), "sign-in") {
		t.Errorf("download by a stranger: %v", err)
	}
}

func TestFaultsHappenWhereTheyArePlanned(t *testing.T) {
	s, api := fresh(t)
	post := func() error {
		_, _, err := api.PostMessageContext(t.Context(), "C1", slack.MsgOptionText("hello", false))
		return err
	}
	s.Fail("chat.postMessage", slackfake.Cut{}, slackfake.Cut{After: true}, slackfake.RateLimit{After: 1500 * time.Millisecond},
		slackfake.Status{Code: 503}, slackfake.Refuse{Error: "fatal_error"}, slackfake.Slow{For: 50 * time.Millisecond, After: true})
	for i, want := range []struct {
		posted int
		check  func(error) bool
	}{
		{0, func(err error) bool { return err != nil }},
		{1, func(err error) bool { return err != nil }},
		{1, func(err error) bool {
			limited, ok := errors.AsType[*slack.RateLimitedError](err)
			return ok && limited.RetryAfter == 2*time.Second
		}},
		{1, func(err error) bool {
			code, ok := errors.AsType[slack.StatusCodeError](err)
			return ok && code.Code == 503
		}},
		{1, func(err error) bool { return refused(err) == "fatal_error" }},
		{2, func(err error) bool { return err == nil }},
		{3, func(err error) bool { return err == nil }},
	} {
		start := time.Now()
		if err := post(); !want.check(err) {
			t.Errorf("call %d: %v", i, err)
		}
		if n := len(s.Messages("C1", "")); n != want.posted {
			t.Errorf("after call %d there are %d messages, want %d", i, n, want.posted)
		}
		if i == 5 && time.Since(start) < 50*time.Millisecond {
			t.Error("the slow call was not slow")
		}
	}
	s.FailEach(func(method string, nth int) slackfake.Fault {
		if method == "chat.postMessage" && nth%2 == 0 {
			return slackfake.Status{Code: 500}
		}
		return nil
	})
	if first, second := post(), post(); (first == nil) == (second == nil) {
		t.Errorf("every other call fails: %v, %v", first, second)
	}
	s.Heal()
	done := 0
	for _, c := range s.Calls("chat.postMessage") {
		if c.Done {
			done++
		}
	}
	if done != 4 {
		t.Errorf("%d calls recorded as done", done)
	}
}

func TestPacePerChannel(t *testing.T) {
	s, api := fresh(t, func(c *slackfake.Config) { c.PostPace = 80 * time.Millisecond })
	s.AddChannel(slackfake.Channel{ID: "C2"})
	post := func(channel string) error {
		_, _, err := api.PostMessageContext(t.Context(), channel, slack.MsgOptionText("hello", false))
		return err
	}
	first, second, other := post("C1"), post("C1"), post("C2")
	_, limited := errors.AsType[*slack.RateLimitedError](second)
	if first != nil || !limited || other != nil {
		t.Errorf("first %v, at once again %v, other channel %v", first, second, other)
	}
	time.Sleep(100 * time.Millisecond)
	if err := post("C1"); err != nil {
		t.Errorf("after the pace: %v", err)
	}
}
