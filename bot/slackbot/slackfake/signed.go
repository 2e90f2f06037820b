package slackfake

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// Sign returns the value of X-Slack-Signature for a body sent at the given
// X-Slack-Request-Timestamp: v0= and the HMAC-SHA256 of "v0:timestamp:body" in
// hexadecimal (documentation "Verifying requests from Slack").
func Sign(secret, timestamp string, body []byte) string {
	mac := hmac.New(sha256.New, []byte(secret))
	fmt.Fprintf(mac, "v0:%s:", timestamp)
	mac.Write(body)
	return "v0=" + hex.EncodeToString(mac.Sum(nil))
}

// PostOptions is what a test may do to one signed request.
type PostOptions struct {
	Secret      string        // empty: the right key
	Skew        time.Duration // added to the present for the timestamp
	At          time.Time     // the timestamp itself; the same At and body make a replay
	Signature   string        // sent instead of the right one; "none" leaves it out
	ContentType string        // empty: application/json when the body begins with {, else a form
	Retry       int           // above 0: the headers of a repetition
}

// Answer is what came back.
type Answer struct {
	Status int
	Body   []byte
}

// PostSigned sends a body as the service does over HTTP.
func (s *Server) PostSigned(address string, body []byte, o PostOptions) (Answer, error) {
	ctx, cancel := context.WithTimeout(context.Background(), max(s.cfg.AckTimeout, time.Second))
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil {
		return Answer{}, err
	}
	at := o.At
	if at.IsZero() {
		at = time.Now().Add(o.Skew)
	}
	secret, stamp := o.Secret, strconv.FormatInt(at.Unix(), 10)
	if secret == "" {
		secret = s.cfg.SigningSecret
	}
	if o.Signature == "" {
		o.Signature = Sign(secret, stamp, body)
	}
	if o.ContentType == "" {
		o.ContentType = "application/x-www-form-urlencoded"
		if bytes.HasPrefix(body, []byte("{")) {
			o.ContentType = "application/json"
		}
	}
	req.Header.Set("Content-Type", o.ContentType)
	req.Header.Set("X-Slack-Request-Timestamp", stamp)
	if o.Signature != "none" {
		req.Header.Set("X-Slack-Signature", o.Signature)
	}
	if o.Retry > 0 {
		req.Header.Set("X-Slack-Retry-Num", strconv.Itoa(o.Retry))
		req.Header.Set("X-Slack-Retry-Reason", "http_timeout")
	}
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	resp, err := client.Do(req)
	if err != nil {
		return Answer{}, err
	}
	defer resp.Body.Close()
	read, err := io.ReadAll(io.LimitReader(resp.Body, maxBody))
	return Answer{resp.StatusCode, read}, err
}

// Endpoints are the addresses of an app that takes payloads over HTTP.
type Endpoints struct{ Events, Commands, Interactive string }

// DeliverTo sends everything from now on as signed HTTP requests instead of by
// socket. Only Swallow, LoseAcks and the like do not apply to it.
func (s *Server) DeliverTo(e Endpoints) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.endpoints = &e
}

// HTTPBody gives the address and the body of a payload as the service sends it
// over HTTP: JSON for events, a form for commands, a form holding JSON for
// interactions.
func (d *Delivery) HTTPBody(e Endpoints) (address string, body []byte) {
	switch d.Kind {
	case Command:
		var fields map[string]string
		json.Unmarshal(d.Payload, &fields) //nolint:errcheck // made by this package
		form := url.Values{}
		for k, v := range fields {
			form.Set(k, v)
		}
		return e.Commands, []byte(form.Encode())
	case Interactive:
		return e.Interactive, []byte(url.Values{"payload": {string(d.Payload)}}.Encode())
	}
	return e.Events, d.Payload
}

// post delivers one payload over HTTP; an answer of 2xx is the acknowledgement.
func (s *Server) post(d *Delivery, e Endpoints, retry int) {
	defer s.work.Done()
	address, body := d.HTTPBody(e)
	answer, err := s.PostSigned(address, body, PostOptions{Retry: retry})
	if err != nil || answer.Status/100 != 2 {
		return // the timer sends it again
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if strings.HasPrefix(string(bytes.TrimSpace(answer.Body)), "{") {
		s.accepted(d, answer.Body)
	} else {
		s.accepted(d, nil)
	}
	s.touch()
}
