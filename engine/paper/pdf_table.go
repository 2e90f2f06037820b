package paper

import "strings"

// Room within the cells of a table, in millimetres.
const (
	padX, padY = 1.3, 0.9
)

// column is where one stands and how wide it is.
type column struct{ x, width float64 }

func columns(wide []float64, width float64) []column {
	sum := 0.0
	for _, w := range wide {
		sum += w
	}
	var all []column
	x := margin
	for _, w := range wide {
		all = append(all, column{x, width * w / sum})
		x += width * w / sum
	}
	return all
}

// table sets rows under a head that comes again on every page. A row is kept on one
// page unless it would fill most of one.
func (p *press) table(t part) {
	cols := columns(t.Wide, p.width)
	head := func() { p.row(p.cells(t.Head, cols, bold), cols, bold, true) }
	first := 0.0
	if len(t.Rows) > 0 {
		first = p.high(p.cells(t.Rows[0], cols, p.face(t, 0)))
	}
	p.room(p.high(p.cells(t.Head, cols, bold)) + min(first, (p.bottom-top)/2))
	head()
	for i, row := range t.Rows {
		face := p.face(t, i)
		cells := p.cells(row, cols, face)
		for {
			high := p.high(cells)
			if p.y+high+p.follows(t, i, cols) <= p.bottom {
				break
			}
			if high < (p.bottom-top)*0.6 {
				p.page()
				head()
				break
			}
			fit := int((p.bottom - p.y - 2*padY) / lead(sizeTable))
			if fit > 0 {
				var now [][]string
				now, cells = cut(cells, fit)
				p.row(now, cols, face, false)
			}
			p.page()
			head()
		}
		p.row(cells, cols, face, false)
	}
	p.y += 2.5
}

// follows is the room that must be left for the next row: a row that only names a
// group does not stand at the foot of a page.
func (p *press) follows(t part, i int, cols []column) float64 {
	if i+1 == len(t.Rows) || len(t.Rows[i]) < 2 || strings.Join(t.Rows[i][1:], "") != "" || !t.Loud[i] {
		return 0
	}
	next := p.cells(t.Rows[i+1], cols, p.face(t, i+1))
	return min(p.high(next), 3*lead(sizeTable))
}

func (p *press) face(t part, row int) string {
	if t.Loud[row] {
		return bold
	}
	return sans
}

// cells breaks the texts of a row to its columns.
func (p *press) cells(row []string, cols []column, face string) [][]string {
	p.use(face, sizeTable)
	var all [][]string
	for i, text := range row {
		all = append(all, p.lines(text, cols[i].width-2*padX))
	}
	return all
}

func (p *press) high(cells [][]string) float64 {
	n := 1
	for _, c := range cells {
		n = max(n, len(c))
	}
	return float64(n)*lead(sizeTable) + 2*padY
}

// cut takes the first lines off every cell.
func cut(cells [][]string, fit int) (now, later [][]string) {
	for _, c := range cells {
		n := min(fit, len(c))
		now, later = append(now, c[:n]), append(later, c[n:])
	}
	return now, later
}

func (p *press) row(cells [][]string, cols []column, face string, head bool) {
	high := p.high(cells)
	if head {
		p.pdf.SetFillColor(225, 225, 225)
		p.pdf.Rect(margin, p.y, p.width, high, "F")
	}
	p.use(face, sizeTable)
	for i, c := range cells {
		p.print(cols[i].x+padX, p.y+padY, sizeTable, c)
	}
	p.y += high
	p.pdf.SetDrawColor(120, 120, 120)
	p.pdf.SetLineWidth(0.15)
	p.pdf.Line(margin, p.y, margin+p.width, p.y)
	p.pdf.SetDrawColor(0, 0, 0)
}

// grid sets pairs in as many columns as it has widths, read across.
func (p *press) grid(t part) {
	const between = 4.0
	n := len(t.Wide)
	width := (p.width - between*float64(n-1)) / float64(n)
	for i := 0; i < len(t.Rows); i += n {
		type cell struct{ name, value []string }
		var cells []cell
		high := 1
		for j := i; j < min(i+n, len(t.Rows)); j++ {
			p.use(p.face(t, j), sizeTable)
			name := p.lines(t.Rows[j][0], width*0.56-1)
			p.use(bold, sizeTable)
			value := p.lines(t.Rows[j][1], width*0.44)
			cells = append(cells, cell{name, value})
			high = max(high, len(name), len(value))
		}
		p.room(float64(high) * lead(sizeTable))
		for j, c := range cells {
			x := margin + float64(j)*(width+between)
			p.use(p.face(t, i+j), sizeTable)
			p.print(x, p.y, sizeTable, c.name)
			p.use(bold, sizeTable)
			p.print(x+width*0.56, p.y, sizeTable, c.value)
		}
		p.y += float64(high) * lead(sizeTable)
	}
	p.y += 1.4
}
