package engine

import (
	"context"
	"regexp"
	"strings"
	"time"

	"firstrod/engine/ledger"
)

// Opening is what a bore is opened with.
type Opening struct {
	Name  string // as the crew calls it: letters, digits, - and .
	Place string // where it is; may be empty
	Zone  string // IANA time zone of the site

	Jurisdiction string // whose codes hold, see [ValidJurisdiction]; "": the base alone
}

var boreName = regexp.MustCompile(`^[A-Z0-9][A-Z0-9.-]{0,39}$`)

// BoreID is the id of a bore by its name, however it is typed.
func BoreID(name string) (string, error) {
	id := strings.ToUpper(strings.Join(strings.Fields(name), "-"))
	if !boreName.MatchString(id) {
		return "", failure("bore_name")
	}
	return id, nil
}

// Open starts a bore. Its first record carries a finding for every rule, so
// that what was never asked can never pass for proved.
func (e *Engine) Open(ctx context.Context, said Said, o Opening) (Turn, error) {
	id, err := BoreID(o.Name)
	if err != nil {
		return Turn{}, err
	}
	if _, err := time.LoadLocation(o.Zone); err != nil || o.Zone == "" {
		return Turn{}, failure("zone_unknown", "zone", o.Zone)
	}
	if o.Jurisdiction != "" && !ValidJurisdiction(o.Jurisdiction) {
		return Turn{}, failure("jurisdiction_form", "code", o.Jurisdiction)
	}
	l, err := e.fresh(ctx, id, o)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	r := ledger.Record{
		Kind: ledger.KindOpen, State: string(Open),
		Open: &ledger.Opening{Title: id, Zone: o.Zone, Place: strings.Join(strings.Fields(o.Place), " "), Jurisdiction: o.Jurisdiction},
	}
	t, err := e.turn(ctx, l, said, r, change{})
	if err != nil || t.Repeated {
		l.bore = nil
		e.forget(id)
	}
	return t, err
}

// fresh is the place in memory for a bore that must not exist yet, locked.
func (e *Engine) fresh(ctx context.Context, id string, o Opening) (*live, error) {
	l, err := e.bore(ctx, id)
	if err == nil {
		l.mu.Unlock()
		return nil, failure("bore_known", "bore", id)
	}
	if KindOf(err) != NotFound {
		return nil, err
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	if _, raced := e.bores[id]; raced {
		return nil, failure("bore_racing", "bore", id)
	}
	b := newBore(id)
	b.Jurisdiction = o.Jurisdiction
	b.Zone, _ = time.LoadLocation(o.Zone)
	l = &live{bore: b, findings: map[string]Finding{}}
	if err := e.choose(ctx, l, b); err != nil {
		return nil, err
	}
	l.mu.Lock()
	e.bores[id] = l
	return l, nil
}
