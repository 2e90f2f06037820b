package slackfake

import "slices"

// Mishap is what goes wrong with one send of one payload.
type Mishap struct {
	LoseAck   bool // the acknowledgement is ignored
	Twice     bool // the same envelope goes out twice
	Swallow   bool // it is never sent, though the service thinks it was
	CutBefore bool // the socket is cut instead of sending
	CutAfter  bool // the socket is cut right after sending
}

// plan is a mishap for the next sends of some kinds.
type plan struct {
	left  int
	kinds []string
	m     Mishap
}

type trouble struct {
	plans     []*plan
	each      func(kind string, nth int) Mishap
	nth       int
	silent    bool
	greetings []string
	lostAcks  int
	strayAcks int
}

// next decides what goes wrong with this send.
func (t *trouble) next(kind string) Mishap {
	t.nth++
	for _, p := range t.plans {
		if p.left > 0 && (len(p.kinds) == 0 || slices.Contains(p.kinds, kind)) {
			p.left--
			return p.m
		}
	}
	if t.each != nil {
		return t.each(kind, t.nth)
	}
	return Mishap{}
}

// greet takes the reason for which the next socket is sent away, "" for none.
func (t *trouble) greet() string {
	if len(t.greetings) == 0 {
		return ""
	}
	reason := t.greetings[0]
	t.greetings = t.greetings[1:]
	return reason
}

func (s *Server) plan(n int, kinds []string, m Mishap) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.trouble.plans = append(s.trouble.plans, &plan{n, kinds, m})
}

// LoseAcks ignores the acknowledgements of the next n payloads of the given
// kinds, all kinds by default. Unacknowledged events come again.
func (s *Server) LoseAcks(n int, kinds ...string) { s.plan(n, kinds, Mishap{LoseAck: true}) }

// Duplicate sends each of the next n payloads twice in the same envelope.
func (s *Server) Duplicate(n int, kinds ...string) { s.plan(n, kinds, Mishap{Twice: true}) }

// Swallow loses the next n payloads on the way, as a dead connection that the
// service takes for a live one does.
func (s *Server) Swallow(n int, kinds ...string) { s.plan(n, kinds, Mishap{Swallow: true}) }

// CutAfter cuts the socket right after each of the next n payloads.
func (s *Server) CutAfter(n int, kinds ...string) { s.plan(n, kinds, Mishap{CutAfter: true}) }

// Disturb asks f what goes wrong with every send by socket; nth counts from 1.
// f runs under the server's lock and must not call the server. nil ends it.
func (s *Server) Disturb(f func(kind string, nth int) Mishap) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.trouble.each = f
}

// LostAcks counts the acknowledgements that were ignored, StrayAcks those that
// named no known envelope.
func (s *Server) LostAcks() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.trouble.lostAcks
}

// StrayAcks counts the acknowledgements of envelopes nobody sent.
func (s *Server) StrayAcks() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.trouble.strayAcks
}

// Ghosts pretends that n dead connections are still counted as open: hello
// counts them and each takes its share of the payloads.
func (s *Server) Ghosts(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ghosts = n
}

// StopPings stops the pings on every socket, or starts them again.
func (s *Server) StopPings(stop bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.trouble.silent = stop
}

// CutSockets cuts every TCP connection of the sockets, without a goodbye. The
// service is taken to notice at once; see [Server.Ghosts] for when it does not.
func (s *Server) CutSockets() {
	for _, k := range s.all() {
		s.mu.Lock()
		k.draining = true
		s.mu.Unlock()
		k.cut()
	}
}

// Disconnect tells every socket to go away: "warning", "refresh_requested",
// "link_disabled" or "too_many_websockets". They get nothing more.
func (s *Server) Disconnect(reason string) {
	for _, k := range s.all() {
		s.mu.Lock()
		k.draining = true
		s.mu.Unlock()
		k.write(goodbye(reason))
	}
}

// DisconnectNext sends each of the next n sockets away right after its hello.
func (s *Server) DisconnectNext(n int, reason string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for range n {
		s.trouble.greetings = append(s.trouble.greetings, reason)
	}
}

// Raw writes a frame as it is to every socket: malformed, empty, or of an
// unknown type.
func (s *Server) Raw(frame []byte) {
	for _, k := range s.all() {
		k.write(frame)
	}
}

func (s *Server) all() []*socket {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.sockets)
}
