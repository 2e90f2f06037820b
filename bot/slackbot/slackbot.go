// Package slackbot is the dialogue in a team chat: one thread for a bore, one
// question a message, buttons that can always be typed instead. It is the only
// package that knows the chat's client library.
//
// Call [New], then [Service.Run]; [Check] looks whether the app was set up with
// what it needs. [Service.Health] says how it stands.
//
// # What comes in
//
// A payload is normalised, dropped if it is about no bore, stored under a key
// that is the same when it is delivered again, and acknowledged. Only then it is
// worked off, in the order of the chat's own timestamps, one at a time in a
// thread. A crash between any two of these steps loses nothing and does nothing
// twice: the key is also the key of the record in the ledger.
//
// # What goes out
//
// Every message is stored before it is sent, a second apart in a channel, and
// carries an id in its metadata. When a call ends without an answer, the message
// is looked for before it is sent again.
//
// # Who may speak
//
// People with a role, from a list or from user groups. Everybody else is refused
// and the refusal recorded, but for one thing: a hold, or a report that
// something happened, is taken from any person. To stop is always safe.
package slackbot

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"runtime"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"firstrod/bot"
	"firstrod/engine"
)

// Service is the bot in one workspace.
type Service struct {
	cfg    Config
	bot    *bot.Bot
	api    *slack.Client
	self   self
	people *people
	health *health
	out    *outbox
	queues *queues
	places *places
	log    *slog.Logger

	life    context.Context // of Run, set once by it
	taking  sync.Mutex      // one batch is stored at a time
	tmu     sync.Mutex
	told    map[string]bool // programs that were refused in a thread already
	entered map[string]bool // rooms that the dialogue knows since the start
	bound   chan net.Addr   // told where signed HTTP listens, for tests; may be nil
	turns   chan struct{}   // holds one for each turn at work
	failed  chan error      // the store has stopped
	ready   chan struct{}   // closed once Run has taken up what the last run left
}

// self is who the bot is.
type self struct{ User, Bot, Team, URL string }

// New makes a service. It reaches nothing yet.
func New(cfg Config) (*Service, error) {
	cfg = cfg.withDefaults()
	if err := Ready(cfg); err != nil {
		return nil, err
	}
	s := &Service{
		cfg: cfg, bot: cfg.Bot, log: cfg.Log, health: newHealth(cfg.Log, cfg.Clock.Now),
		told: map[string]bool{}, entered: map[string]bool{}, failed: make(chan error, 1), ready: make(chan struct{}),
		turns: make(chan struct{}, max(1, runtime.NumCPU()-1)),
	}
	s.api = client(cfg, http.DefaultTransport)
	s.people = newPeople(cfg, s.api)
	s.places = newPlaces(cfg.Table)
	s.out = newOutbox(cfg, s.api, s.places, s.health)
	s.queues = newQueues(s.workOff)
	return s, nil
}

// client retries nothing by itself: whether a message may be sent again is for
// the outbox to say.
func client(c Config, t http.RoundTripper) *slack.Client {
	options := []slack.Option{
		slack.OptionHTTPClient(&http.Client{Transport: t}), slack.OptionLog(libraryLog{c.Log}),
	}
	if c.Tokens.App != "" {
		options = append(options, slack.OptionAppLevelToken(c.Tokens.App))
	}
	if c.APIURL != "" {
		options = append(options, slack.OptionAPIURL(c.APIURL))
	}
	return slack.New(c.Tokens.Bot, options...)
}

// libraryLog takes what the client library logs.
type libraryLog struct{ log *slog.Logger }

func (l libraryLog) Output(_ int, text string) error {
	l.log.Debug("chat library", "says", text)
	return nil
}

// Health is how the service stands.
func (s *Service) Health() Health { return s.health.now(s.out.backlog()) }

// Run works until ctx ends or the store stops. What is half done then is done
// after the next start.
func (s *Service) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s.life = ctx
	if err := s.begin(ctx); err != nil {
		stop()
		s.queues.wait()
		s.out.wait()
		return unlessStopped(err)
	}
	close(s.ready)
	var work sync.WaitGroup
	ended := make(chan error, 1)
	work.Go(func() { ended <- s.transport().Run(ctx, s.take) })
	var err error
	select {
	case err = <-s.failed:
	case err = <-ended:
	case <-ctx.Done():
	}
	stop()
	work.Wait()
	s.queues.wait()
	s.out.wait()
	return unlessStopped(err)
}

// unlessStopped: being told to stop is no error.
func unlessStopped(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// begin learns who the bot is, where its threads are, and takes up what the last
// run left.
func (s *Service) begin(ctx context.Context) error {
	if err := s.introduce(ctx); err != nil {
		return err
	}
	if err := s.places.load(ctx); err != nil {
		return err
	}
	if err := s.out.load(ctx); err != nil {
		return err
	}
	return s.takeUp(ctx)
}

// introduce asks the chat who the bot is, until it says so: a network that comes
// up late is no reason to give up, a refused token is.
func (s *Service) introduce(ctx context.Context) error {
	for wait := time.Second; ; wait = min(2*wait, time.Minute) {
		call, done := context.WithTimeout(ctx, s.cfg.Patience)
		me, err := s.api.AuthTestContext(call)
		done()
		switch {
		case err == nil:
			s.self = self{User: me.UserID, Bot: me.BotID, Team: me.TeamID, URL: me.URL}
			s.people.team = me.TeamID
			s.out.self = s.self
			return nil
		case isAuth(err):
			s.health.fatal("the bot token", err)
			return &engine.Error{
				Kind: engine.Usage, Say: "the chat refuses the bot token: " + code(err),
				Hint: "put the app's present bot token into FIRSTROD_SLACK_BOT_TOKEN", Err: err,
			}
		}
		s.health.trouble("the chat does not answer", err)
		if err := s.cfg.Clock.Sleep(ctx, wait); err != nil {
			return err
		}
	}
}

func (s *Service) transport() Transport {
	if s.cfg.Listen != "" {
		return &signedHTTP{addr: s.cfg.Listen, secret: s.cfg.Tokens.Signing, health: s.health, report: s.Health, log: s.log, bound: s.bound}
	}
	return newSocket(s.cfg, s.health)
}

// fail ends Run: nothing can be stored any more.
func (s *Service) fail(err error) {
	select {
	case s.failed <- fmt.Errorf("the team chat has stopped: %w", err):
	default:
	}
}
