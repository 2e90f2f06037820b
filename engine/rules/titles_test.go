package rules

import (
	"testing"

	"firstrod/engine"
)

// TestLimitsHaveTitles: a record names every limit in the language it is read in.
func TestLimitsHaveTitles(t *testing.T) {
	titled := func(params []*engine.Param) {
		seen := map[string]string{}
		for _, p := range params {
			for _, lang := range languages() {
				title := p.Title[lang]
				if title == "" || title == p.Name {
					t.Errorf("%s has no title in %s", p.Name, lang)
				}
				if other := seen[lang+title]; other != "" {
					t.Errorf("%s and %s are both called %q", p.Name, other, title)
				}
				seen[lang+title] = p.Name
			}
		}
	}
	titled(load(t, base(t)).Catalogue().Params)
	titled(realBook(t).At("US-VA/alder", day(t, "2026-11-25")).Catalogue().Params)
}
