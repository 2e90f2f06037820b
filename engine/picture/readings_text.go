package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"firstrod/engine/depth"
)

// Text is the picture for a terminal, width columns wide (60 to 78), in ASCII:
// one line per mark, ( ) the tolerance, [ ] what the guard band leaves of it, |
// no difference, and the reading as o where it holds, ? where it is too close to
// say and X where it fails; < and > stand for one beyond the edge. Letters of
// names and labels that are not ASCII become a plain one or "?".
func (r Readings) Text(width int) (string, error) {
	if width < 60 || width > 78 {
		return "", refuse("width", fmt.Sprintf("%d is outside 60 to 78", width))
	}
	if err := r.check(); err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", cut(ascii(clean(r.Title)), width))
	s := strip{left: 10, cells: (width-13)/2*2 + 1, reach: r.reach()}
	for _, f := range r.Frequencies {
		fmt.Fprintf(&b, "%s\n", cut(ascii(clean(f.Name)), width))
		marks := slices.SortedStableFunc(slices.Values(f.Marks), func(a, b Mark) int { return cmp.Compare(a.True, b.True) })
		for _, m := range marks {
			v := m.True / r.True.Metres
			fmt.Fprintf(&b, "%*s %s\n", s.left, shown(v, places(v)), s.mark(m))
		}
	}
	fmt.Fprintf(&b, "%*s %s\n", s.left, "", s.scale(r.Miss.Metres))
	fmt.Fprintf(&b, "%s\n", cut(ascii(clean(r.True.Label+"; "+r.Miss.Label)), width))
	return b.String(), nil
}

// strip is one line of the terminal that stands for -reach to +reach metres.
type strip struct {
	left, cells int
	reach       float64
}

// cell is the column of a value; out is -1 or +1 beyond the edges.
func (s strip) cell(v float64) (at, out int) {
	half := s.cells / 2
	switch at := math.Round(v / s.reach * float64(half)); {
	case at < float64(-half):
		return 0, -1
	case at > float64(half):
		return s.cells - 1, 1
	default:
		return half + int(at), 0
	}
}

func (s strip) mark(m Mark) string {
	row := []byte(strings.Repeat(".", s.cells))
	span := func(half float64, open, fill, end byte) {
		from, _ := s.cell(-half)
		to, _ := s.cell(half)
		for i := from; i <= to; i++ {
			row[i] = fill
		}
		row[from], row[to] = open, end
	}
	span(m.Tolerance, '(', '-', ')')
	if m.accepted() > 0 {
		span(m.accepted(), '[', '=', ']')
	}
	row[s.cells/2] = '|'
	at, out := s.cell(m.miss())
	row[at] = sign(m.Verdict)
	switch out {
	case -1:
		row[at] = '<'
	case 1:
		row[at] = '>'
	}
	return string(row)
}

func sign(v depth.Verdict) byte {
	switch v {
	case depth.Holds:
		return 'o'
	case depth.Repeat, depth.NotCapable:
		return '?'
	}
	return 'X'
}

// scale writes round values under the strip.
func (s strip) scale(unit float64) string {
	row := []byte(strings.Repeat(" ", s.cells+1))
	next := 0
	for _, t := range ticks(-s.reach/unit, s.reach/unit, 6) {
		at, _ := s.cell(t.Value * unit)
		start := max(0, at-len(t.Label)/2)
		if start < next || start+len(t.Label) > len(row) {
			continue
		}
		copy(row[start:], t.Label)
		next = start + len(t.Label) + 1
	}
	return strings.TrimRight(string(row), " ")
}

// ascii writes the letters of Spanish without their signs.
func ascii(text string) string {
	text = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u", "ñ", "n",
		"Á", "A", "É", "E", "Í", "I", "Ó", "O", "Ú", "U", "Ü", "U", "Ñ", "N", "¿", "", "¡", "").Replace(text)
	return strings.Map(func(r rune) rune {
		if r > 126 {
			return '?'
		}
		return r
	}, text)
}

func cut(text string, width int) string { return text[:min(len(text), width)] }
