package paper

import "fmt"

// set sets the first of some parts; a heading looks at what follows it, so that it
// never stands alone at the foot of a page.
func (p *press) set(parts []part) {
	t := parts[0]
	switch t.Kind {
	case partHeading:
		p.heading(t, parts[1:])
	case partVerdict:
		p.verdict(t)
	case partText:
		p.use(sans, sizeText)
		p.paragraph(p.lines(t.Text, p.width), sizeText)
	case partGrid:
		p.grid(t)
	case partTable:
		p.table(t)
	case partPicture:
		p.picture(t)
	case partCode:
		p.code(t.Text)
	case partSeal:
		p.seal(t)
	default:
		p.pdf.SetError(fmt.Errorf("no way to set %q", t.Kind))
	}
}

// gap is the white over a heading, in millimetres.
const gap = 3.2

func (p *press) heading(t part, after []part) {
	p.room(max(gap+lead(sizeHeading)+1+p.least(after), t.Keep))
	if p.y > top {
		p.y += gap
	}
	p.use(bold, sizeHeading)
	p.y = p.print(margin, p.y, sizeHeading, p.lines(t.Text, p.width)) + 1
}

// least is the height without which a part must not begin.
func (p *press) least(after []part) float64 {
	if len(after) == 0 {
		return 0
	}
	switch after[0].Kind {
	case partTable:
		return 22
	case partPicture:
		return pictureHigh + 2
	case partSeal:
		return sealSide + 2
	case partHeading:
		return lead(sizeHeading) + 5 + p.least(after[1:])
	}
	return 2.2 * lead(sizeText)
}

// paragraph sets lines, over as many pages as they take.
func (p *press) paragraph(lines []string, size float64) {
	for _, l := range lines {
		p.room(lead(size))
		p.y = p.print(margin, p.y, size, []string{l})
	}
	p.y += 1.4
}

// verdict is a frame, and in it how the bore stands.
func (p *press) verdict(t part) {
	p.use(bold, sizeText)
	p.y = p.print(margin, p.y, sizeText, p.lines(p.words.say("title", "bore", p.doc.Bore), p.width)) + 1.5
	inside := p.width - 8
	p.use(bold, sizeVerdict)
	head := p.lines(t.Text, inside)
	p.use(sans, sizeText)
	var under []string
	for _, l := range t.Lines {
		under = append(under, p.lines(l, inside)...)
	}
	const tallest = 24 // lines; all of it stands among the events and the rules
	if len(under) > tallest {
		under = append(under[:tallest], "...")
	}
	high := float64(len(head))*lead(sizeVerdict) + float64(len(under))*lead(sizeText) + 6
	p.pdf.SetLineWidth(0.9)
	p.pdf.Rect(margin, p.y, p.width, high, "D")
	p.use(bold, sizeVerdict)
	y := p.print(margin+4, p.y+2.4, sizeVerdict, head) + 0.6
	p.use(sans, sizeText)
	p.print(margin+4, y, sizeText, under)
	p.y += high + 3
}
