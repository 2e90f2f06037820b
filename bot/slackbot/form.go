package slackbot

import (
	"context"

	"github.com/slack-go/slack"

	"firstrod/engine"
)

// The inputs of the form that opens a bore, by block.
const (
	inputName    = "name"
	inputPlace   = "place"
	inputZone    = "zone"
	inputChannel = "channel"
)

// showForm opens the form for a new bore. A shortcut is good for three seconds,
// so this does not wait in any queue.
func (s *Service) showForm(ctx context.Context, l letter) {
	s.queues.work.Go(func() {
		ctx, stop := context.WithTimeout(ctx, ackWithin)
		defer stop()
		w := s.people.who(ctx, l, false)
		if _, err := s.api.OpenViewContext(ctx, l.Trigger, s.form(w.Lang)); err != nil {
			s.health.trouble("the form for a new bore could not be shown", err)
		}
	})
}

func (s *Service) form(lang string) slack.ModalViewRequest {
	say := func(id string, most int) *slack.TextBlockObject {
		return plainText(cut(s.bot.Words(lang, id, nil), most))
	}
	input := func(block, hint string, optional bool) *slack.InputBlock {
		el := slack.NewPlainTextInputBlockElement(say("chat.form."+block+".like", maxHint), block)
		b := slack.NewInputBlock(block, say("chat.form."+block, maxInput), nil, el)
		if hint != "" {
			b.Hint = say(hint, maxInput)
		}
		b.Optional = optional
		return b
	}
	where := slack.NewOptionsSelectBlockElement(slack.OptTypeConversations, say("chat.form.channel.like", maxHint), inputChannel)
	where.DefaultToCurrentConversation = true
	where.Filter = &slack.SelectBlockElementFilter{Include: []string{"public", "private"}, ExcludeBotUsers: true}
	return slack.ModalViewRequest{
		Type: slack.VTModal, CallbackID: newBore,
		Title: say("chat.form.title", maxTitle), Submit: say("chat.form.open", maxTitle), Close: say("chat.form.close", maxTitle),
		Blocks: slack.Blocks{BlockSet: []slack.Block{
			input(inputName, "chat.form.name.hint", false), input(inputPlace, "", true), input(inputZone, "", true),
			slack.NewInputBlock(inputChannel, say("chat.form.channel", maxInput), nil, where),
		}},
	}
}

// checkNew looks at a form before it is taken, so that a slip is shown where it
// was made. keep false: the form stays open with what is wrong.
func (s *Service) checkNew(ctx context.Context, l letter) (answer any, keep bool) {
	wrong := map[string]string{}
	id, err := engine.BoreID(l.Input[inputName])
	if err != nil {
		wrong[inputName] = s.bot.Words("", "fault.bore_name", nil)
	} else if _, there := s.places.thread(id); there {
		wrong[inputName] = s.bot.Words("", "fault.bore_known", map[string]any{"bore": id})
	}
	if l.Input[inputChannel] == "" {
		wrong[inputChannel] = s.bot.Words("", "chat.form.channel.like", nil)
	}
	if len(wrong) > 0 {
		return slack.NewErrorsViewSubmissionResponse(wrong), false
	}
	return nil, ctx.Err() == nil
}
