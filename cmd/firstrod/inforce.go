package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"firstrod/bot/slackbot"
	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
)

// inForce is the rules that are in force when the program starts, and how they
// came into force: those inside this program, or what was published last in the
// folder or at the address of the settings. What lies in a folder and was not
// published is never used.
func (a *app) inForce(ctx context.Context) (engine.Rulebook, desk.Publication, error) {
	source, err := a.ruleSource()
	if err != nil {
		return nil, desk.Publication{}, err
	}
	if source == nil {
		p, err := packsNamed("")
		if err != nil {
			return nil, desk.Publication{}, err
		}
		book, err := p.book(ctx)
		if err != nil {
			return nil, desk.Publication{}, err
		}
		return book, desk.Publication{}, nil
	}
	c, err := source.Kept(ctx)
	if engine.KindOf(err) == engine.NotFound {
		c, err = firstOf(ctx, source)
	}
	if err != nil {
		return nil, desk.Publication{}, err
	}
	book, err := loadBook(ctx, c)
	if err != nil {
		return nil, desk.Publication{}, err
	}
	return book, c.Publication, nil
}

// firstOf reads a source that has kept nothing yet.
func firstOf(ctx context.Context, source desk.Source) (desk.Candidate, error) {
	c, err := source.Read(ctx)
	if err != nil {
		return c, err
	}
	if !c.Published {
		return c, &engine.Error{Kind: engine.Rules, Say: c.Unpublished,
			Hint: "firstrod rules publish DIR --by NAME --why TEXT brings them into force"}
	}
	return c, source.Keep(ctx, c)
}

// ruleSource is where rules come from; nil: from inside this program.
func (a *app) ruleSource() (desk.Source, error) {
	switch {
	case a.config.RulesURL != "" && a.config.Policies != "":
		return nil, &engine.Error{Kind: engine.Usage, Say: "policies and rules_url are both set", Hint: "rules come from one of them"}
	case a.config.RulesURL != "":
		key, err := desk.Verifier(a.config.RulesKey)
		if err != nil {
			return nil, &engine.Error{Kind: engine.Usage, Say: "rules_key is no public key", Hint: "firstrod rules key prints one", Err: err}
		}
		return desk.NewWeb(desk.WebConfig{URL: a.config.RulesURL, Key: key, Copy: filepath.Join(a.config.Data, "rules.bundle")})
	case a.config.Policies != "":
		if _, err := os.Stat(a.config.Policies); err != nil {
			return nil, &engine.Error{Kind: engine.Rules, Say: "there is no policy folder " + a.config.Policies, Err: err}
		}
		return desk.Folder(a.config.Policies), nil
	}
	return nil, nil
}

// reopen makes rules again that a ledger has kept.
func reopen(ctx context.Context, packs []byte, place string, day int64) (engine.Evaluator, error) {
	set, err := rules.Reopen(ctx, packs, place, day)
	if err != nil {
		return nil, err
	}
	return set, nil
}

// published is how rules came into force, for the ledger.
func published(p desk.Publication) engine.Publication {
	return engine.Publication{By: p.By, Why: p.Why, Serial: p.Serial}
}

// watchRules brings newly published rules into force while the program runs, and
// tells the safety managers. Without a source there is nothing to watch.
func (a *app) watchRules(ctx context.Context, s *site, service *slackbot.Service, log *slog.Logger) error {
	source, err := a.ruleSource()
	if err != nil || source == nil {
		return err
	}
	teller := &ruleTeller{ctx: ctx, service: service, log: log}
	d, err := desk.New(desk.Config{
		Source: source, Accept: acceptRules, Alert: teller.tell,
		Record: func(ctx context.Context, book engine.Rulebook, p desk.Publication) error {
			if err := s.engine.Publish(ctx, book, published(p)); err != nil {
				return err
			}
			teller.overtaken()
			return nil
		},
		Live: desk.Live{Rulebook: s.book, Publication: s.publication}, Every: a.rulesEvery(),
	})
	if err != nil {
		return err
	}
	teller.settled(source, s.publication)
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
	var err error
	if a.Kind == desk.InForce || a.Kind == desk.Mended {
		// Whatever was wrong before, several things perhaps, is so no longer.
		err = t.service.Over(t.ctx, rulesNotices)
	}
	editing := a.Kind == desk.Unpublished || a.Over != nil && a.Over.Kind == desk.Unpublished
	if !editing { // that somebody is at work on files the log knows
		n := slackbot.Notice{Key: noticeKey(a), Text: alertText(a), Stands: a.Kind == desk.Refused || a.Kind == desk.Unreadable}
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

// rulesNotices is what the keys of all notices about rules begin with.
const rulesNotices = "rules/"

// settled takes the notices of an earlier run off the home tabs where what they
// were about was put right while nobody was watching.
func (t *ruleTeller) settled(source desk.Source, live desk.Publication) {
	c, err := source.Read(t.ctx)
	if err != nil || !c.Published || !c.Publication.Same(live) {
		return // the desk will tell
	}
	if err := t.service.Over(t.ctx, rulesNotices); err != nil && t.ctx.Err() == nil {
		t.log.Error("notices about rules could not be taken down", "err", err)
	}
}

// noticeKey is the same for the same alert about the same publication.
func noticeKey(a desk.Alert) string {
	return rulesNotices + strconv.FormatInt(a.Publication.Serial, 10) + "/" + string(a.Kind) + "/" + sumOf(a.Say)
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
