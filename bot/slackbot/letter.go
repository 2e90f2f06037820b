package slackbot

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
)

// kind says what somebody did.
type kind string

const (
	said      kind = "said"      // wrote a message
	mentioned kind = "mentioned" // wrote a message that names the bot
	edited    kind = "edited"    // changed a message afterwards
	commanded kind = "commanded" // typed the slash command
	pressed   kind = "pressed"   // pressed a button of a message
	submitted kind = "submitted" // sent a modal off
	shortcut  kind = "shortcut"  // used the app's shortcut
	opened    kind = "opened"    // opened the home tab
	overtaken kind = "overtaken" // nobody did: other rules took the release of a bore away
	strayed   kind = "strayed"   // wrote in the channel root what looks meant for a bore
)

// letter is what somebody did, as it is stored until it is worked off. It holds
// nothing of the payload that is not needed.
type letter struct {
	Key     string            `json:"key"` // the same when it is delivered again
	Kind    kind              `json:"kind"`
	Team    string            `json:"team"`
	Channel string            `json:"channel,omitempty"`
	Thread  string            `json:"thread,omitempty"` // timestamp of the thread's parent
	TS      string            `json:"ts"`               // the chat's own timestamp, which orders
	User    string            `json:"user,omitempty"`
	Name    string            `json:"name,omitempty"`    // of a program, which has no user
	Program bool              `json:"program,omitempty"` // written by an app
	Text    string            `json:"text,omitempty"`
	Answers string            `json:"answers,omitempty"` // id of the question whose button was pressed
	Files   []fileRef         `json:"files,omitempty"`
	Respond string            `json:"respond,omitempty"` // address for one answer
	Trigger string            `json:"trigger,omitempty"`
	View    string            `json:"view,omitempty"`  // callback of a modal
	Input   map[string]string `json:"input,omitempty"` // of a modal, by block
}

type fileRef struct {
	Name string `json:"name"`
	URL  string `json:"url"`
	Size int64  `json:"size"`
}

// direct says whether it was said in direct messages with the bot.
func (l *letter) direct() bool { return strings.HasPrefix(l.Channel, "D") }

// ref is who it was, for the ledger.
func (l *letter) ref() string { return "slack:" + l.Team + "/" + l.User }

// key makes a key of parts, short enough for the ledger with what the dialogue
// puts behind it.
func key(parts ...string) string {
	const most = 160
	k := strings.Join(parts, "/")
	if len(k) > most {
		sum := sha256.Sum256([]byte(k))
		k = parts[0] + "/" + hex.EncodeToString(sum[:])
	}
	return k
}

// read makes a letter of a payload; ok is false for one that is about nothing
// this app does. It reads only what it needs, so that a message with blocks that
// nobody can parse is a message all the same.
func read(raw Raw) (l letter, ok bool) {
	switch raw.Kind {
	case kindEvents:
		return readEvent(raw.Payload)
	case kindCommand:
		return readCommand(raw.Payload)
	case kindInteractive:
		return readInteraction(raw.Payload)
	}
	return letter{}, false
}

type eventPayload struct {
	Team string     `json:"team_id"`
	ID   string     `json:"event_id"`
	E    innerEvent `json:"event"`
}

type innerEvent struct {
	Type     string `json:"type"`
	Subtype  string `json:"subtype"`
	Channel  string `json:"channel"`
	User     string `json:"user"`
	BotID    string `json:"bot_id"`
	Username string `json:"username"`
	Text     string `json:"text"`
	TS       string `json:"ts"`
	ThreadTS string `json:"thread_ts"`
	EventTS  string `json:"event_ts"`
	Tab      string `json:"tab"`
	Files    []struct {
		Name    string `json:"name"`
		URL     string `json:"url_private_download"`
		Private string `json:"url_private"`
		Size    int64  `json:"size"`
	} `json:"files"`
	Message  *innerEvent `json:"message"`
	Previous *innerEvent `json:"previous_message"`
}

func readEvent(payload json.RawMessage) (letter, bool) {
	var p eventPayload
	if json.Unmarshal(payload, &p) != nil {
		return letter{}, false
	}
	l := letter{Team: p.Team, Channel: p.E.Channel, User: p.E.User, TS: p.E.TS, Thread: p.E.ThreadTS}
	switch p.E.Type {
	case "message":
		return readMessage(l, p)
	case "app_mention":
		l.Kind, l.Key = mentioned, key("m", p.Team, p.E.Channel, p.E.TS)
		l.fill(p.E)
	case "app_home_opened":
		l.Kind, l.Key, l.TS = opened, key("e", p.Team, p.ID), p.E.EventTS
		return l, p.E.Tab == "home" && p.ID != ""
	default:
		return letter{}, false
	}
	return l, l.TS != ""
}

// readMessage: a message counts once, also when it comes as a mention too.
func readMessage(l letter, p eventPayload) (letter, bool) {
	switch p.E.Subtype {
	case "", "file_share", "thread_broadcast", "bot_message", "me_message":
		l.Kind, l.Key = said, key("m", p.Team, p.E.Channel, p.E.TS)
		l.fill(p.E)
		return l, l.TS != "" && l.Channel != ""
	case "message_changed":
		now, was := p.E.Message, p.E.Previous
		if now == nil || was == nil || now.Text == was.Text || p.ID == "" {
			return letter{}, false
		}
		l.Kind, l.Key, l.User, l.Thread = edited, key("e", p.Team, p.ID), now.User, now.ThreadTS
		l.fill(*now)
		l.TS = p.E.EventTS
		return l, l.User != ""
	}
	return letter{}, false
}

// fill takes over what was said.
func (l *letter) fill(e innerEvent) {
	l.Text, l.Name, l.Program = plain(e.Text), e.Username, e.BotID != "" || e.Subtype == "bot_message"
	if l.Program && l.User == "" {
		l.User = e.BotID
	}
	for _, f := range e.Files {
		if f.URL == "" {
			f.URL = f.Private
		}
		l.Files = append(l.Files, fileRef{Name: f.Name, URL: f.URL, Size: f.Size})
	}
}

func readCommand(payload json.RawMessage) (letter, bool) {
	var p struct {
		Team    string `json:"team_id"`
		Channel string `json:"channel_id"`
		User    string `json:"user_id"`
		Text    string `json:"text"`
		Respond string `json:"response_url"`
		Trigger string `json:"trigger_id"`
	}
	if json.Unmarshal(payload, &p) != nil || p.Trigger == "" {
		return letter{}, false
	}
	return letter{
		Kind: commanded, Key: key("c", p.Team, p.Trigger), Team: p.Team, Channel: p.Channel, User: p.User,
		Text: plain(p.Text), Respond: p.Respond, Trigger: p.Trigger,
	}, true
}
