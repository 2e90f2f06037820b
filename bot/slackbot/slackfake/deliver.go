package slackfake

import (
	"encoding/json"
	"time"
)

// prepare makes a delivery without sending it. The lock is held.
func (s *Server) prepare(kind, inner string, payload any) *Delivery {
	raw, err := json.Marshal(payload)
	if err != nil {
		s.t.Errorf("payload: %v", err)
	}
	s.serial++
	d := &Delivery{Kind: kind, Type: inner, Payload: raw, s: s, n: s.serial}
	s.pending[d] = true
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
func (s *Server) send(d *Delivery, again bool) { s.dispatch(d, again, false) }

// dispatch is send; waited is for what waited for a socket, which goes before
// everything that comes meanwhile.
func (s *Server) dispatch(d *Delivery, again, waited bool) {
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
	if d.Kind == Events && !again && !waited && (s.releasing || len(s.parked) > 0) {
		s.park(d)
		s.mu.Unlock()
		return
	}
	if via == nil && !ghost {
		if d.Kind == Events {
			s.park(d)
		} else {
			s.lose(d)
		}
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

// park keeps an event until there is a socket. The lock is held.
func (s *Server) park(d *Delivery) {
	if !d.parked {
		d.parked = true
		s.parked = append(s.parked, d)
	}
	s.touch()
}

// lose gives a payload up. The lock is held.
func (s *Server) lose(d *Delivery) {
	d.lost = true
	delete(s.pending, d)
	s.touch()
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
	if s.closed || d.acked || d.lost || d.parked {
		s.mu.Unlock()
		return
	}
	if d.Kind != Events || d.sends > s.cfg.Retries {
		s.lose(d)
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
	delete(s.pending, d)
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
	for {
		s.mu.Lock()
		waiting := s.parked
		if len(waiting) == 0 || s.live()+s.ghosts == 0 {
			s.mu.Unlock()
			return
		}
		if s.releasing {
			s.mu.Unlock()
			return // whoever is at it takes these too
		}
		s.releasing, s.parked = true, nil
		for _, d := range waiting {
			d.parked = false
			d.sends = max(d.sends, 1) // what nobody was there for counts as tried
		}
		s.mu.Unlock()
		for _, d := range waiting {
			s.dispatch(d, false, true)
		}
		s.mu.Lock()
		s.releasing = false
		s.mu.Unlock()
	}
}
