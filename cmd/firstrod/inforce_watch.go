package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"log/slog"
	"strconv"
	"time"

	"firstrod/bot/slackbot"
	"firstrod/engine"
	"firstrod/engine/desk"
)

// watchRules brings newly published rules into force while the program runs, and
// tells the safety managers. Without a source there is nothing to watch.
func (a *app) watchRules(ctx context.Context, s *site, service *slackbot.Service, log *slog.Logger) error {
	source, err := a.ruleSource(0)
	if err != nil || source == nil {
		return err
	}
	teller := &ruleTeller{ctx: ctx, service: service, log: log}
	d, err := desk.New(desk.Config{
		Source: source, Accept: acceptRules, Alert: teller.tell,
		Record: func(ctx context.Context, book engine.Rulebook, p desk.Publication) error {
			if err := a.enforce(ctx, s.engine, book, p); err != nil {
				return a.olderRules(err)
			}
			teller.overtaken()
			return nil
		},
		Live: s.opening.Live, Every: a.rulesEvery(),
	})
	if err != nil {
		return err
	}
	teller.settled(source, s.opening)
	if err := d.Run(ctx); !errors.Is(err, context.Canceled) {
		return err
	}
	return nil
}

// rulesEvery is how long to wait between two looks at where rules come from: a
// folder costs nothing, an address somebody's machine.
func (a *app) rulesEvery() time.Duration {
	switch {
	case a.config.RulesEvery > 0:
		return a.config.RulesEvery
	case a.config.RulesURL != "":
		return time.Minute
	}
	return 3 * time.Second
}

// ruleTeller takes what the desk has to say to the log and to safety managers.
type ruleTeller struct {
	ctx     context.Context
	service *slackbot.Service
	log     *slog.Logger
}

func (t *ruleTeller) tell(a desk.Alert) {
	level := slog.LevelWarn
	if a.Kind == desk.InForce || a.Kind == desk.Mended {
		level = slog.LevelInfo
	}
	t.log.Log(t.ctx, level, a.Say, "kind", string(a.Kind), "publication", a.Publication.Serial, "hint", a.Hint, "err", a.Err)
	err := t.over(a)
	editing := a.Kind == desk.Unpublished || a.Over != nil && a.Over.Kind == desk.Unpublished
	if !editing { // that somebody is at work on files the log knows
		n := slackbot.Notice{Key: noticeKey(a), Text: alertText(a), Stands: a.Kind == desk.Refused || a.Kind == desk.Unreadable || a.Kind == desk.Stale}
		err = errors.Join(err, t.service.Tell(t.ctx, n))
	}
	if err != nil && t.ctx.Err() == nil {
		t.log.Error("safety managers could not be told about rules", "err", err)
	}
}

// overtaken tells the crews whose release the rules took away.
func (t *ruleTeller) overtaken() {
	if err := t.service.Overtaken(t.ctx); err != nil && t.ctx.Err() == nil {
		t.log.Error("crews could not be told that their release is void", "err", err)
	}
}

// What the keys of all notices about rules begin with. A promise that was not kept
// stands by itself: that a server answers again is not the end of it.
const (
	rulesNotices = "rules/"
	staleNotices = "rules-stale/"
)

// over takes down what an alert is the end of.
func (t *ruleTeller) over(a desk.Alert) error {
	switch {
	case a.Kind == desk.InForce:
		return errors.Join(t.service.Over(t.ctx, rulesNotices), t.service.Over(t.ctx, staleNotices))
	case a.Kind == desk.Mended && a.Over != nil && a.Over.Kind == desk.Stale:
		return t.service.Over(t.ctx, staleNotices)
	case a.Kind == desk.Mended:
		// Whatever was wrong before, several things perhaps, is so no longer.
		return t.service.Over(t.ctx, rulesNotices)
	}
	return nil
}

// settled tells of rules that came into force at the start, and takes the notices of
// an earlier run off the home tabs where what they were about was put right while
// nobody was watching.
func (t *ruleTeller) settled(source desk.Source, o desk.Opening) {
	if o.Fresh() {
		t.tell(o.InForce())
	}
	var err error
	if !o.Overdue(time.Now()) {
		err = t.service.Over(t.ctx, staleNotices)
	}
	if c, bad := source.Read(t.ctx); bad == nil && c.Published && c.Publication.Same(o.Publication) {
		err = errors.Join(err, t.service.Over(t.ctx, rulesNotices))
	} // or else the desk will tell
	if err != nil && t.ctx.Err() == nil {
		t.log.Error("notices about rules could not be taken down", "err", err)
	}
}

// noticeKey is the same for the same alert about the same publication.
func noticeKey(a desk.Alert) string {
	under := rulesNotices
	if a.Kind == desk.Stale || a.Over != nil && a.Over.Kind == desk.Stale {
		under = staleNotices
	}
	return under + strconv.FormatInt(a.Publication.Serial, 10) + "/" + string(a.Kind) + "/" + sumOf(a.Say)
}

// alertText is an alert for a person.
func alertText(a desk.Alert) string {
	text := a.Say
	for _, f := range a.Faults {
		text += "\n" + f.Place() + ": " + f.Say
	}
	if a.Hint != "" {
		text += "\n" + a.Hint
	}
	return text
}

// sumOf is short and the same for the same text.
func sumOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:6])
}
