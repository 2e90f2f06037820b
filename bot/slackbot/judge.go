package slackbot

import (
	"context"
	"errors"
	"net"
	"time"

	"github.com/slack-go/slack"

	"firstrod/engine"
)

// outcome is what is known about a call after it ended.
type outcome int

const (
	done    outcome = iota
	notYet          // it had no effect and may be made again
	unclear         // it may have had its effect
	refused         // it had no effect, and never will
)

// authWait is how long nothing is sent after the chat refused the token.
const authWait = 30 * time.Second

// judge sorts how a call ended. Only what surely had no effect is notYet.
func judge(err error) (outcome, time.Duration) {
	if err == nil {
		return done, 0
	}
	if limited, ok := errors.AsType[*slack.RateLimitedError](err); ok {
		return notYet, limited.RetryAfter
	}
	if refusal, ok := errors.AsType[slack.SlackErrorResponse](err); ok {
		switch refusal.Err {
		case "ratelimited", "rate_limited":
			return notYet, time.Second
		case "internal_error", "fatal_error", "service_unavailable", "request_timeout", "team_added_to_org":
			return unclear, 0
		}
		if isAuth(err) {
			return notYet, authWait
		}
		return refused, 0
	}
	switch engine.KindOf(err) {
	case engine.NotFound, engine.Damaged: // a file that is gone stays gone
		return refused, 0
	}
	if _, ok := errors.AsType[errNothingShown](err); ok {
		return notYet, time.Second
	}
	if op, ok := errors.AsType[*net.OpError](err); ok && op.Op == "dial" && !errors.Is(err, context.DeadlineExceeded) {
		return notYet, time.Second // nobody was reached
	}
	return unclear, 0
}
