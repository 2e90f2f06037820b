package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
)

// rulesWait is how long a verb waits at its start for the address of the rules,
// where the settings do not say. Somebody may be standing there.
const rulesWait = 10 * time.Second

// opening is the rules that are in force when the program starts, and how they came
// into force: those inside this program, or what was published last in the folder
// or at the address of the settings. What lies in a folder and was not published is
// never used.
//
// With an address, a verb that judges a bore as it stands now asks there first: chat,
// serve, board and bores. All others look back, and keep house: they judge by the rules of
// then, or by none, so they use what was kept, as they would in a cellar without a
// network; they ask only where nothing good was kept.
func (a *app) opening(ctx context.Context, ask bool) (desk.Opening, error) {
	source, err := a.ruleSource(rulesWait)
	if err != nil {
		return desk.Opening{}, err
	}
	if source == nil {
		return a.ownRules(ctx)
	}
	web := a.config.RulesURL != ""
	if !web || !ask {
		c, err := source.Kept(ctx)
		if engine.KindOf(err) == engine.NotFound && !web {
			return desk.Opening{}, unpublished(ctx, source)
		}
		var book engine.Rulebook
		if err == nil {
			book, err = loadRules(ctx, c)
		}
		if err == nil || !web {
			return desk.Opening{Live: desk.Live{Rulebook: book, Publication: c.Publication, RenewBy: c.RenewBy}}, err
		}
	}
	o, err := desk.Begin(ctx, source, desk.Loading{Accept: acceptRules, Load: loadRules})
	if err != nil {
		return o, err
	}
	for _, say := range o.Words(time.Now()) {
		fmt.Fprintf(a.err, "firstrod: %s.\n", strings.TrimSuffix(say, "."))
	}
	return o, nil
}

// ownRules are those inside this program.
func (a *app) ownRules(ctx context.Context) (desk.Opening, error) {
	p, err := packsNamed("")
	if err != nil {
		return desk.Opening{}, err
	}
	book, err := p.book(ctx)
	if err != nil {
		return desk.Opening{}, err
	}
	return desk.Opening{Live: desk.Live{Rulebook: book}}, nil
}

// inForce is the rules that are in force for a verb that looks back.
func (a *app) inForce(ctx context.Context) (engine.Rulebook, desk.Publication, error) {
	o, err := a.opening(ctx, false)
	return o.Rulebook, o.Publication, err
}

// loadRules loads what was accepted before.
func loadRules(ctx context.Context, c desk.Candidate) (engine.Rulebook, error) {
	book, err := loadBook(ctx, c)
	if err != nil {
		return nil, err
	}
	return book, nil
}

// unpublished is why a folder that has published nothing cannot be used.
func unpublished(ctx context.Context, source desk.Source) error {
	c, err := source.Read(ctx)
	if err != nil {
		return err
	}
	return &engine.Error{Kind: engine.Rules, Say: c.Unpublished,
		Hint: "firstrod rules publish DIR --by NAME --why TEXT brings them into force"}
}

// ruleSource is where rules come from; nil: from inside this program. One request to
// an address takes as long as the settings say, or else wait.
func (a *app) ruleSource(wait time.Duration) (desk.Source, error) {
	switch {
	case a.config.RulesURL != "" && a.config.Policies != "":
		return nil, &engine.Error{Kind: engine.Usage, Say: "policies and rules_url are both set", Hint: "rules come from one of them"}
	case a.config.RulesURL != "":
		key, err := desk.Verifier(a.config.RulesKey)
		if err != nil {
			return nil, wrongKey("rules_key", err)
		}
		return desk.NewWeb(desk.WebConfig{
			URL: a.config.RulesURL, Key: key, Copy: a.keptRules(), Timeout: cmp.Or(a.config.RulesTimeout, wait),
		})
	case a.config.Policies != "":
		if _, err := os.Stat(a.config.Policies); err != nil {
			return nil, &engine.Error{Kind: engine.Rules, Say: "there is no policy folder " + a.config.Policies, Err: err}
		}
		return desk.Folder(a.config.Policies), nil
	}
	return nil, nil
}

// keptRules is the file with the last bundle from the web.
func (a *app) keptRules() string { return filepath.Join(a.config.Data, "rules.bundle") }

// olderRules gives the refusal of rules that are older than the ledger's the hint
// that helps where rules come from an address: a folder cannot be named there.
func (a *app) olderRules(err error) error {
	e, ok := errors.AsType[*engine.Error](err)
	if !ok || e.ID != "rules_older" || a.config.RulesURL == "" {
		return err
	}
	hinted := *e
	hinted.Hint = fmt.Sprintf("have %s give publication %s or a newer one; the last that came is in %s", a.config.RulesURL, e.Args["was"], a.keptRules())
	return &hinted
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
