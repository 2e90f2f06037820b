package rules

import (
	"context"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"time"

	"firstrod/engine"
)

// bookTime is how long LoadBook may take.
const bookTime = 20 * time.Second

// Layers is where the rules of all places are read from.
type Layers struct {
	Base  fs.FS // the base pack
	Local fs.FS // one folder per local pack; nil: none
}

// Book is the rules of every place and every day. It implements
// engine.Rulebook, never changes, and may be used by many goroutines.
type Book struct {
	places map[string][]Edition // by jurisdiction, the earliest first
	packs  []engine.Layer       // the local packs, from wide to narrow
}

var _ engine.Rulebook = (*Book)(nil)

// Edition is the rules of one place from one day on, to the day before the next
// edition of that place.
type Edition struct {
	Place string // a jurisdiction; "" for everywhere else
	From  int64  // days since 1970-01-01; 0: from the beginning
	Set   *Set
}

// LoadBook reads the base and every local pack, refuses anything odd in any of
// them, and makes every edition ready: those of the base, of each state in its
// one-call table, and of each local pack, before and after each end date. Errors
// are as those of Load; they name files as base/... and local/CODE/....
func LoadBook(ctx context.Context, layers Layers, opts Options) (*Book, error) {
	opts = opts.withDefaults(bookTime)
	return inTime(ctx, opts.Total, func(ctx context.Context) (*Book, error) {
		sh, err := newShelf(ctx, layers, opts)
		if err != nil {
			return nil, err
		}
		if err := sh.states(); err != nil {
			return nil, err
		}
		return sh.book(ctx)
	})
}

// At implements engine.Rulebook.
func (b *Book) At(jurisdiction string, day int64) engine.Evaluator { return b.Set(jurisdiction, day) }

// Set is At with its own type: the rules of the narrowest place that has rules of
// its own and holds the jurisdiction. What is no jurisdiction gets the base.
func (b *Book) Set(jurisdiction string, day int64) *Set {
	for _, place := range append(wider(jurisdiction), "") {
		if all := b.places[place]; len(all) > 0 {
			return onDay(all, day)
		}
	}
	return nil // not reached: a book without a base is not made
}

func onDay(all []Edition, day int64) *Set {
	set := all[0].Set
	for _, e := range all[1:] {
		if e.From <= day {
			set = e.Set
		}
	}
	return set
}

// Places implements engine.Rulebook. They are sorted.
func (b *Book) Places() []string { return slices.Sorted(maps.Keys(b.places)) }

// Packs lists the local packs, from wide to narrow.
func (b *Book) Packs() []engine.Layer { return slices.Clone(b.packs) }

// Editions lists all editions by place and day.
func (b *Book) Editions() []Edition {
	var all []Edition
	for _, place := range b.Places() {
		all = append(all, b.places[place]...)
	}
	return all
}

// Notes lists what is odd and was not refused, each once.
func (b *Book) Notes() []string {
	var all []string
	known := map[*unit]bool{}
	for _, e := range b.Editions() {
		for _, n := range e.Set.notesBut(known) {
			if !slices.Contains(all, n) {
				all = append(all, n)
			}
		}
	}
	return all
}

// wider lists a jurisdiction and those that hold it, the narrowest first; none
// for what is no jurisdiction.
func wider(place string) []string {
	if !engine.ValidJurisdiction(place) {
		return nil
	}
	all := []string{place}
	for {
		cut := strings.LastIndexByte(place, '/')
		if cut < 0 {
			cut = strings.LastIndexByte(place, '-')
		}
		if cut < 0 {
			return all
		}
		place = place[:cut]
		all = append(all, place)
	}
}

// book makes every edition.
func (sh *shelf) book(ctx context.Context) (*Book, error) {
	b := &Book{places: map[string][]Edition{}}
	for _, t := range sh.local {
		b.packs = append(b.packs, engine.Layer{Code: t.code, Title: t.overlay.title, Holds: t.overlay.holds})
	}
	for _, place := range sh.places() {
		t := sh.tier(place)
		for _, day := range t.days() {
			set, err := t.edition(ctx, edition{place: place, day: day, row: sh.row(place)})
			if err != nil {
				return nil, err
			}
			b.places[place] = append(b.places[place], Edition{place, day, set})
		}
	}
	return b, ctx.Err()
}

// days lists the first days of the editions of a tier: the first of all, and the
// day after each end date.
func (t *tier) days() []int64 {
	days := []int64{0}
	for _, l := range t.chain() {
		if l.overlay != nil {
			for _, r := range l.overlay.relaxed() {
				days = append(days, r.until+1)
			}
		}
	}
	slices.Sort(days)
	return slices.Compact(days)
}

func (o *overlay) relaxed() []*relax {
	var all []*relax
	for _, s := range o.limits {
		all = append(all, s.relax)
	}
	for _, s := range o.checks {
		all = append(all, s.relax)
	}
	return slices.DeleteFunc(all, func(r *relax) bool { return r == nil })
}
