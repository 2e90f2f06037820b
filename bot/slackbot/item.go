package slackbot

import (
	"encoding/json"
	"time"
)

// op is what is done with a message.
type op string

const (
	opPost   op = "post"   // a new message
	opUpdate op = "update" // one that stands, as it is to look from now on
	opPin    op = "pin"    // keep one at hand in the channel
	opHint   op = "hint"   // for one person's eyes only
	opAnswer op = "answer" // to a command, also where the bot is no member
	opUpload op = "upload" // a file
)

// item is a message that waits to be sent.
type item struct {
	ID        string          `json:"id"`
	Op        op              `json:"op"`
	Channel   string          `json:"channel"`
	Thread    string          `json:"thread,omitempty"` // id of the message that opens the thread; "" for the channel root
	Of        string          `json:"of,omitempty"`     // update, pin: the message that is meant
	User      string          `json:"user,omitempty"`   // hint: whose eyes
	At        string          `json:"at,omitempty"`     // hint: the thread's timestamp, where that is known
	URL       string          `json:"url,omitempty"`    // answer: where to
	Text      string          `json:"text,omitempty"`
	Blocks    json.RawMessage `json:"blocks,omitempty"`
	Broadcast bool            `json:"broadcast,omitempty"` // a reply that the channel sees too
	Keep      bool            `json:"keep,omitempty"`      // it will be changed, or counts as a question
	Once      string          `json:"once,omitempty"`      // of several that wait under one word only the last is sent
	Before    string          `json:"before,omitempty"`    // the message before it in its thread
	Fallback  string          `json:"fallback,omitempty"`  // address for an answer when it cannot be posted
	Owner     string          `json:"owner,omitempty"`     // user who is told in direct messages then
	File      *upload         `json:"file,omitempty"`
	Instead   string          `json:"instead,omitempty"` // upload: what is said where the app may send no files
	Tried     time.Time       `json:"tried,omitzero"`    // a call was begun: it may have had its effect
	Tries     int             `json:"tries,omitempty"`
	Looks     int             `json:"looks,omitempty"` // times it was looked for in vain since then
}

// lane is what an item has to wait for: posts are a second apart in a channel,
// and so, apart from them, are changes of what stands.
func (it *item) lane() string {
	switch it.Op {
	case opPost, opUpload:
		return it.Channel + "/post"
	case opHint, opAnswer:
		return it.Channel + "/hint"
	}
	return it.Channel + "/change"
}

func (it *item) storeKey() string { return outKey + it.lane() + "/" + it.ID }
