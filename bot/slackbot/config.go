package slackbot

import (
	"context"
	"io"
	"log/slog"
	"strings"
	"time"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Table is a small durable table. Apply is all or nothing and durable when it
// returns; Each walks the keys with a prefix in order.
type Table interface {
	Apply(ctx context.Context, puts map[string][]byte, deletes []string) error
	Get(ctx context.Context, key string) (value []byte, found bool, err error)
	Each(ctx context.Context, prefix string, fn func(key string, value []byte) error) error
}

// Shelf keeps evidence. Keep gives engine.Usage for a file that is none of the
// kinds that are kept.
type Shelf interface {
	Keep(ctx context.Context, name string, r io.Reader) (ledger.File, error)
	Kept(ctx context.Context, sum string) ([]byte, error)
}

// Clock is the time, for tests that cannot wait. A nil function is the real one.
type Clock struct {
	Now   func() time.Time
	Sleep func(ctx context.Context, d time.Duration) error
}

// Tokens are the secrets. Signing is for signed HTTP alone, App for Socket Mode.
type Tokens struct{ Bot, App, Signing string }

// Config is what a service is made of. Bot, Table, Shelf and Tokens are needed.
type Config struct {
	Bot    *bot.Bot
	Table  Table
	Shelf  Shelf
	Tokens Tokens

	APIURL string            // base of the Web API, with a / at the end; "" for the real one
	Listen string            // address for signed HTTP; "" for Socket Mode
	Roles  map[string]string // user id -> role
	Groups map[string]string // user group id -> role
	Call   string            // whom somebody without a role asks; may be empty
	Safety string            // channel for what safety managers must hear and for the day's checkpoint; may be empty

	Log      *slog.Logger // nil: nothing is logged
	Clock    Clock
	Pace     time.Duration // between two messages in a channel; 0: a second
	Patience time.Duration // for one call; 0: 20 s
	Settle   time.Duration // after a call without an answer, before it is looked up; 0: 1 s
	React    time.Duration // in which nobody reads a question and types the answer; 0: 0.7 s, below 0: none
	Reopen   time.Duration // least time between two openings of a socket; 0: a second
}

func (c Config) withDefaults() Config {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Clock.Now == nil {
		c.Clock.Now = time.Now
	}
	if c.Clock.Sleep == nil {
		c.Clock.Sleep = sleep
	}
	set := func(d *time.Duration, to time.Duration) {
		if *d == 0 {
			*d = to
		}
	}
	set(&c.Pace, time.Second)
	set(&c.Patience, 20*time.Second)
	set(&c.Settle, time.Second)
	set(&c.Reopen, time.Second)
	set(&c.React, 700*time.Millisecond)
	return c
}

func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Ready says what a service could not start without: secrets that are missing, by
// the names of their variables, or an address of a wrong form. It reaches
// nothing.
func Ready(cfg Config) error {
	if missing := missingTokens(cfg); len(missing) > 0 {
		return &engine.Error{
			Kind: engine.Usage, Say: "the team chat cannot start without " + strings.Join(missing, " and "),
			Hint: "the tokens are on the pages of the app; the README says where",
		}
	}
	if cfg.APIURL != "" && !strings.HasSuffix(cfg.APIURL, "/") {
		return &engine.Error{Kind: engine.Usage, Say: "slack.api_url must end in a /", Hint: cfg.APIURL + "/"}
	}
	return nil
}

// missingTokens names the secrets that this way of running needs.
func missingTokens(c Config) []string {
	var missing []string
	if c.Tokens.Bot == "" {
		missing = append(missing, "FIRSTROD_SLACK_BOT_TOKEN")
	}
	if c.Listen == "" && c.Tokens.App == "" {
		missing = append(missing, "FIRSTROD_SLACK_APP_TOKEN")
	}
	if c.Listen != "" && c.Tokens.Signing == "" {
		missing = append(missing, "FIRSTROD_SLACK_SIGNING_SECRET")
	}
	return missing
}
