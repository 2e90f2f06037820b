package slackfake

import (
	"math"
	"net/http"
	"strconv"
	"time"
)

// Fault is one thing that goes wrong with one call: [Cut], [RateLimit],
// [Status], [Refuse] or [Slow].
type Fault interface {
	// before tells whether the call goes on to have its effect.
	before(w http.ResponseWriter, done <-chan struct{}) (goOn bool)
	// after tells whether the reply is still sent.
	after(w http.ResponseWriter, done <-chan struct{}) (reply bool)
}

// Cut closes the connection without a reply: before the call had its effect,
// or After it.
type Cut struct{ After bool }

// RateLimit answers 429 with Retry-After, whole seconds rounded up; the call
// has no effect.
type RateLimit struct{ After time.Duration }

// Status answers with a bare HTTP status, such as 503; the call has no effect
// unless After is set.
type Status struct {
	Code  int
	After bool
}

// Refuse answers {"ok":false,"error":Error}; the call has no effect.
type Refuse struct{ Error string }

// Slow waits before the effect, or After it and before the reply.
type Slow struct {
	For   time.Duration
	After bool
}

// Fail plans trouble for the next calls of a method (such as
// "chat.postMessage"), one fault a call, in order. The method "" means every
// method; "upload", "download" and "response_url" mean the three addresses that
// are no methods.
func (s *Server) Fail(method string, faults ...Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults[method] = append(s.faults[method], faults...)
}

// FailEach asks f what goes wrong with every call for which Fail planned
// nothing; nth counts all calls from 1, and nil means nothing. f runs under the
// server's lock and must not call the server. A nil f ends it.
func (s *Server) FailEach(f func(method string, nth int) Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.failEach = f
}

// Heal drops every planned fault.
func (s *Server) Heal() {
	s.mu.Lock()
	defer s.mu.Unlock()
	clear(s.faults)
	s.failEach = nil
}

// fault takes the next planned fault of a method. The lock is not held.
func (s *Server) fault(method string) Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.asked++
	for _, name := range []string{method, ""} {
		if planned := s.faults[name]; len(planned) > 0 {
			s.faults[name] = planned[1:]
			return planned[0]
		}
	}
	if s.failEach != nil {
		if f := s.failEach(method, s.asked); f != nil {
			return f
		}
	}
	return nothing{}
}

type nothing struct{}

func (nothing) before(http.ResponseWriter, <-chan struct{}) bool { return true }
func (nothing) after(http.ResponseWriter, <-chan struct{}) bool  { return true }

func (f Cut) before(w http.ResponseWriter, _ <-chan struct{}) bool {
	if !f.After {
		hangUp(w)
	}
	return f.After
}

func (f Cut) after(w http.ResponseWriter, _ <-chan struct{}) bool {
	hangUp(w)
	return false
}

func (f RateLimit) before(w http.ResponseWriter, _ <-chan struct{}) bool {
	w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(f.After.Seconds()))))
	w.WriteHeader(http.StatusTooManyRequests)
	return false
}

func (RateLimit) after(http.ResponseWriter, <-chan struct{}) bool { return false }

func (f Status) before(w http.ResponseWriter, _ <-chan struct{}) bool {
	if !f.After {
		w.WriteHeader(f.Code)
	}
	return f.After
}

func (f Status) after(w http.ResponseWriter, _ <-chan struct{}) bool {
	w.WriteHeader(f.Code)
	return false
}

func (f Refuse) before(w http.ResponseWriter, _ <-chan struct{}) bool {
	sendJSON(w, map[string]any{"ok": false, "error": f.Error})
	return false
}

func (Refuse) after(http.ResponseWriter, <-chan struct{}) bool { return false }

func (f Slow) before(_ http.ResponseWriter, done <-chan struct{}) bool {
	if !f.After {
		pause(f.For, done)
	}
	return true
}

func (f Slow) after(_ http.ResponseWriter, done <-chan struct{}) bool {
	if f.After {
		pause(f.For, done)
	}
	return true
}

func pause(d time.Duration, done <-chan struct{}) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-done:
	}
}

// hangUp cuts the TCP connection under a request.
func hangUp(w http.ResponseWriter) {
	conn, _, err := http.NewResponseController(w).Hijack()
	if err == nil {
		conn.Close()
	}
}
