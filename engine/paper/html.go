package paper

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strings"

	"firstrod/engine/picture"
)

//go:embed page.html
var pageText string

// HTML sets a document as one page that needs nothing but itself: no script, no
// picture from elsewhere. It reads on a phone, and prints in grey.
func HTML(ctx context.Context, d Document) ([]byte, error) {
	parts, err := partsOf(d)
	if err != nil {
		return nil, err
	}
	t, err := template.New("page").Funcs(template.FuncMap{
		"show":  func(text string) string { return visible(text, nil) },
		"draw":  drawn,
		"code":  squares,
		"share": share,
	}).Parse(pageText)
	if err != nil {
		return nil, fail("the page cannot be set", err)
	}
	w := wordsIn(d.Lang)
	var out bytes.Buffer
	err = t.Execute(&out, map[string]any{
		"Lang": w.lang, "Title": w.say("title", "bore", d.Bore), "Parts": parts,
		"Foot": w.say("foot", "bore", d.Bore, "record", d.Last, "checkpoint", d.Checkpoint.Short),
	})
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, fail("the page cannot be set", err)
	}
	return out.Bytes(), nil
}

// drawn is a picture to stand in the page. Its words were escaped when it was drawn.
func drawn(t part) (template.HTML, error) {
	svg, err := t.Draw(picture.SVG)
	if err != nil {
		return "", err
	}
	at := bytes.Index(svg, []byte("<svg"))
	if at < 0 {
		return "", fmt.Errorf("a picture without its beginning")
	}
	return template.HTML(svg[at:]), nil
}

// share is widths in percent of all of them.
func share(wide []float64) []float64 {
	sum := 0.0
	for _, w := range wide {
		sum += w
	}
	var all []float64
	for _, w := range wide {
		all = append(all, math.Round(1000*w/sum)/10)
	}
	return all
}

// squares is the square code, a square a unit wide.
func squares(t part) (template.HTML, error) {
	code, err := t.Seal.code()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	side := code.Size + 2*quiet
	fmt.Fprintf(&b, `<svg class="code" viewBox="0 0 %d %d" role="img" shape-rendering="crispEdges"><title>%s</title><rect width="%d" height="%d" fill="#fff"/><path d="`,
		side, side, template.HTMLEscapeString(t.Alt), side, side)
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String()), nil
}
