package paper

import (
	"bytes"
	"context"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"
)

// Sizes in millimetres, and of letters in points. Nothing is smaller than 8 points.
const (
	margin = 16.0
	top    = 13.0
	footer = 14.0 // room at the bottom, the foot included

	sizeVerdict, sizeHeading, sizeText, sizeTable, sizeCode, sizeFoot = 17.0, 11.5, 9.5, 8.5, 8.0, 8.0

	sans, mono = "sans", "mono"
)

// lead is how far lines of a size are apart, in millimetres.
func lead(size float64) float64 { return size * 1.28 * 25.4 / 72 }

// press sets parts onto pages.
type press struct {
	pdf    *fpdf.Fpdf
	doc    Document
	words  words
	has    map[string]func(rune) bool // by font
	y      float64                    // where the next part begins
	bottom float64                    // of the room for parts
	width  float64                    // of that room
	font   string
	images int
	pages  int // in all; 0 while they are being counted
}

// PDF sets a document on paper. The same document gives the same bytes.
func PDF(ctx context.Context, d Document) ([]byte, error) {
	parts, err := partsOf(d)
	if err != nil {
		return nil, err
	}
	// Set twice: only the first time through shows how many pages there are.
	count := 0
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p, err := newPress(d, count)
		if err != nil {
			return nil, err
		}
		for i := range parts {
			p.set(parts[i:])
		}
		if count == 0 {
			count = p.pdf.PageNo()
			continue
		}
		var out bytes.Buffer
		if err := p.pdf.Output(&out); err != nil {
			return nil, fail("the PDF cannot be made", err)
		}
		return out.Bytes(), nil
	}
}

func newPress(d Document, pages int) (*press, error) {
	size := fpdf.SizeType{Wd: 215.9, Ht: 279.4}
	if d.Paper == A4 {
		size = fpdf.SizeType{Wd: 210, Ht: 297}
	}
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: size})
	p := &press{
		pdf: pdf, doc: d, words: wordsIn(d.Lang), has: map[string]func(rune) bool{},
		bottom: size.Ht - footer, width: size.Wd - 2*margin, pages: pages,
	}
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(d.AsOf.UTC())
	pdf.SetModificationDate(d.AsOf.UTC())
	pdf.SetTitle(visible(p.words.say("title", "bore", d.Bore), nil), true)
	pdf.SetSubject(visible(d.Place, nil), true)
	pdf.SetCreator("firstrod", false)
	pdf.SetLang(p.words.lang)
	pdf.SetMargins(margin, margin, margin)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetFooterFunc(p.foot)
	for _, f := range []struct {
		family, style string
		ttf           []byte
	}{
		{sans, "", liberationsansregular.TTF}, {sans, "B", liberationsansbold.TTF}, {mono, "", liberationmonoregular.TTF},
	} {
		has, err := letters(f.ttf)
		if err != nil {
			return nil, fail("the letters cannot be read", err)
		}
		p.has[f.family+f.style] = has
		pdf.AddUTF8FontFromBytes(f.family, f.style, f.ttf)
	}
	p.page()
	return p, pdf.Error()
}

// letters says which characters a font has, but for those that would stand in the
// wrong order.
func letters(ttf []byte) (func(rune) bool, error) {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, err
	}
	var buf sfnt.Buffer
	return func(r rune) bool {
		i, err := f.GlyphIndex(&buf, r)
		return err == nil && i != 0 && r <= 0xFFFF && !rightToLeft(r)
	}, nil
}

func (p *press) page() {
	p.pdf.AddPage()
	p.y = top
}

// foot stands on every page.
func (p *press) foot() {
	y := p.bottom + 7
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.SetLineWidth(0.2)
	p.pdf.Line(margin, p.bottom+3, margin+p.width, p.bottom+3)
	p.use(sans, sizeFoot)
	left := p.words.say("foot", "bore", p.doc.Bore, "record", p.doc.Last, "checkpoint", p.doc.Checkpoint.Short)
	p.pdf.Text(margin, y, p.clean(left))
	right := p.words.say("foot.page", "n", p.pdf.PageNo(), "m", p.pages)
	p.pdf.Text(margin+p.width-p.pdf.GetStringWidth(right), y, right)
}

// use takes a font and a size.
func (p *press) use(font string, size float64) {
	family, style := font[:4], font[4:]
	p.font = font
	p.pdf.SetFont(family, style, size)
	p.pdf.SetTextColor(0, 0, 0)
}

const bold = sans + "B"

func (p *press) clean(text string) string { return visible(text, p.has[p.font]) }

// lines are a text broken to a width, in the font in use.
func (p *press) lines(text string, width float64) []string {
	lines := wrapped(glued(p.clean(text)), width, p.pdf.GetStringWidth)
	for i, l := range lines {
		lines[i] = strings.ReplaceAll(l, hard, " ")
	}
	return lines
}

// print sets lines from y on and gives back where they end.
func (p *press) print(x, y, size float64, lines []string) float64 {
	for _, l := range lines {
		y += lead(size)
		p.pdf.Text(x, y-lead(size)*0.26, l)
	}
	return y
}

// room begins a new page unless there are so many millimetres left on this one.
func (p *press) room(height float64) {
	if p.y+height > p.bottom && p.y > top {
		p.page()
	}
}
