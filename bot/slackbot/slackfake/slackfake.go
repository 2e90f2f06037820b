// Package slackfake is a stand-in for the chat service on 127.0.0.1: its Web
// API, its Socket Mode and its signed HTTP delivery, for tests only.
//
// Call [New] first; it stops itself when the test ends. Point the program under
// test at [Server.API] with the tokens [Server.BotToken] and
// [Server.AppToken], describe the workspace with [Server.AddUser],
// [Server.AddChannel] and [Server.AddGroup], then act as the people in it:
// [Server.Say], [Server.Slash], [Server.Press], [Server.Submit],
// [Server.Upload]. [Server.Messages] shows what a person would see;
// [Server.Fail], [Server.LoseAcks], [Server.Duplicate], [Server.Swallow],
// [Server.CutSockets] and [Server.Disconnect] make trouble.
//
// Behaviour follows the public documentation of the service and the client
// libraries read for this project. Where a reply could not be looked up the
// code says "from memory". Every method may be called from many goroutines.
package slackfake

import (
	"math/rand/v2"
	"net/http/httptest"
	"sync"
	"testing"
	"time"
)

// Config is what a test may change about the workspace. [New] fills it with
// values that work.
type Config struct {
	BotToken, AppToken string // the two tokens that are accepted
	SigningSecret      string // key of signed HTTP delivery
	TeamID             string
	EnterpriseID       string   // empty: a workspace outside any organisation
	AppID              string   // the app's own id
	BotID, BotUserID   string   // the bot and the user it acts as
	Command            string   // name of the slash command, with its slash
	Scopes             []string // what the app was granted; see [AllScopes]

	AckTimeout  time.Duration // an event unacknowledged this long comes again
	Retries     int           // how often it comes again
	PingEvery   time.Duration // 0: no pings at all
	TriggerLife time.Duration // how long a trigger id opens a view
	PostPace    time.Duration // posts closer than this in a channel get 429; 0: never
	Seed        uint64        // which of several sockets gets a payload
	Clock       func() time.Time
}

// AllScopes lists the scopes of the largest of the three app manifests.
func AllScopes() []string {
	return []string{
		"app_mentions:read", "channels:history", "chat:write", "commands", "files:read", "files:write",
		"groups:history", "im:history", "pins:write", "reactions:write", "usergroups:read", "users:read",
	}
}

func defaults() Config {
	return Config{
		BotToken: "xoxb-fake-bot", AppToken: "xapp-fake-app", SigningSecret: "0123456789abcdef0123456789abcdef",
		TeamID: "T0FAKE001", AppID: "A0FAKE001", BotID: "B0FAKE001", BotUserID: "U0BOT0001",
		Command: "/firstrod", Scopes: AllScopes(),
		AckTimeout: 3 * time.Second, Retries: 3, PingEvery: 2 * time.Second, TriggerLife: 3 * time.Second,
		Seed: 1, Clock: time.Now,
	}
}

// Server is the fake. The zero value is of no use; call [New].
type Server struct {
	cfg  Config
	t    testing.TB
	http *httptest.Server
	work sync.WaitGroup // socket loops and redeliveries

	mu       sync.Mutex
	changed  chan struct{} // closed and replaced at every change
	done     chan struct{} // closed by Close
	closed   bool
	rand     *rand.Rand
	lastTick int64 // microseconds of the newest timestamp given out
	serial   int   // for ids

	users    map[string]User
	channels map[string]*Channel
	groups   map[string][]string
	messages []*Message
	index    map[[2]string]*Message // by channel and timestamp
	ephemera []Message
	files    map[string]*File
	views    map[string]*View
	stacks   map[string][]string // user: ids of the open modals, newest last
	homes    map[string]string   // user: id of the published home view
	triggers map[string]trigger
	replies  map[string]*replyURL
	lastPost map[string]time.Time

	calls   []Call
	emitted map[string][][]byte
	faults  map[string][]Fault
	asked   int // calls that faults were looked up for

	failEach func(method string, nth int) Fault

	sockets    []*socket // oldest first
	tickets    map[string]bool
	ghosts     int
	opened     int // sockets opened so far
	deliveries []*Delivery
	envelopes  map[string]*Delivery
	pending    map[*Delivery]bool // neither acknowledged nor given up
	parked     []*Delivery        // events waiting for a socket
	releasing  bool               // they are being sent; what comes meanwhile waits behind them
	echoes     []*Delivery        // events caused by the bot's own calls, not sent yet
	trouble    trouble
	endpoints  *Endpoints
}

// New starts a fake workspace holding the bot and nobody else, and stops it
// when the test ends. Each tune may change the configuration.
func New(t testing.TB, tune ...func(*Config)) *Server {
	t.Helper()
	cfg := defaults()
	for _, f := range tune {
		f(&cfg)
	}
	s := &Server{
		cfg: cfg, t: t, changed: make(chan struct{}), done: make(chan struct{}), rand: rand.New(rand.NewPCG(cfg.Seed, cfg.Seed)),
		users: map[string]User{}, channels: map[string]*Channel{}, groups: map[string][]string{}, index: map[[2]string]*Message{},
		files: map[string]*File{}, views: map[string]*View{}, stacks: map[string][]string{}, homes: map[string]string{},
		triggers: map[string]trigger{}, replies: map[string]*replyURL{}, lastPost: map[string]time.Time{},
		emitted: map[string][][]byte{}, faults: map[string][]Fault{},
		tickets: map[string]bool{}, envelopes: map[string]*Delivery{}, pending: map[*Delivery]bool{},
	}
	s.users[cfg.BotUserID] = User{ID: cfg.BotUserID, Name: "bot", IsBot: true, TeamID: cfg.TeamID}
	s.http = httptest.NewServer(s.routes())
	t.Cleanup(s.Close)
	return s
}

// Close cuts every socket, stops the server and waits for its goroutines.
// Closing twice is harmless.
func (s *Server) Close() {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	s.closed = true
	close(s.done)
	for _, d := range s.deliveries {
		d.stop()
	}
	s.mu.Unlock()
	s.CutSockets()
	s.http.CloseClientConnections()
	s.http.Close()
	s.work.Wait()
}

// URL is the root of the server, without a trailing slash.
func (s *Server) URL() string { return s.http.URL }

// API is the base of the Web API, with the trailing slash the client libraries
// want.
func (s *Server) API() string { return s.http.URL + "/api/" }

// BotToken is the token of the bot.
func (s *Server) BotToken() string { return s.cfg.BotToken }

// AppToken is the token that opens sockets.
func (s *Server) AppToken() string { return s.cfg.AppToken }

// SigningSecret is the key that HTTP deliveries are signed with.
func (s *Server) SigningSecret() string { return s.cfg.SigningSecret }

// BotUser is the user id the bot acts as.
func (s *Server) BotUser() string { return s.cfg.BotUserID }

// Team is the id of the workspace.
func (s *Server) Team() string { return s.cfg.TeamID }

// Scopes replaces what the app is granted, as after a new installation.
func (s *Server) Scopes(granted ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.cfg.Scopes = granted
}

// Wait blocks until cond holds, looking again after every change and at least
// every 20 ms, and fails the test after the given time. Call it from the test's
// own goroutine. cond must not keep a lock of the server.
func (s *Server) Wait(what string, within time.Duration, cond func() bool) {
	s.t.Helper()
	deadline := time.NewTimer(within)
	defer deadline.Stop()
	for {
		s.mu.Lock()
		changed := s.changed
		s.mu.Unlock()
		if cond() {
			return
		}
		again := time.NewTimer(20 * time.Millisecond)
		select {
		case <-changed:
		case <-again.C:
		case <-deadline.C:
			again.Stop()
			s.t.Fatalf("waited %v in vain: %s", within, what)
		}
		again.Stop()
	}
}

// Forget drops what was recorded so far (calls, deliveries, emitted payloads,
// messages, files, closed views), so that a long run does not grow.
func (s *Server) Forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, d := range s.deliveries {
		d.stop()
	}
	s.parked = nil
	clear(s.pending)
	clear(s.envelopes)
	s.calls, s.deliveries, s.messages, s.ephemera = nil, nil, nil, nil
	clear(s.index)
	clear(s.emitted)
	clear(s.files)
	clear(s.triggers)
	clear(s.replies)
	clear(s.tickets)
}

// touch tells every waiter that something changed. The lock is held.
func (s *Server) touch() {
	close(s.changed)
	s.changed = make(chan struct{})
}
