package engine

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// Meaning is what a signature says, word for word, in every record.
const Meaning = "I have seen the values on this board and the ground they were read on, and I stand by them."

// Sign puts one person's name under the board. With the last signature that the
// rules want, every rule is proved once more, by two routes through the rule
// engine, and the bore is released.
func (e *Engine) Sign(ctx context.Context, bore string, said Said) (Turn, error) {
	l, err := e.working(ctx, bore)
	if err != nil {
		return Turn{}, err
	}
	defer l.mu.Unlock()
	void := ""
	if l.bore.State == Released && !e.over(l.bore) {
		if void = e.lost(ctx, l); void == "" {
			return Turn{}, failure("released")
		}
	}
	if refusal := alreadySigned(l.bore, said.By); refusal != nil && void == "" {
		return Turn{}, e.refuse(ctx, l, said, refusal)
	}
	now := e.clock().UTC()
	input := canonical(l.rules.Catalogue(), l.bore)
	r := ledger.Record{
		Kind: ledger.KindSign, State: string(l.bore.State), Void: void,
		Sign: &ledger.Sign{Meaning: Meaning, Input: ledger.BlobSum(input), Through: l.bore.Ver},
	}
	e.complete(&r, l, said, now)
	if err := e.enforceFor(ctx, l, &r, now); err != nil {
		return Turn{}, err
	}
	next := l.bore.clone()
	if err := next.apply(&r); err != nil {
		return Turn{}, err
	}
	found, err := proveTwice(ctx, l.rules, next, now)
	if err != nil {
		return Turn{}, err
	}
	if err := signable(found); err != nil {
		l.take(found.withoutSignature(l.findings))
		return Turn{}, err
	}
	if found.holds(GateRelease) {
		if r.Release, err = release(l.rules.Catalogue(), next, found, now, r.Sign.Input); err != nil {
			return Turn{}, err
		}
		r.State, r.Void = string(Released), ""
		next = l.bore.clone()
		if err := next.apply(&r); err != nil {
			return Turn{}, err
		}
		for key, f := range judge(ctx, l.rules, next, now, found.gated(GateDrilling)) {
			found.fresh[key] = f // read on the release before: it is to be made anew
		}
	}
	note(&r, l.bore.recorded, found)
	return e.append(ctx, l, r, next, found, [][]byte{input})
}

// alreadySigned says why this person may not sign, or nothing.
func alreadySigned(b *Bore, by ledger.Actor) *Error {
	for _, s := range b.signs {
		if s.By.ID == by.ID {
			return failure("signed_already")
		}
		if s.By.Role == by.Role {
			return failure("role_signed")
		}
	}
	return nil
}

// over says whether a release has run out.
func (e *Engine) over(b *Bore) bool {
	return b.release == nil || e.clock().After(b.release.Until)
}

// proveTwice asks the rules about everything by two routes. A finding on which
// they differ is broken: rule engines have had faults in their short cuts.
func proveTwice(ctx context.Context, rules Evaluator, b *Bore, now time.Time) (standing, error) {
	ts := targets(rules.Catalogue(), b)
	first := judge(ctx, rules, b, now, ts)
	v := &view{bore: b, cat: rules.Catalogue(), now: now}
	var ask []Target
	for _, t := range ts {
		if t.Check.Each == PerBore || t.Subject != "" {
			ask = append(ask, t)
		}
	}
	for _, second := range rules.Confirm(ctx, ask, v.of) {
		f := first[second.Key()]
		if f.Status == Waived && second.Status == Fail {
			continue
		}
		if f.Status != second.Status {
			f.Status, f.Note = Broken, fmt.Sprintf("proved %s by one route and %s by the other", f.Status, second.Status)
			first[second.Key()] = f
		}
	}
	return standing{targets: ts, fresh: first}, ctx.Err()
}

// signable says what stands in the way of a signature: everything that does not
// hold, but for signatures still to come.
func signable(found standing) error {
	n := 0
	for _, t := range found.targets {
		f := found.of(t)
		if t.Check.Gate != GateRelease || f.Status.Holds() || onlySignature(f) || t.Check.AboutSignatures() {
			continue
		}
		n++
	}
	if n == 0 {
		return nil
	}
	return failure("sign_blocked", "n", strconv.Itoa(n))
}

// onlySignature: nothing is missing but a signature.
func onlySignature(f Finding) bool {
	return f.Status == Needs && len(f.Missing) == 1 && f.Missing[0] == SignatureKey
}

// AboutSignatures says whether a check is about who signs. It may fail while people
// sign; another signature mends it.
func (ch *Check) AboutSignatures() bool {
	for _, leaf := range ch.PassReads {
		if len(leaf) > 8 && leaf[:8] == "signing." {
			return true
		}
	}
	return false
}

// withoutSignature keeps what the fresh look found, but for the checks about a
// signature that did not happen.
func (s standing) withoutSignature(old map[string]Finding) standing {
	for _, t := range s.targets {
		if prev, ok := old[t.key()]; ok && onlySignature(prev) {
			s.fresh[t.key()] = prev
		}
	}
	return s
}

// release is what the last signature brings about.
func release(c *Catalogue, b *Bore, found standing, now time.Time, input string) (*ledger.Release, error) {
	end, ok := until(c, b, now)
	if !ok || !end.After(now) {
		return nil, failure("no_end")
	}
	r := &ledger.Release{Until: end.UTC(), Input: input}
	for _, s := range b.signs {
		r.Signers = append(r.Signers, s.By)
	}
	for _, t := range found.targets {
		if t.Check.Gate != GateRelease {
			continue
		}
		r.Checks++
		if f := found.of(t); f.Status == Waived {
			r.Waived = append(r.Waived, f.Key())
		}
	}
	for _, loose := range c.Loose {
		r.Loose = append(r.Loose, loose.Name)
	}
	slices.Sort(r.Waived)
	slices.Sort(r.Loose)
	return r, nil
}

// until is when a release ends at the latest: at the first fact that ends one,
// when the first fact grows too old, and when a limit is loosened no more.
func until(c *Catalogue, b *Bore, now time.Time) (time.Time, bool) {
	var first time.Time
	earlier := func(t time.Time) {
		if first.IsZero() || t.Before(first) {
			first = t
		}
	}
	ends := false
	for key, g := range b.facts {
		id, _ := SplitKey(key)
		a, ok := c.Ask(id)
		if !ok {
			continue
		}
		if a.Ends {
			ends = true
			earlier(endOf(g.Value, b.Zone))
		}
		if a.GoodFor > 0 && !now.After(g.At.Add(a.GoodFor)) {
			earlier(g.At.Add(a.GoodFor))
		}
	}
	for _, loose := range c.Loose {
		earlier(dayAfter(loose.Until, b.Zone))
	}
	return first, ends
}

// endOf is the moment itself, or the first moment after the day.
func endOf(v quantity.Value, zone *time.Location) time.Time {
	if v.Kind() == quantity.Time {
		return time.Unix(v.Base(), 0)
	}
	return dayAfter(v.Base(), zone)
}

// dayAfter is the first moment after a day.
func dayAfter(day int64, zone *time.Location) time.Time {
	y, m, d := time.Unix(day*86400, 0).UTC().Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, zone)
}

// canonical is what people sign, as bytes: the facts, the events and the rules,
// in one order. It leaves out the clock, so that two people who see the same
// board sign the same bytes.
func canonical(c *Catalogue, b *Bore) []byte {
	type fact struct {
		Key   string   `json:"key"`
		Kind  string   `json:"kind"`
		Value string   `json:"value"`
		Items []string `json:"items,omitempty"`
		At    int64    `json:"at"`
	}
	doc := struct {
		Bore    string            `json:"bore"`
		Zone    string            `json:"zone"`
		Rules   string            `json:"rules"`
		Facts   []fact            `json:"facts"`
		Events  map[string]int    `json:"events"`
		Holds   int               `json:"holds"`
		Waivers map[string]string `json:"waivers"`

		Jurisdiction string `json:"jurisdiction,omitempty"`
	}{Bore: b.ID, Zone: b.Zone.String(), Jurisdiction: b.Jurisdiction, Rules: c.Revision, Events: b.eventCounts(), Holds: b.holds, Waivers: map[string]string{}}
	for _, g := range b.Facts() {
		doc.Facts = append(doc.Facts, fact{g.Key, string(g.Value.Kind()), g.Value.Exact(), g.Value.Items(), g.At.Unix()})
	}
	for key, w := range b.waivers {
		doc.Waivers[key] = w.Why
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		panic("engine: a plain struct cannot fail to encode: " + err.Error())
	}
	return raw
}
