package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"firstrod/engine/rules"
)

// The page in the repository is the one that these rules give.
func TestCatalogueIsFresh(t *testing.T) {
	const path = "../../policies/CATALOGUE.md"
	var out, errs bytes.Buffer
	if code := run(context.Background(), []string{"rules", "doc"}, streams{strings.NewReader(""), &out, &errs}); code != exitFine {
		t.Fatal(errs.String())
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, out.Bytes()) {
		t.Errorf("%s is not fresh: firstrod rules doc policies/base --out policies/CATALOGUE.md", path)
	}
}

// The page leaves nothing out and no place unfilled.
func TestCatalogueIsWhole(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		set, err := draftOf(context.Background(), basePack, &where{})
		if err != nil {
			t.Fatal(err)
		}
		cat := set.Catalogue()
		raw, err := page(cat, lang)
		if err != nil {
			t.Fatal(err)
		}
		text := string(raw)
		for _, c := range cat.Checks {
			if !strings.Contains(text, "\n### "+c.Title.In(lang)+"\n\n`"+c.ID+"`: ") {
				t.Errorf("%s: no check %s", lang, c.ID)
			}
			for _, s := range c.Sources {
				if !strings.Contains(text, s.Ref) || !strings.Contains(text, "- Source: "+sourceLine(s)+"\n") {
					t.Errorf("%s: no source %s of %s", lang, s.Ref, c.ID)
				}
			}
			if n := len(rules.About(cat, c).Limits); n > 0 && !strings.Contains(text, "- Limit: "+rules.About(cat, c).Limits[n-1].Name+", now ") {
				t.Errorf("%s: no limits of %s", lang, c.ID)
			}
		}
		for _, p := range cat.Params {
			if !strings.Contains(text, "\n| "+p.Name+" | "+inWords(p, lang)+" | ") {
				t.Errorf("%s: no limit %s", lang, p.Name)
			}
		}
		if strings.ContainsAny(text, "{}") || strings.Contains(text, rules.Blank) {
			t.Errorf("%s: a place is not filled", lang)
		}
	}
}
