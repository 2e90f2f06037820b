package slackbot

import (
	"context"
	"encoding/json"
	"time"

	"github.com/slack-go/slack"
)

// giveUp is how often a call whose outcome is known to be nothing, or that may
// be made twice without harm, is made.
const giveUp = 12

// send makes one attempt at an item. It gives how long to wait before the next
// call of the lane, and whether the item is finished.
func (o *outbox) send(ctx context.Context, it *item) (wait time.Duration, finished bool) {
	thread, ok := o.ready(ctx, it)
	if !ok {
		return 0, ctx.Err() == nil // what it belongs to was never posted
	}
	if !it.Tried.IsZero() && (it.Op == opPost || it.Op == opUpload && it.File.Sent != "") {
		return o.lookUp(ctx, it, thread)
	}
	it.Tried, it.Tries = o.cfg.Clock.Now(), it.Tries+1
	if err := o.save(it); err != nil {
		return time.Second, false
	}
	call, stop := context.WithTimeout(ctx, o.cfg.Patience)
	at, err := o.call(call, it, thread)
	stop()
	return o.after(ctx, it, at, err)
}

// ready waits until the message that an item hangs on has found its place. ok is
// false if it never will.
func (o *outbox) ready(ctx context.Context, it *item) (thread posted, ok bool) {
	for _, id := range []string{it.Thread, it.Of} {
		for id != "" {
			at, found := o.places.where(id)
			if found {
				thread = at
				break
			}
			waits, changed := o.waits(id)
			if !waits {
				if _, found = o.places.where(id); found {
					continue
				}
				o.bury(it, "what it belongs to was not posted")
				return posted{}, false
			}
			select {
			case <-changed:
			case <-ctx.Done():
				return posted{}, false
			}
		}
	}
	return thread, true
}

// call is the one call for an item; at is where its message is.
func (o *outbox) call(ctx context.Context, it *item, thread posted) (at posted, err error) {
	switch it.Op {
	case opPost:
		at.Channel, at.TS, err = o.api.PostMessageContext(ctx, it.Channel, o.options(it, thread)...)
	case opUpdate:
		_, _, _, err = o.api.UpdateMessageContext(ctx, thread.Channel, thread.TS, o.options(it, posted{})...)
	case opPin:
		err = o.api.AddPinContext(ctx, thread.Channel, slack.NewRefToMessage(thread.Channel, thread.TS))
	case opHint:
		options := o.options(it, posted{TS: it.At})
		_, err = o.api.PostEphemeralContext(ctx, it.Channel, it.User, options...)
	case opAnswer:
		options := append(o.options(it, posted{}), slack.MsgOptionResponseURL(it.URL, slack.ResponseTypeEphemeral))
		_, _, err = o.api.PostMessageContext(ctx, it.Channel, options...)
	case opUpload:
		err = o.upload(ctx, it, thread)
	}
	return at, err
}

// options are the parts of a message.
func (o *outbox) options(it *item, thread posted) []slack.MsgOption {
	options := []slack.MsgOption{slack.MsgOptionText(it.Text, false), slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl()}
	if len(it.Blocks) > 0 {
		var blocks slack.Blocks
		if json.Unmarshal(it.Blocks, &blocks) == nil {
			options = append(options, slack.MsgOptionBlocks(blocks.BlockSet...))
		}
	} else if it.Op == opUpdate {
		options = append(options, slack.MsgOptionBlocks())
	}
	if it.Op == opPost {
		options = append(options, slack.MsgOptionMetadata(o.mark(it)))
	}
	if thread.TS != "" {
		options = append(options, slack.MsgOptionTS(thread.TS))
		if it.Broadcast {
			options = append(options, slack.MsgOptionBroadcast())
		}
	}
	return options
}

// after decides what to do once a call has ended.
func (o *outbox) after(ctx context.Context, it *item, at posted, err error) (time.Duration, bool) {
	how, wait := judge(err)
	switch how {
	case done:
		return 0, o.finish(it, at) == nil
	case notYet:
		if isAuth(err) {
			o.health.fatal("a message", err)
		}
		it.Tried = time.Time{}
		if o.save(it) != nil || it.Tries < giveUp || wait > 0 {
			return max(wait, time.Second), false
		}
	case unclear:
		if ctx.Err() != nil {
			return 0, false // stopped; looked up after the next start
		}
		o.health.trouble("a call ended without an answer", err)
		if it.Op == opHint || it.Op == opAnswer || it.Op == opPin {
			return 0, o.finish(it, posted{}) == nil // not worth saying twice
		}
		if it.Tries < giveUp {
			return o.cfg.Settle, false
		}
	case refused:
		return o.refusal(it, err)
	}
	o.bury(it, code(err))
	return 0, true
}

// refusal is for a message that the chat will not take as it is.
func (o *outbox) refusal(it *item, err error) (time.Duration, bool) {
	why := code(err)
	switch why {
	case "already_pinned":
		return 0, o.finish(it, posted{}) == nil
	case "missing_scope": // not every profile may pin, or send files
		switch {
		case it.Op == opPin:
			return 0, o.finish(it, posted{}) == nil
		case it.Op == opUpload && it.Instead != "":
			return o.inWords(it)
		}
	case "invalid_blocks", "invalid_blocks_format", "msg_blocks_too_long", "msg_too_long":
		// Our fault; the words must get through all the same.
		if len(it.Blocks) > 0 {
			o.health.trouble("blocks were refused, the text goes alone", err)
			it.Blocks, it.Tried = nil, time.Time{}
			if o.save(it) == nil {
				return 0, false
			}
		}
	}
	o.bury(it, why)
	return 0, true
}

// inWords makes a post of an upload, with the words that stand for the file.
func (o *outbox) inWords(it *item) (time.Duration, bool) {
	it.Op, it.Text, it.Instead = opPost, it.Instead, ""
	it.File, it.Tried, it.Tries = nil, time.Time{}, 0
	if o.save(it) != nil {
		return time.Second, false
	}
	// The bytes are not needed any more; what is left of them after a crash is
	// no harm.
	if err := o.cfg.Table.Apply(context.WithoutCancel(o.ctx), nil, []string{bytesKey + it.ID}); err != nil {
		o.health.trouble("what goes out cannot be stored", err)
	}
	return 0, false
}

// save keeps an item as it is now.
func (o *outbox) save(it *item) error {
	value, err := json.Marshal(it)
	if err != nil {
		return err
	}
	err = o.cfg.Table.Apply(context.WithoutCancel(o.ctx), map[string][]byte{it.storeKey(): value}, nil)
	if err != nil {
		o.health.trouble("what goes out cannot be stored", err)
	}
	return err
}

// bury takes a message that cannot be sent out of the way, tells whoever can be
// told another way, and raises an alarm.
func (o *outbox) bury(it *item, why string) {
	o.health.dead(string(it.Op), it.Channel, why)
	value, err := json.Marshal(it)
	if err == nil {
		err = o.cfg.Table.Apply(context.WithoutCancel(o.ctx), map[string][]byte{deadKey + it.ID: value}, []string{it.storeKey(), bytesKey + it.ID})
	}
	if err != nil {
		o.health.trouble("what goes out cannot be stored", err)
	}
	o.tell()
	instead := o.instead(it, why)
	if instead == nil {
		return
	}
	if err := o.add(context.WithoutCancel(o.ctx), []*item{instead}, map[string][]byte{}, nil); err != nil {
		o.health.trouble("what goes out cannot be stored", err)
	}
}

// instead is how somebody hears of a message that could not be posted: by an
// answer to the command that they typed, or in direct messages.
func (o *outbox) instead(it *item, why string) *item {
	text := o.lost(it, why) + "\n\n" + it.Text
	switch {
	case it.Fallback != "":
		return &item{ID: o.id(), Op: opAnswer, Channel: it.Channel, URL: it.Fallback, Text: text}
	case it.Op == opPost && it.Owner != "" && it.Owner != it.Channel:
		return &item{ID: o.id(), Op: opPost, Channel: it.Owner, Once: "lost/" + it.Channel, Text: text}
	}
	return nil
}

// lost says why a message is not where it belongs.
func (o *outbox) lost(it *item, why string) string {
	id := "chat.lost"
	switch why {
	case "not_in_channel", "channel_not_found":
		id = "chat.lost.member"
	case "is_archived":
		id = "chat.lost.archived"
	}
	return o.cfg.Bot.Words(o.cfg.Bot.Lang(), id, map[string]any{"Channel": "<#" + it.Channel + ">", "Why": why})
}
