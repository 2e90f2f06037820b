package main

import (
	"context"
	"log/slog"
	"time"

	"firstrod/bot/slackbot"
)

// postCheckpoints posts one checkpoint a day to the safety channel, where whoever
// keeps the ledger cannot quietly change it.
func (a *app) postCheckpoints(ctx context.Context, s *site, service *slackbot.Service, log *slog.Logger) {
	for {
		day := s.engine.Now().UTC().Format(time.DateOnly)
		_, note := s.store.Checkpoint()
		text := "Checkpoint of " + day + ". Keep it: firstrod verify --pin shows later that nothing before it was changed.\n" + string(note)
		if err := service.Post(ctx, slackbot.Notice{Key: "checkpoint/" + day, Text: text}); err != nil && ctx.Err() == nil {
			log.Error("the checkpoint of the day could not be posted", "err", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Hour):
		}
	}
}
