package desk

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"sync"
	"syscall"
	"time"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

// WebConfig is what a [Web] is made of. URL, Key and Copy are needed.
type WebConfig struct {
	URL       string            // of a bundle, http or https
	Key       note.Verifier     // the only key that counts, see Verifier
	Copy      string            // file for the last bundle that came into force
	Timeout   time.Duration     // for one request with its answer; 0 means 30 s
	Transport http.RoundTripper // nil: a plain one
}

// Web is a signed bundle at an address as a source of rules. The signature
// decides, not the way: nothing from the web is believed before it is checked.
// A server that goes on giving an old bundle cannot be told from one that has no
// newer one, unless the bundle promises to be signed anew by a day.
type Web struct {
	cfg    WebConfig
	client *http.Client

	mu    sync.Mutex
	begun bool      // remember was called
	have  Candidate // what the server gave last, checked
	etag  string    // of have
}

// NewWeb makes a source. It asks nobody yet.
func NewWeb(cfg WebConfig) (*Web, error) {
	u, err := url.Parse(cfg.URL)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is not an address to fetch rules from",
			Hint: "https://HOST/PATH, without a name or password in it", Err: err}
	}
	if cfg.Key == nil || cfg.Copy == "" {
		return nil, &engine.Error{Kind: engine.Usage, Say: "rules from the web need a key to check them with, and a file for the last good ones",
			Hint: "set rules_key to the public line of firstrod rules key"}
	}
	cfg.Timeout = cmp.Or(cfg.Timeout, 30*time.Second)
	if cfg.Transport == nil {
		cfg.Transport = &http.Transport{Proxy: http.ProxyFromEnvironment, DisableCompression: true, DisableKeepAlives: true,
			MaxResponseHeaderBytes: 64 << 10}
	}
	return &Web{cfg: cfg, client: &http.Client{Transport: cfg.Transport, CheckRedirect: stay}}, nil
}

// maxRedirects is how often one fetch may be sent on.
const maxRedirects = 3

// stay follows a redirect on the same host alone.
func stay(to *http.Request, via []*http.Request) error {
	from := via[0].URL
	switch {
	case to.URL.Scheme != from.Scheme || to.URL.Host != from.Host:
		return refuse("the server sends the program on to another host, which it does not follow")
	case len(via) > maxRedirects:
		return refuse("the server sends the program on and on")
	}
	return nil
}

// Read asks the server. Where that has nothing new, it gives what it gave before.
func (w *Web) Read(ctx context.Context) (Candidate, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.remember()
	ctx, done := context.WithTimeout(ctx, w.cfg.Timeout)
	defer done()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, w.cfg.URL, nil)
	if err != nil {
		return Candidate{}, w.failed("cannot be asked for", err)
	}
	if w.etag != "" {
		req.Header.Set("If-None-Match", w.etag)
	}
	resp, err := w.client.Do(req)
	if err != nil {
		return Candidate{}, w.unanswered(ctx, err)
	}
	defer resp.Body.Close()
	switch {
	case resp.StatusCode == http.StatusNotModified && w.etag != "":
		return w.have, nil
	case resp.StatusCode != http.StatusOK:
		return Candidate{}, w.failed(fmt.Sprintf("were not given: the server answers %d", resp.StatusCode), nil)
	case resp.ContentLength > MaxBundle:
		return Candidate{}, w.tooLarge()
	}
	body, err := io.ReadAll(io.LimitReader(resp.Body, MaxBundle+1))
	if err != nil {
		return Candidate{}, w.unanswered(ctx, err)
	}
	return w.take(body, resp.Header.Get("ETag"))
}

// take checks what came.
func (w *Web) take(body []byte, etag string) (Candidate, error) {
	if len(body) > MaxBundle {
		return Candidate{}, w.tooLarge()
	}
	c, err := Unseal(body, w.cfg.Key, w.cfg.URL)
	if err != nil {
		say, _ := inWords(err)
		return Candidate{}, restated(err, "what is at "+w.cfg.URL+" is not used: "+say, "tell who publishes the rules there")
	}
	if !sendable(etag) {
		etag = ""
	}
	w.have, w.etag = c, etag
	return c, nil
}

func (w *Web) failed(say string, err error) error {
	return &engine.Error{Kind: engine.Storage, Say: "the rules at " + w.cfg.URL + " " + say,
		Hint: "the rules in force stay; see to the server or the network", Err: err}
}

func (w *Web) tooLarge() error {
	return refuse("what is at %s is larger than %d MiB, the most that rules may be", w.cfg.URL, MaxBundle>>20)
}

// unanswered names what kept an answer from coming.
func (w *Web) unanswered(ctx context.Context, err error) error {
	if ours, ok := errors.AsType[*engine.Error](err); ok {
		return ours // a redirect that was not followed
	}
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return w.failed(fmt.Sprintf("did not come within %s", w.cfg.Timeout), err)
	}
	return w.failed("could not be fetched"+because(err), err)
}

// because is what can be said of a cause in words that stay the same from one look
// to the next: a cause itself may hold a port or a time.
func because(err error) string {
	_, unknown := errors.AsType[*net.DNSError](err)
	_, untrusted := errors.AsType[*tls.CertificateVerificationError](err)
	switch {
	case unknown:
		return ": the name of the server is not known here"
	case untrusted:
		return ": the certificate of the server does not hold"
	case errors.Is(err, syscall.ECONNREFUSED):
		return ": nobody answers there"
	}
	return ""
}
