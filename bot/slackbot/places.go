package slackbot

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"firstrod/bot"
)

const (
	threadKey = "thread/" // + bore
	directKey = "direct/" // + channel
	sentKey   = "sent/"   // + id of a message: where it was posted
)

// place is where a conversation takes place: the thread of a bore, or the direct
// messages of a person. It is a view; what was said is in the ledger.
type place struct {
	Bore    string            `json:"bore"`
	Team    string            `json:"team"`
	Channel string            `json:"channel"`
	Parent  string            `json:"parent,omitempty"` // id of the message that opens the thread; "" for direct messages
	Opener  string            `json:"opener,omitempty"` // user who opened the thread
	Asked   []asked           `json:"asked,omitempty"`  // the last questions, newest last
	People  map[string]string `json:"people,omitempty"` // user -> role, of everybody who took part
	Verdict string            `json:"verdict,omitempty"`
	Lang    string            `json:"lang,omitempty"`  // asked for here; "" for that of each person
	Waits   *waits            `json:"waits,omitempty"` // what the last question is about, where only the dialogue knows that
}

// waits is something that was said and must be settled by the next answer: a
// signature that wants a yes, a value that was not surely understood. It records
// nothing, so that it can be said again to the dialogue after a restart.
type waits struct {
	Text    string      `json:"text"`
	Answers string      `json:"answers"`
	Key     string      `json:"key"`
	Who     bot.Speaker `json:"who"`
}

// asked is a question that was put.
type asked struct {
	Post   string          `json:"post"` // id of its message
	ID     string          `json:"id"`   // what an answer must be about
	Text   string          `json:"text,omitempty"`
	Blocks json.RawMessage `json:"blocks,omitempty"` // as posted; nil when there are no buttons to take away
}

// keptQuestions is how many are remembered: enough for answers that come late.
const keptQuestions = 6

// posted is where a message is.
type posted struct {
	Channel string `json:"channel"`
	TS      string `json:"ts"`
}

// places knows every thread, and where messages are that will be changed.
type places struct {
	table Table

	mu       sync.RWMutex
	threads  map[string]place  // bore -> thread
	directs  map[string]place  // channel -> direct messages
	byThread map[posted]string // where the parent is -> bore
	sent     map[string]posted // message id -> where it is
}

func newPlaces(t Table) *places {
	return &places{
		table: t, threads: map[string]place{}, directs: map[string]place{},
		byThread: map[posted]string{}, sent: map[string]posted{},
	}
}

// load reads them after a start.
func (p *places) load(ctx context.Context) error {
	err := p.table.Each(ctx, sentKey, func(k string, value []byte) error {
		var at posted
		err := json.Unmarshal(value, &at)
		p.sent[strings.TrimPrefix(k, sentKey)] = at
		return err
	})
	if err != nil {
		return err
	}
	for _, prefix := range []string{threadKey, directKey} {
		err := p.table.Each(ctx, prefix, func(_ string, value []byte) error {
			var pl place
			if err := json.Unmarshal(value, &pl); err != nil {
				return err
			}
			p.set(pl)
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// set makes a place known as it is now.
func (p *places) set(pl place) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if pl.Parent == "" {
		p.directs[pl.Channel] = pl
		return
	}
	p.threads[pl.Bore] = pl
	if at, ok := p.sent[pl.Parent]; ok {
		p.byThread[at] = pl.Bore
	}
}

// settled notes where a message was posted.
func (p *places) settled(id string, at posted) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sent[id] = at
	for bore, t := range p.threads {
		if t.Parent == id {
			p.byThread[at] = bore
		}
	}
}

// forget drops what is not needed any more of messages.
func (p *places) forget(ids []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, id := range ids {
		delete(p.sent, id)
	}
}

// where is the place of a message; ok is false if it was not posted yet.
func (p *places) where(id string) (posted, bool) {
	p.mu.RLock()
	defer p.mu.RUnlock()
	at, ok := p.sent[id]
	return at, ok
}

// thread is the thread of a bore.
func (p *places) thread(bore string) (place, bool) {
	p.mu.RLock()
	defer p.mu.RUnlock()
	pl, ok := p.threads[bore]
	return pl, ok
}

// bore is the bore of a thread; "" for a thread that is about none.
func (p *places) bore(channel, thread string) string {
	p.mu.RLock()
	defer p.mu.RUnlock()
	return p.byThread[posted{channel, thread}]
}

// direct is the state of direct messages.
func (p *places) direct(team, channel string) place {
	p.mu.RLock()
	defer p.mu.RUnlock()
	if pl, ok := p.directs[channel]; ok {
		return pl
	}
	return place{Team: team, Channel: channel}
}

// in lists the bores that have their thread in a channel.
func (p *places) in(channel string) []string {
	p.mu.RLock()
	defer p.mu.RUnlock()
	var all []string
	for bore, t := range p.threads {
		if t.Channel == channel {
			all = append(all, bore)
		}
	}
	slices.Sort(all)
	return all
}

// onScreen is the id of the question that was on the screen at a time of the
// chat, long enough to be read: the newest that had been posted by then. "none"
// when there was none.
func (p *places) onScreen(pl place, ts string, read time.Duration) string {
	said, ok := moment(ts)
	for _, q := range slices.Backward(pl.Asked) {
		at, there := p.where(q.Post)
		if !there || !ok {
			continue
		}
		if put, ok := moment(at.TS); ok && said.Sub(put) >= read && at.TS <= ts {
			return q.ID
		}
	}
	return "none"
}

// moment reads a timestamp of the chat.
func moment(ts string) (time.Time, bool) {
	whole, part, _ := strings.Cut(ts, ".")
	s, err := strconv.ParseInt(whole, 10, 64)
	us, err2 := strconv.ParseInt(part, 10, 64)
	return time.Unix(s, us*1000), err == nil && (err2 == nil || part == "")
}

// storeKey is where a place is kept.
func (pl place) storeKey() string {
	if pl.Parent == "" {
		return directKey + pl.Channel
	}
	return threadKey + pl.Bore
}

// room is the name of its conversation.
func (pl place) room() string {
	if pl.Parent == "" {
		return "slack:" + pl.Team + "/" + pl.Channel
	}
	return "slack:" + pl.Team + "/bore/" + pl.Bore
}

// clone is a copy that may be changed.
func (pl place) clone() place {
	pl.Asked = slices.Clone(pl.Asked)
	people := map[string]string{}
	for u, r := range pl.People {
		people[u] = r
	}
	pl.People = people
	return pl
}
