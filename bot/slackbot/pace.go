package slackbot

import (
	"net/http"
	"strings"
	"sync"
	"time"
)

const (
	openPath  = "apps.connections.open"
	shortLife = 10 * time.Second // a connection that lives less long widens the gap
	gapsMost  = 20               // the widest gap, in least gaps
)

// pacedOpen keeps openings of sockets apart. The library opens a new one as soon
// as it is sent away, thousands a second when it is always sent away.
type pacedOpen struct {
	next  http.RoundTripper
	gap   time.Duration
	clock Clock

	mu   sync.Mutex
	last time.Time
	wait time.Duration
}

// RoundTrip is of http.RoundTripper.
func (p *pacedOpen) RoundTrip(r *http.Request) (*http.Response, error) {
	if strings.HasSuffix(r.URL.Path, openPath) {
		if err := p.clock.Sleep(r.Context(), p.due()); err != nil {
			return nil, err
		}
	}
	return p.next.RoundTrip(r)
}

// due is how long to wait, and books the opening.
func (p *pacedOpen) due() time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.clock.Now()
	first := p.last.IsZero()
	switch lived := now.Sub(p.last); {
	case first || lived >= max(shortLife, 2*p.wait):
		p.wait = 0
	case p.wait == 0:
		p.wait = p.gap
	default:
		p.wait = min(2*p.wait, gapsMost*p.gap)
	}
	at := now
	if next := p.last.Add(p.wait); !first && next.After(now) {
		at = next
	}
	p.last = at
	return at.Sub(now)
}
