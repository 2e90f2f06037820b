package rules

import (
	"cmp"
	"slices"

	"firstrod/engine"
)

// EaseChange is a limit or check that a local pack loosens for a time, where not
// both sides loosen it alike. Before is nil for one that is new, After for one that
// is gone.
type EaseChange struct {
	Way           Way
	Before, After *engine.Loosened
}

// PackChange is a pack whose name differs, or that holds on one side alone: there
// the other title is empty.
type PackChange struct {
	Code          string
	Before, After engine.Text
}

// ReleaseChange is what other rules mean for a release that was given before them;
// Before and After are [engine.PublishKeep] or [engine.PublishRecheck].
type ReleaseChange struct {
	Way           Way
	Before, After string
}

func compareEased(a, b *engine.Catalogue) []EaseChange {
	var all []EaseChange
	for i := range b.Loose {
		after := &b.Loose[i]
		before := easedLike(a, after)
		if way := wayOfEase(before, after); way != "" {
			all = append(all, EaseChange{way, before, after})
		}
	}
	for i := range a.Loose {
		if before := &a.Loose[i]; easedLike(b, before) == nil {
			all = append(all, EaseChange{Stricter, before, nil})
		}
	}
	return all
}

func easedLike(c *engine.Catalogue, l *engine.Loosened) *engine.Loosened {
	for i := range c.Loose {
		if o := &c.Loose[i]; o.Name == l.Name && o.Pack == l.Pack && o.How == l.How {
			return o
		}
	}
	return nil
}

// wayOfEase is empty where both are the same. Longer is looser.
func wayOfEase(before, after *engine.Loosened) Way {
	switch {
	case before == nil || after.Until > before.Until:
		return Looser
	case after.Until < before.Until:
		return Stricter
	case after.By != before.By || textWords(after.Why) != textWords(before.Why):
		return Other
	}
	return ""
}

// switchedOff says whether a check is off for a time, and not gone.
func switchedOff(c *engine.Catalogue, check *engine.Check) bool {
	return slices.ContainsFunc(c.Loose, func(l engine.Loosened) bool { return l.Name == check.ID && l.How == "off" })
}

func comparePacks(a, b *engine.Catalogue) []PackChange {
	title := func(c *engine.Catalogue, code string) engine.Text {
		for _, l := range c.Layers {
			if l.Code == code {
				return l.Title
			}
		}
		return nil
	}
	var all []PackChange
	for _, l := range slices.Concat(a.Layers, b.Layers) {
		p := PackChange{l.Code, title(a, l.Code), title(b, l.Code)}
		if textWords(p.Before) != textWords(p.After) {
			all = append(all, p)
		}
	}
	slices.SortFunc(all, func(p, q PackChange) int { return cmp.Compare(p.Code, q.Code) })
	return slices.CompactFunc(all, func(p, q PackChange) bool { return p.Code == q.Code })
}

// compareReleases is nil where both treat releases alike.
func compareReleases(a, b *engine.Catalogue) *ReleaseChange {
	switch {
	case a.OnPublish == b.OnPublish:
		return nil
	case b.OnPublish == engine.PublishRecheck:
		return &ReleaseChange{Stricter, a.OnPublish, b.OnPublish}
	}
	return &ReleaseChange{Looser, a.OnPublish, b.OnPublish}
}

// Each takes a difference apart, so that each part holds one thing.
func (d Difference) Each() []Difference {
	var all []Difference
	for _, p := range d.Packs {
		all = append(all, Difference{Packs: []PackChange{p}})
	}
	for _, c := range d.Added {
		all = append(all, Difference{Added: []*engine.Check{c}})
	}
	for _, c := range d.Removed {
		all = append(all, Difference{Removed: []*engine.Check{c}})
	}
	for _, l := range d.Limits {
		all = append(all, Difference{Limits: []LimitChange{l}})
	}
	for _, e := range d.Eased {
		all = append(all, Difference{Eased: []EaseChange{e}})
	}
	for _, c := range d.Changed {
		all = append(all, Difference{Changed: []CheckChange{c}})
	}
	if d.Releases != nil {
		all = append(all, Difference{Releases: d.Releases})
	}
	return all
}
