package slackbot

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// back is how far before the attempt a message is looked for: the chat's clock
// is not ours.
const back = 10 * time.Minute

// looks is how often a message that is not found is looked for again, each time
// after twice as long, before it is taken as not sent.
const looks = 2

// lookUp is for a message whose call ended without an answer, in this run or in
// the one before: it is looked for, by the id it carries, before it is sent
// again. Where the app may not look, it takes the place of the message before
// it: a change can be made twice without harm.
func (o *outbox) lookUp(ctx context.Context, it *item, thread posted) (time.Duration, bool) {
	call, stop := context.WithTimeout(ctx, o.cfg.Patience)
	at, found, err := o.look(call, it, thread)
	stop()
	switch how, wait := judge(err); {
	case how == done && found:
		return 0, o.finish(it, at) == nil
	case how == done && it.Looks < looks:
		// A slow server may still be about to show it.
		it.Looks++
		return o.cfg.Settle << it.Looks, false
	case how == done:
		it.Tried, it.Looks = time.Time{}, 0 // it is not there: send it
		if o.save(it) != nil {
			return time.Second, false
		}
		return 0, false
	case ctx.Err() != nil:
		return 0, false
	case how == refused && it.Op == opPost:
		return o.takePlace(ctx, it)
	case how == refused:
		o.bury(it, "outcome unknown")
		return 0, true
	default:
		return max(wait, o.cfg.Settle), false
	}
}

// look reads the thread, or the channel root, for the message.
func (o *outbox) look(ctx context.Context, it *item, thread posted) (posted, bool, error) {
	oldest := fmt.Sprintf("%d.000000", it.Tried.Add(-back).Unix())
	cursor := ""
	for {
		var page []slack.Message
		var err error
		if thread.TS != "" {
			page, _, cursor, err = o.api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{
				ChannelID: thread.Channel, Timestamp: thread.TS, Cursor: cursor, Oldest: oldest, Limit: 200, IncludeAllMetadata: true,
			})
		} else {
			var h *slack.GetConversationHistoryResponse
			h, err = o.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{
				ChannelID: it.Channel, Cursor: cursor, Oldest: oldest, Limit: 200, IncludeAllMetadata: true,
			})
			if err == nil {
				page, cursor = h.Messages, h.ResponseMetaData.NextCursor
			}
		}
		if err != nil {
			return posted{}, false, err
		}
		for i := range page {
			if o.ours(it, &page[i]) {
				return posted{it.Channel, page[i].Timestamp}, true, nil
			}
		}
		if cursor == "" {
			return posted{}, false, nil
		}
	}
}

// ours says whether a message is the one that an item was sent as. Anybody may
// put metadata on a message; only our own count.
func (o *outbox) ours(it *item, m *slack.Message) bool {
	if m.User != o.self.User && m.BotID != o.self.Bot {
		return false
	}
	if it.Op == opUpload {
		for _, f := range m.Files {
			if it.File.Sent != "" && f.ID == it.File.Sent {
				return true
			}
		}
		return false
	}
	id, _ := m.Metadata.EventPayload["id"].(string)
	return m.Metadata.EventType == eventType && id == o.mark(it).EventPayload["id"]
}

// takePlace puts a message into the place of the one before it in its thread.
func (o *outbox) takePlace(ctx context.Context, it *item) (time.Duration, bool) {
	at, ok := o.places.where(it.Before)
	if !ok {
		o.bury(it, "outcome unknown")
		return 0, true
	}
	call, stop := context.WithTimeout(ctx, o.cfg.Patience)
	defer stop()
	change := *it
	change.Op = opUpdate
	_, _, _, err := o.api.UpdateMessageContext(call, at.Channel, at.TS, o.options(&change, posted{})...)
	it.Tries++
	switch how, wait := judge(err); {
	case how == done:
		return 0, o.finish(it, at) == nil
	case how == refused || it.Tries >= giveUp:
		o.bury(it, "outcome unknown, "+strings.TrimSpace(code(err)))
		return 0, true
	default:
		return max(wait, o.cfg.Settle), false
	}
}
