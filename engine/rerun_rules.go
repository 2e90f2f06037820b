package engine

import (
	"context"
	"fmt"

	"firstrod/engine/ledger"
)

// rulesOfThen is one revision made again, or why it cannot be.
type rulesOfThen struct {
	evaluator Evaluator
	catalogue *Catalogue // under the revision of then
	missing   *Discrepancy
	program   string
}

// rulesFor makes the rules of a revision again, once.
func (r *Rerunner) rulesFor(ctx context.Context, revision string) (*rulesOfThen, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if made, ok := r.rules[revision]; ok {
		return made, nil
	}
	made := r.make(ctx, revision)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	r.rules[revision] = made
	return made, nil
}

func (r *Rerunner) make(ctx context.Context, revision string) *rulesOfThen {
	not := func(key, now string) *rulesOfThen {
		return &rulesOfThen{missing: &Discrepancy{AboutRules, key, revision, now}}
	}
	pack, ok := r.packs[revision]
	if !ok {
		return not("record", "")
	}
	packs, err := r.kept.Blob(ctx, pack.Blob)
	switch {
	case err != nil:
		return not(pack.Blob, err.Error())
	case packs == nil:
		return not(pack.Blob, "missing")
	case ledger.BlobSum(packs) != pack.Blob:
		return not(pack.Blob, "other bytes")
	}
	rules, err := r.reopen(ctx, packs, pack.Place, pack.Day)
	if err != nil {
		return not(pack.Blob, err.Error())
	}
	c := *rules.Catalogue()
	made := &rulesOfThen{evaluator: rules, catalogue: &c}
	if c.Revision == revision {
		return made
	}
	if made.program = otherProgram(pack, &c); made.program == "" {
		return not(pack.Blob, "revision "+c.Revision)
	}
	c.Revision = revision // what people signed names that of then
	return made
}

// otherProgram says in which way the program that put a pack in force was another
// one: another rule engine, or the same packs and checks under another revision,
// which is a hash of what rules may read too. It is "" where the checks differ
// although the rule engine is the same: these are not the packs of then.
func otherProgram(pack ledger.Pack, now *Catalogue) string {
	if pack.Engine != now.Engine {
		return fmt.Sprintf("the rule engine was %s and is %s now", pack.Engine, now.Engine)
	}
	if len(pack.Checks) != len(now.Checks) {
		return ""
	}
	for _, was := range pack.Checks {
		is, ok := now.Check(was.ID)
		if !ok || is.Digest != was.Digest || string(is.Each) != was.Each || string(is.Gate) != was.Gate || is.Waivable == was.Fixed {
			return ""
		}
	}
	return "rules could read other values then; the checks are the same"
}

// Catalogue is what an earlier revision said, for [ReplayOptions.Earlier]; nil where
// it cannot be made again, or was judged by another version of this program.
func (r *Rerunner) Catalogue(ctx context.Context, revision string) *Catalogue {
	made, err := r.rulesFor(ctx, revision)
	if err != nil || made.missing != nil || made.program != "" {
		return nil
	}
	return made.catalogue
}
