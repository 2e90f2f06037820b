package engine

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"
	"strings"
	"sync"
)

// Reach is a hash of everything in a revision that can change how a check comes
// out on the same facts: its own rules and limits, and what lies behind the
// values that it reads: limits that computed values are made of, the kind and the
// options of each answer and how long it is good for, and how many people sign.
// Two revisions in which it is the same find the same, always. It is "" for a check
// without a digest, which is the same as nothing.
func (c *Catalogue) Reach(ch *Check) string {
	if ch.Digest == "" {
		return ""
	}
	h := sha256.New()
	fmt.Fprintf(h, "%s %s %q %q %t\n", ch.ID, ch.Digest, ch.Each, ch.Gate, ch.Waivable)
	for _, leaf := range c.behind(ch) {
		c.reachOf(h, leaf)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// behind lists the leaves that a check reads, and those that these stand on.
func (c *Catalogue) behind(ch *Check) []string {
	seen := map[string]bool{}
	var all []string
	var add func(leaf string)
	add = func(leaf string) {
		if seen[leaf] {
			return
		}
		seen[leaf] = true
		all = append(all, leaf)
		for _, r := range readsOf(leaf) {
			add(bareLeaf(r))
		}
	}
	for _, leaf := range slices.Concat(ch.ExemptReads, ch.PassReads) {
		add(leaf)
	}
	if ch.Each != PerBore {
		add(listOf(ch.Each))
	}
	slices.Sort(all)
	return all
}

func (c *Catalogue) reachOf(h hash.Hash, leaf string) {
	fmt.Fprintf(h, "%s\n", leaf)
	if d, ok := derived(leaf); ok {
		c.limitsOf(h, d.params...)
		return
	}
	if strings.HasPrefix(leaf, "signing.") {
		c.limitsOf(h, "signoff.people")
		return
	}
	_, id := scopeOfLeaf(leaf)
	if a, ok := c.ask[id]; ok {
		fmt.Fprintf(h, "%s %s %d", a.Kind, a.Scope, a.GoodFor)
		for _, o := range a.Options {
			fmt.Fprintf(h, " %q", o.ID)
		}
		fmt.Fprintln(h)
	}
}

func (c *Catalogue) limitsOf(h hash.Hash, paths ...string) {
	for _, path := range paths {
		if p, ok := c.param[path]; ok {
			fmt.Fprintf(h, "%s=%s\n", path, p.Value.Exact())
		}
	}
}

// plan is what a replay does for one pair of revisions, and for bores whose
// findings were recorded under a third.
type plan struct {
	old, candidate *Catalogue
	differs        map[string]bool // checks that the two judge differently, new and gone ones among them
	same           []*Check        // of the candidate: need not be asked twice
	changed        []*Check        // of the candidate: to be asked
	was            []*Check        // of the old rules: to be asked, unless believed
	believed       map[string]bool // by check: the record has what the old rules find
	sights         map[string][]sight
}

// plans makes each plan once.
type plans struct {
	options ReplayOptions
	mu      sync.Mutex
	made    map[planKey]*plan
	reaches map[*Catalogue]map[string]string
	pairs   []*plan // one for each pair of revisions, in the order they came up
}

type planKey struct {
	old, candidate *Catalogue
	recorded       string
}

func newPlans(o ReplayOptions) *plans {
	return &plans{options: o, made: map[planKey]*plan{}, reaches: map[*Catalogue]map[string]string{}}
}

func (p *plans) of(old, candidate *Catalogue, recorded string) *plan {
	p.mu.Lock()
	defer p.mu.Unlock()
	key := planKey{old, candidate, recorded}
	if made, ok := p.made[key]; ok {
		return made
	}
	made := p.contrast(old, candidate)
	made.believed = p.believe(made, recorded)
	p.made[key] = made
	return made
}

// contrast says which checks two revisions judge alike.
func (p *plans) contrast(old, candidate *Catalogue) *plan {
	made := &plan{old: old, candidate: candidate, differs: map[string]bool{}, sights: map[string][]sight{}}
	before, after := p.reach(old), p.reach(candidate)
	for _, ch := range candidate.Checks {
		if !alike(before, after, ch.ID) {
			made.differs[ch.ID] = true
			made.sights[ch.ID] = sights(old, candidate, ch)
		}
		if p.options.Full || made.differs[ch.ID] {
			made.changed = append(made.changed, ch)
		} else {
			made.same = append(made.same, ch)
		}
	}
	for _, ch := range old.Checks {
		if !alike(before, after, ch.ID) {
			made.differs[ch.ID] = true
		}
		if p.options.Full || made.differs[ch.ID] {
			made.was = append(made.was, ch)
		}
	}
	if !slices.ContainsFunc(p.pairs, func(q *plan) bool { return q.old == old && q.candidate == candidate }) {
		p.pairs = append(p.pairs, made)
	}
	return made
}

func alike(a, b map[string]string, id string) bool { return a[id] != "" && a[id] == b[id] }

// believe says of which checks the record has what the old rules find.
func (p *plans) believe(made *plan, recorded string) map[string]bool {
	var then *Catalogue
	switch {
	case p.options.Full:
		return nil
	case recorded == made.old.Revision:
		then = made.old
	case recorded == made.candidate.Revision:
		then = made.candidate
	case p.options.Earlier != nil:
		then = p.options.Earlier(recorded)
	}
	if then == nil {
		return nil
	}
	believed := map[string]bool{}
	before, now := p.reach(then), p.reach(made.old)
	for id := range now {
		believed[id] = alike(before, now, id)
	}
	return believed
}

func (p *plans) reach(c *Catalogue) map[string]string {
	if all, ok := p.reaches[c]; ok {
		return all
	}
	all := make(map[string]string, len(c.Checks))
	for _, ch := range c.Checks {
		all[ch.ID] = c.Reach(ch)
	}
	p.reaches[c] = all
	return all
}
