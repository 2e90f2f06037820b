package slackbot

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

const (
	// expectedConnections is how many sockets there should be: this one.
	expectedConnections = 1
	handshake           = 20 * time.Second
	frame               = 32 << 10 // as large as an acknowledgement gets, so that it is one frame
	acksWait            = 512      // acknowledgements that wait; what is beyond comes again
	fatalWait           = 5 * time.Second
	fatalWaitMost       = 5 * time.Minute
)

// socket is Socket Mode: no inbound port, right for a yard office behind a
// router. It reads the raw channel of events and nothing else; the library's own
// dispatcher loses their order, and its client stands still when the channel is
// not read.
type socket struct {
	api    *slack.Client
	health *health
	clock  Clock
	log    *slog.Logger
}

func newSocket(cfg Config, h *health) *socket {
	paced := &pacedOpen{next: http.DefaultTransport, gap: cfg.Reopen, clock: cfg.Clock}
	return &socket{api: client(cfg, paced), health: h, clock: cfg.Clock, log: cfg.Log}
}

// Run keeps one connection. The library reconnects by itself. It gives up on a
// refused token, which is tried again, seldom, under an alarm; and now and then
// on a connection that was cut while it closed, which is opened again at once.
func (t *socket) Run(ctx context.Context, take func(context.Context, []Raw)) error {
	wait := fatalWait
	for {
		err := t.once(ctx, take)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if !isAuth(err) {
			t.health.trouble("the connection was given up", err)
			wait = fatalWait
			continue // the opening is paced
		}
		t.health.fatal("the app token", err)
		if err := t.clock.Sleep(ctx, wait); err != nil {
			return err
		}
		wait = min(2*wait, fatalWaitMost)
	}
}

// session is one client of the library, from its start to its end.
type session struct {
	*socket
	client *socketmode.Client
	ctx    context.Context // its life
	acks   chan func()
}

// once runs one client of the library to its end.
func (t *socket) once(ctx context.Context, take func(context.Context, []Raw)) error {
	ctx, stop := context.WithCancel(ctx)
	c := socketmode.New(t.api, socketmode.OptionDialer(t.dialer()), socketmode.OptionLog(libraryLog{t.log}))
	n := &session{socket: t, client: c, ctx: ctx, acks: make(chan func(), acksWait)}
	ended := make(chan error, 1)
	go func() { ended <- c.RunContext(ctx) }()
	var work sync.WaitGroup
	work.Go(n.sendAcks)
	defer func() {
		stop()
		work.Wait()
	}()
	for {
		select {
		case err := <-ended:
			return err
		case first := <-c.Events:
			n.batch(first, take)
		}
	}
}

// sendAcks sends acknowledgements beside the reading: while the connection is
// down an acknowledgement waits, and reading must not.
func (n *session) sendAcks() {
	for {
		select {
		case send := <-n.acks:
			send()
		case <-n.ctx.Done():
			return
		}
	}
}

// batch takes an event and everything that waits behind it, so that one sync of
// the store serves them all.
func (n *session) batch(first socketmode.Event, take func(context.Context, []Raw)) {
	var raws []Raw
	add := func(evt socketmode.Event) {
		if raw, ok := n.raw(evt); ok {
			raws = append(raws, raw)
		}
	}
	add(first)
	for range cap(n.client.Events) {
		select {
		case evt := <-n.client.Events:
			add(evt)
			continue
		default:
		}
		break
	}
	if len(raws) > 0 {
		take(n.ctx, raws)
	}
}

// raw is the payload of an event, if it has one. What the library cannot parse
// has its envelope taken from the bytes: unacknowledged it would come for ever.
func (n *session) raw(evt socketmode.Event) (Raw, bool) {
	n.health.alive()
	id, kind, payload := "", string(evt.Type), json.RawMessage(nil)
	switch data := evt.Data.(type) {
	case *socketmode.ErrorBadMessage:
		var e struct {
			ID      string          `json:"envelope_id"`
			Type    string          `json:"type"`
			Payload json.RawMessage `json:"payload"`
		}
		if json.Unmarshal(data.Message, &e) == nil {
			id, kind, payload = e.ID, e.Type, e.Payload
		}
	case *slack.ConnectionErrorEvent:
		n.health.refused(data.ErrorObj)
	default:
		if evt.Type == socketmode.EventTypeHello && evt.Request != nil {
			n.health.connected(evt.Request.NumConnections, expectedConnections)
		} else if evt.Request != nil {
			id, payload = evt.Request.EnvelopeID, evt.Request.Payload
		}
	}
	if id == "" {
		return Raw{}, false
	}
	return Raw{Kind: kind, Payload: payload, Ack: func(_ context.Context, answer any) error { return n.ack(id, answer) }}, true
}

var errAcks = errors.New("too many acknowledgements wait")

// ack acknowledges within two seconds, or not at all: the payload then comes
// again, and is known.
func (n *session) ack(id string, answer any) error {
	send := func() {
		ctx, done := context.WithTimeout(n.ctx, ackWithin)
		defer done()
		if err := n.client.AckCtx(ctx, id, answer); err != nil && n.ctx.Err() == nil {
			n.log.Warn("an acknowledgement was not sent", "error", err)
		}
	}
	select {
	case n.acks <- send:
		return nil
	default:
		return errAcks
	}
}

// dialer connects so that every byte that comes in is a sign of life, pings too,
// which the library shows nobody.
func (t *socket) dialer() *websocket.Dialer {
	plain := &net.Dialer{Timeout: handshake, KeepAlive: 15 * time.Second}
	return &websocket.Dialer{
		Proxy: http.ProxyFromEnvironment, HandshakeTimeout: handshake, WriteBufferSize: frame,
		NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
			conn, err := plain.DialContext(ctx, network, addr)
			if err != nil {
				return nil, err
			}
			return heard{conn, t.health}, nil
		},
	}
}

type heard struct {
	net.Conn
	health *health
}

func (h heard) Read(p []byte) (int, error) {
	n, err := h.Conn.Read(p)
	if n > 0 {
		h.health.alive()
	}
	return n, err
}

// isAuth says whether the chat refuses a token for good.
func isAuth(err error) bool {
	if err == nil {
		return false
	}
	switch code(err) {
	case "invalid_auth", "not_authed", "account_inactive", "token_revoked", "token_expired", "not_allowed_token_type":
		return true
	}
	return false
}

// code is the chat's own word for an error, or the error.
func code(err error) string {
	if e, ok := errors.AsType[slack.SlackErrorResponse](err); ok {
		return e.Err
	}
	if err == nil {
		return ""
	}
	return err.Error()
}
