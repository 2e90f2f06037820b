package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/rules"
)

func (a *app) rulesDoc() *cobra.Command {
	out, w := "", where{}
	cmd := &cobra.Command{
		Use:   "doc [DIR]",
		Short: "Write the rules as one page to read",
		Long: `doc makes a page of a pack: for each check what it demands, where that comes
from and how well the source is known, its limits and its questions. The same
pack always gives the same page. With --place it is the page of that place. What a check demands stands there in English;
the texts for crews follow --lang.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			set, err := draftOf(cmd.Context(), a.packOf(args), &w)
			if err != nil {
				return err
			}
			text, err := page(set.Catalogue(), a.config.Lang)
			if err != nil {
				return err
			}
			if out == "" {
				_, err = a.out.Write(text)
				return err
			}
			if err := os.WriteFile(out, text, 0o644); err != nil {
				return unwritten(out, err)
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "file to write, such as CATALOGUE.md (default: print it)")
	return w.flags(cmd)
}

// page is a catalogue in Markdown.
func page(cat *engine.Catalogue, lang string) ([]byte, error) {
	demands, err := rules.Demands(cat)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `# The rules

This page is made of the rules themselves by "firstrod rules doc"; change those,
not this. It has %d checks, %d questions and %d limits.

A release is given when every check that applies is proved to hold. Nothing is
taken for granted: what is not answered is asked, and what cannot be judged is
never ready. After each source stands how well it is known: "published" is a text
that was read; "from memory" is a published text that was not read again; "common
practice, no source" is a fact of the trade; "chosen" is a decision made here.
`, len(cat.Checks), len(cat.Asks), len(cat.Params))
	area := ""
	for _, c := range cat.Checks {
		if c.Area != area {
			area = c.Area
			fmt.Fprintf(&b, "\n## %s\n", heading(area))
		}
		checkPage(&b, cat, c, demands[c.ID], lang)
	}
	limitsPage(&b, cat, lang)
	return b.Bytes(), nil
}

func limitsPage(b *bytes.Buffer, cat *engine.Catalogue, lang string) {
	fmt.Fprintf(b, "\n## Limits\n\n| Limit | Now | Stricter | Fixed | Source | Reason |\n| --- | --- | --- | --- | --- | --- |\n")
	for _, p := range cat.Params {
		fixed, way := "no", p.Stricter
		if p.Fixed {
			fixed = "yes"
		}
		if way == "" {
			way = "neither way"
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s |\n", p.Name, inWords(p, lang), way, fixed,
			cell(sourceLine(p.Source)), cell(filled(cat, p.Reason, lang)))
	}
}

// heading is the name of an area with a capital.
func heading(area string) string {
	s := strings.ReplaceAll(area, "_", " ")
	return strings.ToUpper(s[:1]) + s[1:]
}

// cell keeps a text inside one cell of a table.
func cell(s string) string { return strings.NewReplacer("|", `\|`, "\n", " ").Replace(s) }

func checkPage(b *bytes.Buffer, cat *engine.Catalogue, c *engine.Check, demand, lang string) {
	about := rules.About(cat, c)
	fmt.Fprintf(b, "\n### %s\n\n`%s`: once for each %s, %s. May be waived by %s.\n\n",
		c.Title.In(lang), c.ID, perWhat(c.Each), standsBefore(c.Gate), mayWaive(c))
	fmt.Fprintf(b, "%s %s\n\n", demand, filled(cat, c.Why, lang))
	fmt.Fprintf(b, "- When it does not hold: %s\n- What to do: %s\n", filled(cat, c.Stop, lang), filled(cat, c.Remedy, lang))
	if len(about.Exempt) > 0 {
		fmt.Fprintf(b, "- Whether it applies follows from: %s\n", behind(about.Exempt, lang))
	}
	fmt.Fprintf(b, "- Whether it holds follows from: %s\n", behind(about.Pass, lang))
	for i := range c.Asks {
		fmt.Fprintf(b, "- Asks (%s): %s\n", kindWords(c.Asks[i].Kind), filled(cat, c.Asks[i].Prompt, lang))
	}
	for _, p := range about.Limits {
		fixed := ""
		if p.Fixed {
			fixed = ", fixed"
		}
		fmt.Fprintf(b, "- Limit: %s, now %s%s (%s%s)\n", p.Name, inWords(p, lang), setBy(cat, p, lang), direction(p), fixed)
	}
	for _, s := range c.Sources {
		fmt.Fprintf(b, "- Source: %s\n", sourceLine(s))
	}
}

// behind names the values that a check reads.
func behind(reads []rules.Reading, lang string) string {
	var all []string
	for _, r := range reads {
		if r.Ask != nil {
			all = append(all, strings.TrimSuffix(placeInText.ReplaceAllString(r.Ask.Name(lang), "..."), "?"))
			continue
		}
		all = append(all, leafWords(r.Leaf))
	}
	return strings.Join(all, "; ")
}
