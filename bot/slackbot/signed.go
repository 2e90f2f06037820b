package slackbot

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"sync"
	"time"

	"github.com/slack-go/slack"
)

// maxBody is the most bytes a request may have.
const maxBody = 1 << 20

// signedHTTP takes payloads as signed requests, for where long-lived sockets are
// not allowed. It speaks plain HTTP: put it behind a proxy that has the
// certificate. A request that was recorded and is sent again is harmless: its
// payload has the same key.
type signedHTTP struct {
	addr, secret string
	health       *health
	report       func() Health
	log          *slog.Logger
	bound        chan<- net.Addr // told the address, for tests; may be nil
}

// Run serves until ctx ends.
func (t *signedHTTP) Run(ctx context.Context, take func(context.Context, []Raw)) error {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", t.addr)
	if err != nil {
		return err
	}
	if t.bound != nil {
		t.bound <- l.Addr()
	}
	srv := &http.Server{
		Handler: t.routes(take), BaseContext: func(net.Listener) context.Context { return ctx },
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 10 * time.Second,
		IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10, ErrorLog: slog.NewLogLogger(t.log.Handler(), slog.LevelDebug),
	}
	serving, stop := context.WithCancel(ctx)
	var work sync.WaitGroup
	work.Go(func() {
		<-serving.Done()
		grace, done := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
		defer done()
		if srv.Shutdown(grace) != nil {
			srv.Close() //nolint:errcheck // nothing is left to be done about it
		}
	})
	err = srv.Serve(l)
	stop()
	work.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		return ctx.Err()
	}
	return err
}

func (t *signedHTTP) routes(take func(context.Context, []Raw)) http.Handler {
	mux := http.NewServeMux()
	for path, parse := range map[string]func([]byte) (Raw, error){
		"events": eventBody, "commands": commandBody, "interactive": interactiveBody,
	} {
		mux.HandleFunc("POST /slack/"+path, func(w http.ResponseWriter, r *http.Request) { t.serve(w, r, parse, take) })
	}
	mux.HandleFunc("GET /health", func(w http.ResponseWriter, _ *http.Request) {
		state := t.report()
		if state.Fatal != "" {
			w.WriteHeader(http.StatusServiceUnavailable)
		}
		json.NewEncoder(w).Encode(state) //nolint:errcheck // the reader may be gone
	})
	return mux
}

// serve takes one request: genuine first, then understood, then stored.
func (t *signedHTTP) serve(w http.ResponseWriter, r *http.Request, parse func([]byte) (Raw, error), take func(context.Context, []Raw)) {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
	if err != nil {
		http.Error(w, "too large", http.StatusRequestEntityTooLarge)
		return
	}
	if err := genuine(r.Header, t.secret, body); err != nil {
		t.log.Warn("a request was refused", "from", r.RemoteAddr, "error", err)
		http.Error(w, "not signed", http.StatusUnauthorized)
		return
	}
	t.health.alive()
	if challenge, ok := challenged(body); ok {
		w.Header().Set("Content-Type", "text/plain")
		io.WriteString(w, challenge) //nolint:errcheck // the reader may be gone
		return
	}
	raw, err := parse(body)
	if err != nil {
		http.Error(w, "not understood", http.StatusBadRequest)
		return
	}
	acked := false
	raw.Ack = func(_ context.Context, answer any) error {
		acked = true
		if answer == nil {
			w.WriteHeader(http.StatusOK)
			return nil
		}
		w.Header().Set("Content-Type", "application/json")
		return json.NewEncoder(w).Encode(answer)
	}
	take(r.Context(), []Raw{raw})
	if !acked {
		http.Error(w, "not stored", http.StatusServiceUnavailable)
	}
}

func genuine(h http.Header, secret string, body []byte) error {
	v, err := slack.NewSecretsVerifier(h, secret)
	if err != nil {
		return err
	}
	if _, err := v.Write(body); err != nil {
		return err
	}
	return v.Ensure()
}

// challenged answers the question that is asked when the address is set up.
func challenged(body []byte) (string, bool) {
	var e struct{ Type, Challenge string }
	if json.Unmarshal(body, &e) != nil || e.Type != "url_verification" {
		return "", false
	}
	return e.Challenge, true
}

var errNoPayload = errors.New("no payload")

func eventBody(body []byte) (Raw, error) {
	if !json.Valid(body) {
		return Raw{}, errNoPayload
	}
	return Raw{Kind: kindEvents, Payload: body}, nil
}

func commandBody(body []byte) (Raw, error) {
	form, err := url.ParseQuery(string(body))
	if err != nil || form.Get("command") == "" {
		return Raw{}, errNoPayload
	}
	flat := map[string]string{}
	for key := range form {
		flat[key] = form.Get(key)
	}
	payload, err := json.Marshal(flat)
	return Raw{Kind: kindCommand, Payload: payload}, err
}

// interactiveBody takes the payload from the signed body and from nowhere else.
func interactiveBody(body []byte) (Raw, error) {
	form, err := url.ParseQuery(string(body))
	if err != nil || !json.Valid([]byte(form.Get("payload"))) {
		return Raw{}, errNoPayload
	}
	return Raw{Kind: kindInteractive, Payload: json.RawMessage(form.Get("payload"))}, nil
}
