package engine

import (
	"context"
	"slices"
	"sync"

	"firstrod/engine/ledger"
)

// Kept is what a store keeps of the rules of then.
type Kept interface {
	// Rules streams the records that put rules in force, in order.
	Rules(ctx context.Context, fn func(ledger.Record) error) error
	// Blob gives bytes by their SHA-256 in hex; nil where there are none. Bytes
	// that are not what their name says are an error.
	Blob(ctx context.Context, sum string) ([]byte, error)
}

// Rerunner makes decisions on record again, with the rules, the facts and the
// clock of then. Make one with [NewRerunner] and call [Rerunner.Bore]. It may be
// used by many goroutines.
type Rerunner struct {
	past   Past
	kept   Kept
	reopen Reopen

	mu    sync.Mutex
	packs map[string]ledger.Pack
	rules map[string]*rulesOfThen
}

// Rerun is one record of a bore, decided again.
//
// It is the same when every finding that stood on the record after it comes out
// again; and for a signature, when the bytes that were signed do, bit for bit, and
// everything that its release says. A record only carries the findings that it
// changed: what stood is those of all records up to it. The clock is that of the
// record, for ages and days too: a turn looks at everything that time has changed
// since the turn before, so that nothing on record is older than its record.
//
// What an event made the crew give again is taken from the record, not worked out.
type Rerun struct {
	Record   ledger.Record
	Findings int           // that were made again
	Differs  []Discrepancy // empty: the same
	// Program says in which way the program of then was another one, where it was:
	// the findings are compared all the same.
	Program string
	// Late lists findings that were broken then and are not now: a rule that gave no
	// answer in time, on a machine that was busy. No release stands on them.
	Late []string
}

// Same says whether the decision comes out as it did.
func (r *Rerun) Same() bool { return len(r.Differs) == 0 }

// Discrepancy is one thing that does not come out as it was recorded.
type Discrepancy struct {
	What Aspect
	Key  string // the finding, the SHA-256, or the field
	Then string // as recorded; empty: nothing
	Now  string
}

// Aspect says what a [Discrepancy] is about.
type Aspect string

// The aspects.
const (
	AboutRules   Aspect = "rules"   // the packs of then are missing or others
	AboutFinding Aspect = "finding" // a finding has another status
	AboutInput   Aspect = "input"   // what was signed is missing or other bytes
	AboutRelease Aspect = "release" // what the release says, or whether there is one
)

// NewRerunner learns where the rules of every revision are kept.
func NewRerunner(ctx context.Context, past Past, kept Kept, reopen Reopen) (*Rerunner, error) {
	r := &Rerunner{past: past, kept: kept, reopen: reopen, packs: map[string]ledger.Pack{}, rules: map[string]*rulesOfThen{}}
	err := kept.Rules(ctx, func(rec ledger.Record) error {
		if _, known := r.packs[rec.Rules]; !known && rec.Pack != nil {
			r.packs[rec.Rules] = *rec.Pack
		}
		return nil
	})
	return r, err
}

// Bore makes the wanted records of a bore again, in order. Errors are those of the
// store, of fn, and Damaged where the records cannot be folded.
func (r *Rerunner) Bore(ctx context.Context, id string, want func(ledger.Record) bool, fn func(Rerun) error) error {
	b := newBore(id)
	return r.past.Bore(ctx, id, 1, func(rec ledger.Record) error {
		if !want(rec) {
			return b.apply(&rec)
		}
		again := Rerun{Record: rec}
		if err := r.decide(ctx, b, &again); err != nil {
			return err
		}
		return fn(again)
	})
}

// decide applies a record to the bore before it, and makes its decision again.
func (r *Rerunner) decide(ctx context.Context, b *Bore, again *Rerun) error {
	rec := &again.Record
	rules, err := r.rulesFor(ctx, rec.Rules)
	if err != nil {
		return err
	}
	if rules.missing != nil {
		again.Differs = append(again.Differs, *rules.missing)
		return b.apply(rec)
	}
	again.Program = rules.program
	input := canonical(rules.catalogue, b) // what people see before they sign
	if err := b.apply(rec); err != nil {
		return err
	}
	var found standing
	if rec.Sign != nil {
		found, err = proveTwice(ctx, rules.evaluator, b, rec.At)
	} else {
		ts := targets(rules.catalogue, b)
		found, err = standing{targets: ts, fresh: judge(ctx, rules.evaluator, b, rec.At, ts)}, ctx.Err()
	}
	if err != nil {
		return err
	}
	again.findings(b, found)
	if rec.Sign != nil {
		if err := r.signed(ctx, again, input); err != nil {
			return err
		}
	}
	again.released(rules.catalogue, b, found, ledger.BlobSum(input))
	return nil
}

// findings compares every finding with what stands on record.
func (r *Rerun) findings(b *Bore, found standing) {
	there := map[string]bool{}
	for _, t := range found.targets {
		key, now := t.key(), found.of(t).Status
		there[key] = true
		r.Findings++
		switch then := b.recorded[key]; then {
		case now:
		case Broken:
			r.Late = append(r.Late, key)
		default:
			r.differ(AboutFinding, key, string(then), string(now))
		}
	}
	var odd []string
	for key := range b.recorded {
		if !there[key] {
			odd = append(odd, key)
		}
	}
	slices.Sort(odd)
	for _, key := range odd {
		r.differ(AboutFinding, key, string(b.recorded[key]), "")
	}
}

func (r *Rerun) differ(what Aspect, key, then, now string) {
	r.Differs = append(r.Differs, Discrepancy{what, key, then, now})
}

// signed compares what was signed, bit for bit, with what is kept and with what
// the records make of it.
func (r *Rerunner) signed(ctx context.Context, again *Rerun, input []byte) error {
	sum := again.Record.Sign.Input
	kept, err := r.kept.Blob(ctx, sum)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		again.differ(AboutInput, sum, "", err.Error())
	case kept == nil:
		again.differ(AboutInput, sum, "", "missing")
	case ledger.BlobSum(kept) != sum:
		again.differ(AboutInput, sum, sum, ledger.BlobSum(kept))
	}
	if now := ledger.BlobSum(input); now != sum {
		again.differ(AboutInput, "signed", sum, now)
	}
	return nil
}
