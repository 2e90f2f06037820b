package rules

import (
	"io/fs"
	"slices"

	"firstrod/engine"
)

// Reading is one value that a check reads.
type Reading struct {
	Leaf string        // as rules write it, without "input."
	Ask  *engine.Ask   // the question it answers; nil for what the program knows or computes
	From []*engine.Ask // the questions behind what is computed, in order; may be empty
}

// Background is what stands behind a check.
type Background struct {
	Exempt []Reading       // what says whether the check applies
	Pass   []Reading       // what says whether it holds
	Limits []*engine.Param // that it reads, directly or through a computed value, by path
}

// About finds what stands behind a check of a catalogue.
func About(cat *engine.Catalogue, c *engine.Check) Background {
	b := Background{Exempt: readings(cat, c.ExemptReads), Pass: readings(cat, c.PassReads)}
	for _, p := range cat.Params {
		// A catalogue that knows one limit knows whether a check reads that one.
		if only := engine.NewCatalogue("", "", nil, nil, []*engine.Param{p}); len(only.Limits(c)) > 0 {
			b.Limits = append(b.Limits, p)
		}
	}
	return b
}

func readings(cat *engine.Catalogue, leaves []string) []Reading {
	all := make([]Reading, 0, len(leaves))
	for _, leaf := range leaves {
		r := Reading{Leaf: leaf}
		// A catalogue of one check that reads one leaf knows what is behind it.
		probe := engine.NewCatalogue("", "", nil, []*engine.Check{{PassReads: []string{leaf}}}, nil)
		for _, a := range cat.Asks {
			switch {
			case engine.LeafOf(a) == leaf:
				r.Ask = a
			case len(probe.ReadBy(engine.LeafOf(a))) > 0:
				r.From = append(r.From, a)
			}
		}
		if r.Ask != nil {
			r.From = nil
		}
		all = append(all, r)
	}
	return all
}

// ReadersOf lists the checks that read a limit, directly or through a computed
// value, in the order of the job.
func ReadersOf(cat *engine.Catalogue, path string) []*engine.Check {
	p, ok := cat.Param(path)
	if !ok {
		return nil
	}
	only := engine.NewCatalogue("", "", nil, nil, []*engine.Param{p})
	return slices.DeleteFunc(slices.Clone(cat.Checks), func(c *engine.Check) bool { return len(only.Limits(c)) == 0 })
}

// Demands gives what each check demands, in one English sentence, by id: the
// description in its METADATA.
func Demands(cat *engine.Catalogue) (map[string]string, error) {
	pack, err := Open(cat.Packs)
	if err != nil {
		return nil, err
	}
	all := map[string]string{}
	out := &faults{}
	for _, c := range cat.Checks {
		text, err := fs.ReadFile(pack, c.File)
		if err != nil {
			return nil, unreadable(c.File, err)
		}
		yaml, ok := block(file{c.File, text}, out)
		if !ok {
			continue
		}
		r := &reader{file: c.File, before: 1, out: out}
		if top, ok := r.parse(yaml); ok {
			all[c.ID] = r.sentence(r.fields(top, "title", "*description", "related_resources", "custom")["description"])
		}
	}
	return all, out.err()
}
