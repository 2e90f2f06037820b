package slackfake

import (
	"encoding/json"
	"time"
)

// The kinds of payload the service sends an app.
const (
	Events      = "events_api"
	Command     = "slash_commands"
	Interactive = "interactive"
)

// Delivery is one payload on its way to the bot, with all its repetitions.
type Delivery struct {
	Kind    string          // [Events], [Command] or [Interactive]
	Type    string          // inner type, such as "message", "app_mention", "block_actions"
	Payload json.RawMessage // what was sent

	s       *Server
	n       int  // order of creation
	parked  bool // waits for a socket
	sends   int  // times it went out, duplicates not counted
	acked   bool // an acknowledgement was taken
	lost    bool // it will not come again
	sentAt  time.Time
	ackedAt time.Time
	answer  json.RawMessage
	timer   *time.Timer
	via     *socket
	deaf    bool // acknowledgements of the latest send are ignored
}

// Act is what one deed of a person set off: the message it left, if any, and
// the payloads sent for it.
type Act struct {
	Channel, TS string
	Deliveries  []*Delivery
}

// Acked tells whether every payload of the act was acknowledged; false when
// there was none.
func (a *Act) Acked() bool {
	for _, d := range a.Deliveries {
		if !d.Acked() {
			return false
		}
	}
	return len(a.Deliveries) > 0
}

// Reply is the payload of the first acknowledgement, nil when it was empty.
func (a *Act) Reply() json.RawMessage {
	for _, d := range a.Deliveries {
		if raw := d.Reply(); raw != nil {
			return raw
		}
	}
	return nil
}

// Again sends every payload of the act once more under a new envelope, as a
// repetition that the bot may have seen.
func (a *Act) Again() {
	for _, d := range a.Deliveries {
		d.s.send(d, true)
	}
}

// Acked tells whether the bot acknowledged and the fake listened.
func (d *Delivery) Acked() bool {
	d.s.mu.Lock()
	defer d.s.mu.Unlock()
	return d.acked
}

// Lost tells whether the payload was never acknowledged and will not come again.
func (d *Delivery) Lost() bool {
	d.s.mu.Lock()
	defer d.s.mu.Unlock()
	return d.lost && !d.acked
}

// Sends counts how often the payload went out.
func (d *Delivery) Sends() int {
	d.s.mu.Lock()
	defer d.s.mu.Unlock()
	return d.sends
}

// Reply is the payload of the acknowledgement, nil when there was none.
func (d *Delivery) Reply() json.RawMessage {
	d.s.mu.Lock()
	defer d.s.mu.Unlock()
	return d.answer
}

// Latency is the time from the latest send to the acknowledgement, 0 while
// there is none.
func (d *Delivery) Latency() time.Duration {
	d.s.mu.Lock()
	defer d.s.mu.Unlock()
	if !d.acked {
		return 0
	}
	return d.ackedAt.Sub(d.sentAt)
}

// Deliveries lists every payload sent since the start or the last Forget.
func (s *Server) Deliveries() []*Delivery {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]*Delivery(nil), s.deliveries...)
}

// Unacked counts the payloads that still wait for an acknowledgement.
func (s *Server) Unacked() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.pending)
}
