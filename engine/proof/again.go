package proof

import (
	"maps"
	"slices"

	"firstrod/engine/ledger"
)

const (
	broken = "broken" // a rule that misbehaved: a slow machine is enough
	absent = "no finding"
)

// again has the rules judge the bore after each of its records, and compares.
func (c *checker) again() {
	if c.o.Rerun == nil || c.v.Faults > 0 {
		return
	}
	packs := map[string]ledger.Pack{}
	for _, row := range c.f.rows() {
		if r, err := ledger.Decode(row.Data); err == nil && r.Pack != nil {
			packs[r.Rules] = *r.Pack
		}
	}
	stand := map[string]string{}
	for i, r := range c.bore {
		for _, key := range r.Gone {
			delete(stand, key)
		}
		for status, keys := range r.Findings {
			for _, key := range keys {
				stand[key] = status
			}
		}
		if r.Rules == "" {
			continue
		}
		found, err := c.o.Rerun.Rerun(c.ctx, r.Rules, packs[r.Rules], c.f.parts[folderBlobs+packs[r.Rules].Blob], c.bore[:i+1])
		if err != nil {
			c.why = err
			return
		}
		c.compare(r, stand, found.Findings)
		c.loosened(r, found.Loose)
		c.v.Rerun++
	}
}

// compare names each finding that is not what the record says.
func (c *checker) compare(r ledger.Record, stand, found map[string]string) {
	keys := maps.Clone(stand)
	maps.Copy(keys, found)
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		was, is := stand[key], found[key]
		if was == is || was == broken {
			continue
		}
		if was == "" {
			was = absent
		}
		if is == "" {
			is = absent
		}
		c.fault(r.Seq, FaultRerun, "by the rules in force, %s after record %d is %q; the records say %q", key, r.Seq, is, was)
	}
}

// loosened holds what a release says was less strict than the base against the
// packs that it was given under: a list cut short would look like a stricter bore.
func (c *checker) loosened(r ledger.Record, found []string) {
	if r.Release == nil {
		return
	}
	was, is := slices.Sorted(slices.Values(r.Release.Loose)), slices.Sorted(slices.Values(found))
	if !slices.Equal(was, is) {
		c.fault(r.Seq, FaultRerun, "by the packs in force, the release of record %d rests on what is loosened in %q; the record names %q", r.Seq, is, was)
	}
}
