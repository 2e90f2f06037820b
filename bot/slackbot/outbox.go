package slackbot

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/slack-go/slack"
)

const (
	outKey     = "out/"    // + lane, then id: a message that waits
	deadKey    = "dead/"   // + id: one that could not be sent
	bytesKey   = "bytes/"  // + id: a drawing that waits with its message
	installKey = "install" // a random name of this mail, so that ids are unique for ever
)

// outbox sends what waits, in order, and never the same message twice.
type outbox struct {
	cfg    Config
	api    *slack.Client
	places *places
	health *health
	self   self
	name   string // of this installation

	mu     sync.Mutex
	last   int64
	lanes  map[string]*lane
	work   sync.WaitGroup
	ctx    context.Context // the life of the service, set once by load
	posted chan struct{}   // closed and replaced when a message found its place
}

type lane struct {
	items []*item
	busy  bool
	next  time.Time // not before
}

func newOutbox(cfg Config, api *slack.Client, p *places, h *health) *outbox {
	return &outbox{cfg: cfg, api: api, places: p, health: h, lanes: map[string]*lane{}, posted: make(chan struct{})}
}

// load takes up what waits from the last run.
func (o *outbox) load(ctx context.Context) error {
	o.ctx = ctx
	name, found, err := o.cfg.Table.Get(ctx, installKey)
	if err != nil {
		return err
	}
	if !found {
		raw := make([]byte, 8)
		rand.Read(raw)
		name = []byte(hex.EncodeToString(raw))
		if err := o.cfg.Table.Apply(ctx, map[string][]byte{installKey: name}, nil); err != nil {
			return err
		}
	}
	o.name = string(name)
	var waits []*item
	err = o.cfg.Table.Each(ctx, outKey, func(_ string, value []byte) error {
		it := &item{}
		err := json.Unmarshal(value, it)
		waits = append(waits, it)
		return err
	})
	if err != nil {
		return err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, it := range waits {
		o.enqueue(it)
	}
	return nil
}

// id is a new one, later in order than every one before.
func (o *outbox) id() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.last = max(o.last+1, o.cfg.Clock.Now().UnixNano())
	return fmt.Sprintf("%020d", o.last)
}

// backlog is how many messages wait.
func (o *outbox) backlog() int {
	o.mu.Lock()
	defer o.mu.Unlock()
	n := 0
	for _, l := range o.lanes {
		n += len(l.items)
	}
	return n
}

func (o *outbox) wait() { o.work.Wait() }

// add makes items durable together with other changes, and then sends them. An
// item with Once takes the place of the one that waits under that word.
func (o *outbox) add(ctx context.Context, items []*item, puts map[string][]byte, deletes []string) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, it := range items {
		value, err := json.Marshal(it)
		if err != nil {
			return err
		}
		puts[it.storeKey()] = value
		if old := o.waitingFor(it); old != nil {
			deletes = append(deletes, old.storeKey())
		}
	}
	o.mu.Unlock()
	err := o.cfg.Table.Apply(ctx, puts, deletes)
	o.mu.Lock()
	if err != nil {
		return err
	}
	for _, it := range items {
		if old := o.waitingFor(it); old != nil {
			o.drop(old)
		}
		o.enqueue(it)
	}
	return nil
}

// waitingFor is an item that another one makes needless, unless it is being sent.
func (o *outbox) waitingFor(it *item) *item {
	l := o.lanes[it.lane()]
	if l == nil || it.Once == "" {
		return nil
	}
	for i, old := range l.items {
		if old.Once == it.Once && (i > 0 || !l.busy) {
			return old
		}
	}
	return nil
}

func (o *outbox) drop(old *item) {
	l := o.lanes[old.lane()]
	for i, it := range l.items {
		if it == old && (i > 0 || !l.busy) {
			l.items = append(l.items[:i:i], l.items[i+1:]...)
			return
		}
	}
}

// enqueue puts an item behind the others of its lane, and starts the lane if it
// rests. The lock is held.
func (o *outbox) enqueue(it *item) {
	name := it.lane()
	l := o.lanes[name]
	if l == nil {
		l = &lane{}
		o.lanes[name] = l
	}
	l.items = append(l.items, it)
	if !l.busy {
		l.busy = true
		o.work.Go(func() { o.drain(l) })
	}
}

// drain sends what waits in a lane, then lets it rest.
func (o *outbox) drain(l *lane) {
	for {
		o.mu.Lock()
		if len(l.items) == 0 || o.ctx.Err() != nil {
			l.busy = false
			o.mu.Unlock()
			return
		}
		it, wait := l.items[0], l.next.Sub(o.cfg.Clock.Now())
		o.mu.Unlock()
		if wait > 0 && o.cfg.Clock.Sleep(o.ctx, wait) != nil {
			continue
		}
		wait, finished := o.send(o.ctx, it)
		o.mu.Lock()
		l.next = o.cfg.Clock.Now().Add(max(wait, o.gap(it)))
		if finished {
			l.items = l.items[1:]
		}
		o.mu.Unlock()
	}
}

// gap is the least time to the next item of the lane.
func (o *outbox) gap(it *item) time.Duration {
	if it.Op == opHint || it.Op == opAnswer {
		return 0
	}
	return o.cfg.Pace
}

// finish takes an item out for good; where it was posted is kept if that will be
// asked for.
func (o *outbox) finish(it *item, at posted) error {
	puts, deletes := map[string][]byte{}, []string{it.storeKey()}
	if it.Keep && at.TS != "" {
		value, err := json.Marshal(at)
		if err != nil {
			return err
		}
		puts[sentKey+it.ID] = value
	}
	if it.File != nil {
		deletes = append(deletes, bytesKey+it.ID)
	}
	// A message that was sent is sent, also while the service is being stopped.
	err := o.cfg.Table.Apply(context.WithoutCancel(o.ctx), puts, deletes)
	if err == nil && it.Keep && at.TS != "" {
		o.places.settled(it.ID, at)
	}
	o.tell()
	return err
}

// tell wakes whoever waits for a message to find its place.
func (o *outbox) tell() {
	o.mu.Lock()
	defer o.mu.Unlock()
	close(o.posted)
	o.posted = make(chan struct{})
}

// waits says whether a message still waits to be sent, and gives what is closed
// when that may have changed.
func (o *outbox) waits(id string) (bool, <-chan struct{}) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, l := range o.lanes {
		for _, it := range l.items {
			if it.ID == id {
				return true, o.posted
			}
		}
	}
	return false, o.posted
}

// metadata is what a message carries to be known again.
const eventType = "firstrod_message"

func (o *outbox) mark(it *item) slack.SlackMetadata {
	return slack.SlackMetadata{EventType: eventType, EventPayload: map[string]any{"id": o.name + "." + strings.TrimLeft(it.ID, "0")}}
}
