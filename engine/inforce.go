package engine

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"

	"firstrod/engine/ledger"
)

// Everywhere is a book with the same rules at every place on every day.
func Everywhere(rules Evaluator) Rulebook { return everywhere{rules} }

type everywhere struct{ rules Evaluator }

func (w everywhere) At(string, int64) Evaluator { return w.rules }
func (w everywhere) Places() []string           { return []string{""} }

// Reopen makes the rules of a revision again from the bytes that the ledger kept.
type Reopen func(ctx context.Context, packs []byte, place string, day int64) (Evaluator, error)

// inForce is what the ledger says about rules: which are in force at each place,
// and where those of every revision are kept.
type inForce struct {
	mu    sync.Mutex
	at    map[string]string      // jurisdiction -> revision
	packs map[string]ledger.Pack // by revision
	old   map[string]Evaluator   // revisions that were made again

	newest ledger.Record // that put rules in force; its number is 0 where there is none
	serial int64         // the highest of a publication
}

func (f *inForce) load(ctx context.Context, known Registry) error {
	f.at, f.packs, f.old = map[string]string{}, map[string]ledger.Pack{}, map[string]Evaluator{}
	return known.Rules(ctx, func(r ledger.Record) error { f.note(r); return nil })
}

func (f *inForce) note(r ledger.Record) {
	f.at[r.Pack.Place], f.packs[r.Rules], f.newest = r.Rules, *r.Pack, r
	f.serial = max(f.serial, r.Pack.Serial)
}

// place is the narrowest place around a jurisdiction that has rules of its own.
func (f *inForce) place(jurisdiction string) string {
	for place := jurisdiction; place != ""; place = ledger.Wider(place) {
		if _, ok := f.at[place]; ok {
			return place
		}
	}
	return ""
}

// Publication is how a book of rules comes into force. The zero value is for rules
// that came with the program.
type Publication struct {
	By     string // name of the safety manager who published it
	Why    string // the reason given
	Serial int64  // number of the publication; it only grows
}

// Publish puts a book of rules in force: it is in the ledger, with the bytes of its
// packs, before any bore is judged by it. Releases that it does not let stand are
// void then, each in a record of its own. A place whose rules came with the program,
// or that only has a line in a table, is written down when its first bore is.
func (e *Engine) Publish(ctx context.Context, book Rulebook, p Publication) error {
	if err := e.Older(p.Serial); err != nil {
		return err
	}
	day := Day(e.clock(), time.UTC)
	for _, place := range e.published(book, day, p) {
		if err := e.enforce(ctx, place, book.At(place, day), day, p); err != nil {
			return err
		}
	}
	e.book.Store(&book)
	return e.recheck(ctx)
}

// Older is an error where rules of a serial are older than those in force, by which
// no bore may be judged any more.
func (e *Engine) Older(serial int64) error {
	if last := e.Serial(); serial < last {
		return failure("rules_older", "is", strconv.FormatInt(serial, 10), "was", strconv.FormatInt(last, 10))
	}
	return nil
}

// Serial is the number of the newest publication on record; 0 for none.
func (e *Engine) Serial() int64 {
	e.rules.mu.Lock()
	defer e.rules.mu.Unlock()
	return e.rules.serial
}

// published lists the places that a book must be on record for from the beginning:
// everywhere, where others are on record, and where a published local pack holds.
func (e *Engine) published(book Rulebook, day int64, p Publication) []string {
	places := []string{""}
	for _, place := range book.Places() {
		if p.Serial == 0 {
			break
		}
		holds := func(l Layer) bool { return l.Holds == place && !l.Row }
		if slices.ContainsFunc(book.At(place, day).Catalogue().Layers, holds) {
			places = append(places, place)
		}
	}
	e.rules.mu.Lock()
	defer e.rules.mu.Unlock()
	places = slices.AppendSeq(places, maps.Keys(e.rules.at))
	slices.Sort(places)
	return slices.Compact(places)
}

// enforce writes down which rules are in force at a place, with their bytes, when
// they are not those that the ledger has.
func (e *Engine) enforce(ctx context.Context, place string, rules Evaluator, day int64, p Publication) error {
	c := rules.Catalogue()
	e.rules.mu.Lock()
	defer e.rules.mu.Unlock()
	// A publication is on record in any case, if it changes nothing for everywhere.
	if e.rules.at[place] == c.Revision && (place != "" || p.Serial <= e.rules.serial) {
		return nil
	}
	pack := &ledger.Pack{Blob: ledger.BlobSum(c.Packs), Engine: c.Engine, Place: place, Day: day, Serial: p.Serial}
	for _, ch := range c.Checks {
		pack.Checks = append(pack.Checks, ledger.PackCheck{
			ID: ch.ID, Each: string(ch.Each), Gate: string(ch.Gate), Digest: ch.Digest, Fixed: !ch.Waivable,
		})
	}
	r := ledger.Record{
		V: 1, Key: fmt.Sprintf("rules:%s%s:after:%d", atPlace(place), c.Revision, e.rules.newest.Seq), Kind: ledger.KindRules,
		At: e.clock().UTC(), Why: p.Why, Rules: c.Revision, Pack: pack,
	}
	if p.By != "" {
		who, err := e.Introduce(ctx, Said{Key: fmt.Sprintf("publisher:%d:%s", p.Serial, c.Revision), From: "publication"}, p.By, RoleSafetyManager)
		if err != nil {
			return err
		}
		r.By = &ledger.Actor{ID: who.ID, Role: RoleSafetyManager}
	}
	receipt, err := e.store.Append(context.WithoutCancel(ctx), ledger.Entry{Record: r, Blobs: [][]byte{c.Packs}})
	if err != nil {
		return err
	}
	r.Seq = receipt.Seq
	e.rules.note(r)
	return nil
}

func atPlace(place string) string {
	if place == "" {
		return ""
	}
	return place + ":"
}

// enforceFor writes down the rules that a bore is judged by, where a day alone has
// made them others than those on record.
func (e *Engine) enforceFor(ctx context.Context, l *live, r *ledger.Record, now time.Time) error {
	c, where := l.rules.Catalogue(), l.bore.Jurisdiction
	if r.Moved != nil {
		where = r.Moved.Jurisdiction
	}
	e.rules.mu.Lock()
	place := e.rules.place(where)
	if len(c.Place) > len(place) {
		place = c.Place // narrower, and not on record yet
	}
	_, known := e.rules.packs[c.Revision]
	same := e.rules.at[place] == c.Revision
	e.rules.mu.Unlock()
	if same || known && l.kept {
		return nil
	}
	return e.enforce(ctx, place, l.rules, Day(now, l.bore.Zone), Publication{})
}

// choose gives a bore the rules that it is judged by now: those of its place and
// day, or those that a release was given under, which stands to its end unless
// the new ones say otherwise.
func (e *Engine) choose(ctx context.Context, l *live, b *Bore) error {
	now := e.clock()
	current := (*e.book.Load()).At(b.Jurisdiction, Day(now, b.Zone))
	l.rules, l.kept = current, false
	c := current.Catalogue()
	if b.State != Released || e.over(b) || b.Rules == c.Revision || c.OnPublish == PublishRecheck {
		return nil
	}
	kept, err := e.RulesOf(ctx, b.Rules)
	if err == nil && kept != nil {
		l.rules, l.kept = kept, true
	}
	return err
}

// RulesOf makes the rules of a revision again from what the ledger kept. They are
// nil where that cannot be done: the ledger does not know the revision, or this
// version of the rule engine makes another one of it.
func (e *Engine) RulesOf(ctx context.Context, revision string) (Evaluator, error) {
	e.rules.mu.Lock()
	defer e.rules.mu.Unlock()
	if rules, ok := e.rules.old[revision]; ok {
		return rules, nil
	}
	pack, ok := e.rules.packs[revision]
	if !ok || e.reopen == nil {
		return nil, nil
	}
	packs, err := e.known.Blob(ctx, pack.Blob)
	if err != nil || packs == nil {
		return nil, err
	}
	rules, err := e.reopen(ctx, packs, pack.Place, pack.Day)
	if err != nil || rules.Catalogue().Revision != revision {
		rules = nil
	}
	e.rules.old[revision] = rules
	return rules, nil
}
