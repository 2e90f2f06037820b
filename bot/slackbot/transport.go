package slackbot

import (
	"context"
	"encoding/json"
)

// Transport brings payloads in.
type Transport interface {
	// Run hands payloads to take, in the order they came, until ctx ends. take
	// returns when every one of them is durable and acknowledged, or will not be;
	// it may be called from several goroutines.
	Run(ctx context.Context, take func(context.Context, []Raw)) error
}

// The kinds of payload, by the names of their envelopes.
const (
	kindEvents      = "events_api"
	kindCommand     = "slash_commands"
	kindInteractive = "interactive"
)

// Raw is one payload as it came.
type Raw struct {
	Kind    string // "events_api", "slash_commands" or "interactive"
	Payload json.RawMessage
	// Ack acknowledges, with an answer where the kind takes one; nil for none.
	Ack func(ctx context.Context, answer any) error
}
