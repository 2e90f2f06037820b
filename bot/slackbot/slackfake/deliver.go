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
	n := 0
	for _, d := range s.deliveries {
		if !d.acked && !d.lost {
			n++
		}
	}
	return n
}

// prepare makes a delivery without sending it. The lock is held.
func (s *Server) prepare(kind, inner string, payload any) *Delivery {
	raw, err := json.Marshal(payload)
	if err != nil {
		s.t.Errorf("payload: %v", err)
	}
	d := &Delivery{Kind: kind, Type: inner, Payload: raw, s: s}
	s.deliveries = append(s.deliveries, d)
	return d
}

// stop ends the repetitions. The lock is held.
func (d *Delivery) stop() {
	if d.timer != nil {
		d.timer.Stop()
	}
	d.lost = true
}

// send brings a payload on its way, by socket or HTTP. Events that meet no
// socket wait for one; anything else is lost, as on the real service, where the
// person sees an error. The lock is not held.
func (s *Server) send(d *Delivery, again bool) {
	s.mu.Lock()
	if s.closed || (d.acked || d.lost) && !again {
		s.mu.Unlock()
		return
	}
	if s.endpoints != nil {
		s.work.Add(1)
		go s.post(d, *s.endpoints, d.sends)
		s.began(d, nil, Mishap{})
		s.mu.Unlock()
		return
	}
	via, ghost := s.pick()
	if via == nil && !ghost {
		if d.Kind == Events {
			s.parked = append(s.parked, d)
		} else {
			d.lost = true
		}
		s.touch()
		s.mu.Unlock()
		return
	}
	m := s.trouble.next(d.Kind)
	frame, copies := s.frame(d), 1
	if m.Twice {
		copies = 2
	}
	s.began(d, via, m)
	s.mu.Unlock()
	if via == nil || m.Swallow {
		return
	}
	if m.CutBefore {
		via.cut()
		return
	}
	for range copies {
		via.write(frame)
	}
	if m.CutAfter {
		via.cut()
	}
}

// frame wraps the payload in a new envelope. The lock is held.
func (s *Server) frame(d *Delivery) []byte {
	id := s.id("env-")
	s.envelopes[id] = d
	envelope := map[string]any{
		"envelope_id": id, "type": d.Kind, "payload": d.Payload, "accepts_response_payload": d.Kind != Events,
	}
	if d.Kind == Events {
		envelope["retry_attempt"], envelope["retry_reason"] = d.sends, ""
		if d.sends > 0 {
			envelope["retry_reason"] = "timeout"
		}
	}
	raw, err := json.Marshal(envelope)
	if err != nil {
		s.t.Errorf("envelope: %v", err)
	}
	return raw
}

// began notes a send and plans the next one. Only events come again: a press or
// a command that nobody acknowledged is gone. The lock is held.
func (s *Server) began(d *Delivery, via *socket, m Mishap) {
	d.sends++
	d.sentAt, d.via, d.deaf = time.Now(), via, m.LoseAck
	if d.timer != nil {
		d.timer.Stop()
	}
	d.timer = time.AfterFunc(s.cfg.AckTimeout, func() { s.overdue(d) })
	s.touch()
}

// overdue sends an unacknowledged event again, or gives up.
func (s *Server) overdue(d *Delivery) {
	s.mu.Lock()
	if s.closed || d.acked || d.lost {
		s.mu.Unlock()
		return
	}
	if d.Kind != Events || d.sends > s.cfg.Retries {
		d.lost = true
		s.touch()
		s.mu.Unlock()
		return
	}
	s.work.Add(1)
	s.mu.Unlock()
	defer s.work.Done()
	s.send(d, false)
}

// acknowledge takes what the bot said to an envelope.
func (s *Server) acknowledge(envelope string, payload json.RawMessage) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.envelopes[envelope]
	switch {
	case d == nil:
		s.trouble.strayAcks++
	case d.deaf:
		s.trouble.lostAcks++
	default:
		s.accepted(d, payload)
	}
	s.touch()
}

// accepted notes an acknowledgement and does what it asks. The lock is held.
func (s *Server) accepted(d *Delivery, payload json.RawMessage) {
	if d.acked {
		return
	}
	d.acked, d.ackedAt = true, time.Now()
	if d.timer != nil {
		d.timer.Stop()
	}
	if len(payload) > 0 && string(payload) != "null" && string(payload) != "{}" {
		d.answer = payload
	}
	if d.Type == "view_submission" {
		s.submitted(d)
	}
}

// release sends the events that waited for a socket. The lock is not held.
func (s *Server) release() {
	s.mu.Lock()
	waiting := s.parked
	s.parked = nil
	for _, d := range waiting {
		d.sends = max(d.sends, 1) // what nobody was there for counts as tried
	}
	s.mu.Unlock()
	for _, d := range waiting {
		s.send(d, false)
	}
}
