package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"firstrod/bot"
	"firstrod/engine/paper"
)

// recordWait is how long a release waits for its record. It is made in a tenth of
// that on a small machine; a release does not wait for it longer.
const recordWait = 10 * time.Second

// recordsTo makes the records that go with releases in the team chat: the same
// bytes that "firstrod record" writes. What goes wrong is logged.
func recordsTo(log *slog.Logger) recorder {
	return func(s *site) func(ctx context.Context, bore, lang string) (bot.Paper, error) {
		return func(ctx context.Context, bore, lang string) (bot.Paper, error) {
			ctx, stop := context.WithTimeout(ctx, recordWait)
			defer stop()
			p, err := recordOf(ctx, s, bore, lang)
			if err != nil {
				log.Error("the record of a release could not be made", "bore", bore, "err", err)
			}
			return p, err
		}
	}
}

// recordOf is the record of a bore as its last record left it. A panic in it is an
// error: the bore is released already, and the crew must hear of it.
func recordOf(ctx context.Context, s *site, bore, lang string) (p bot.Paper, err error) {
	defer func() {
		if r := recover(); r != nil {
			p, err = bot.Paper{}, fmt.Errorf("panic: %v", r)
		}
	}()
	e, last, err := asRecorded(ctx, s, bore)
	if err != nil {
		return bot.Paper{}, err
	}
	d, err := paper.Of(ctx, e, s.store, bore, lang)
	if err != nil {
		return bot.Paper{}, err
	}
	d.Paper = paper.Letter
	pdf, err := paper.PDF(ctx, d)
	return bot.Paper{
		Name: fmt.Sprintf("%s-%d", bore, last.Seq), Checkpoint: d.Checkpoint.Note, Short: d.Checkpoint.Short, PDF: pdf,
	}, err
}
