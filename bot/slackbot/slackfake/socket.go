package slackfake

import (
	"encoding/json"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// socket is one open connection of the bot.
type socket struct {
	conn     *websocket.Conn
	writing  sync.Mutex
	draining bool // told to go away; gets nothing more. Under the server's lock
	down     chan struct{}
	once     sync.Once
}

func (k *socket) write(frame []byte) {
	k.writing.Lock()
	defer k.writing.Unlock()
	k.conn.SetWriteDeadline(time.Now().Add(2 * time.Second)) //nolint:errcheck // the write below reports it
	if k.conn.WriteMessage(websocket.TextMessage, frame) != nil {
		k.cut()
	}
}

// cut closes the TCP connection without a goodbye.
func (k *socket) cut() {
	k.once.Do(func() {
		close(k.down)
		k.conn.NetConn().Close()
	})
}

// openConnection gives out an address with a ticket for one socket.
func (s *Server) openConnection(*request) reply {
	ticket := s.id("ticket-")
	s.tickets[ticket] = true
	return accept(map[string]any{"url": "ws" + s.http.URL[len("http"):] + "/link/" + ticket})
}

// serveSocket says hello, sends what waited, pings, and reads acknowledgements.
func (s *Server) serveSocket(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	ticket := r.PathValue("ticket")
	good := s.tickets[ticket] && !s.closed
	delete(s.tickets, ticket)
	if good {
		s.work.Add(1)
	}
	s.mu.Unlock()
	if !good {
		http.Error(w, "no such link", http.StatusNotFound)
		return
	}
	defer s.work.Done()
	upgrader := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	k := &socket{conn: conn, down: make(chan struct{})}
	defer k.cut()
	if !s.hello(k) {
		return
	}
	s.work.Add(1)
	go s.ping(k)
	s.listen(k)
	s.gone(k)
}

// hello greets a new socket and makes it known. The hello is on the wire
// before anything else can be.
func (s *Server) hello(k *socket) bool {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return false
	}
	s.opened++
	live := s.live() + s.ghosts + 1
	reason := s.trouble.greet()
	s.mu.Unlock()
	k.write(marshal(map[string]any{
		"type": "hello", "num_connections": live, "connection_info": map[string]any{"app_id": s.cfg.AppID},
		"debug_info": map[string]any{"host": "fake-host", "build_number": 1, "approximate_connection_time": 18060},
	}))
	s.mu.Lock()
	closed := s.closed
	if !closed {
		s.sockets = append(s.sockets, k)
		k.draining = reason != ""
	}
	s.touch()
	s.mu.Unlock()
	if closed {
		return false
	}
	if reason != "" {
		k.write(goodbye(reason))
		return true
	}
	s.release()
	return true
}

func goodbye(reason string) []byte {
	return marshal(map[string]any{
		"type": "disconnect", "reason": reason, "debug_info": map[string]any{"host": "fake-host"},
	})
}

func marshal(v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(err) // maps of strings and numbers always encode
	}
	return raw
}

func (s *Server) ping(k *socket) {
	defer s.work.Done()
	if s.cfg.PingEvery <= 0 {
		return
	}
	ticker := time.NewTicker(s.cfg.PingEvery)
	defer ticker.Stop()
	for {
		s.mu.Lock()
		silent := s.trouble.silent
		s.mu.Unlock()
		if !silent && k.conn.WriteControl(websocket.PingMessage, []byte("ping"), time.Now().Add(time.Second)) != nil {
			k.cut()
		}
		select {
		case <-ticker.C:
		case <-k.down:
			return
		}
	}
}

// listen reads acknowledgements until the socket ends.
func (s *Server) listen(k *socket) {
	for {
		_, frame, err := k.conn.ReadMessage()
		if err != nil {
			return
		}
		var ack struct {
			EnvelopeID string          `json:"envelope_id"`
			Payload    json.RawMessage `json:"payload"`
		}
		if json.Unmarshal(frame, &ack) == nil {
			s.acknowledge(ack.EnvelopeID, ack.Payload)
		}
	}
}

// gone forgets a socket. The events it took with it come again as soon as there
// is another; presses and commands do not.
func (s *Server) gone(k *socket) {
	k.cut()
	s.mu.Lock()
	s.sockets = slices.DeleteFunc(s.sockets, func(other *socket) bool { return other == k })
	var orphans []*Delivery
	for d := range s.pending {
		if d.via == k {
			orphans = append(orphans, d)
		}
	}
	slices.SortFunc(orphans, func(a, b *Delivery) int { return a.n - b.n })
	for _, d := range orphans {
		d.via = nil
		d.timer.Stop()
		if d.Kind == Events && d.sends <= s.cfg.Retries {
			s.park(d)
		} else {
			s.lose(d)
		}
	}
	others := s.live() > 0
	s.touch()
	s.mu.Unlock()
	if others {
		s.release()
	}
}

// live counts the sockets that get payloads. The lock is held.
func (s *Server) live() int {
	n := 0
	for _, k := range s.sockets {
		if !k.draining {
			n++
		}
	}
	return n
}

// pick chooses the socket for one payload at random; ghost means one that
// nobody is behind any more. The lock is held.
func (s *Server) pick() (via *socket, ghost bool) {
	n := s.live()
	if n+s.ghosts == 0 {
		return nil, false
	}
	at := s.rand.IntN(n + s.ghosts)
	for _, k := range s.sockets {
		if k.draining {
			continue
		}
		if at == 0 {
			return k, false
		}
		at--
	}
	return nil, true
}

// Sockets counts the live connections.
func (s *Server) Sockets() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.live()
}

// Opened counts the sockets opened since the start.
func (s *Server) Opened() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.opened
}
