package paper

import (
	"bytes"
	"fmt"
	"image"
	imagedraw "image/draw"
	"image/png"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"firstrod/engine/picture"
)

// Pictures are 10 by 7; the square code is as large as a phone reads from a page
// that was copied once.
const (
	pictureWide, pictureHigh = 140.0, 98.0
	sealSide                 = 52.0
	checkHigh                = 125.0 // checkpoint, square code, and how to use them
	quiet                    = 4     // modules of white about the code, ISO/IEC 18004
)

func (p *press) picture(t part) {
	p.room(pictureHigh)
	from := p.y
	p.y += pictureHigh + 2
	if p.pages == 0 {
		return // this time pages are only counted
	}
	p.images++
	grey, wider, err := greyed(t.Draw, p.images)
	if err != nil {
		p.pdf.SetError(err)
		return
	}
	name := fmt.Sprintf("picture%d", p.images)
	options := fpdf.ImageOptions{ImageType: "PNG"}
	p.pdf.RegisterImageOptionsReader(name, options, bytes.NewReader(grey))
	p.pdf.ImageOptions(name, margin+(p.width-pictureWide)/2, from, pictureWide*wider, pictureHigh, false, options, 0, "")
}

// greyed is a picture in shades of grey, and how much wider it is than it was: by as
// many columns of white as it is told. The library writes pictures of one width in
// any order, a different one each time.
func greyed(draw func(picture.Format) ([]byte, error), columns int) (grey []byte, wider float64, err error) {
	raw, err := draw(picture.PNG)
	if err != nil {
		return nil, 0, err
	}
	drawn, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		return nil, 0, err
	}
	size := drawn.Bounds()
	out := image.NewGray(image.Rect(0, 0, size.Dx()+columns, size.Dy()))
	imagedraw.Draw(out, out.Bounds(), image.White, image.Point{}, imagedraw.Src)
	imagedraw.Draw(out, size, drawn, size.Min, imagedraw.Over)
	var b bytes.Buffer
	err = png.Encode(&b, out)
	return b.Bytes(), float64(size.Dx()+columns) / float64(size.Dx()), err
}

// code sets text letter for letter, broken only where the page ends.
func (p *press) code(text string) {
	p.use(mono, sizeCode)
	p.paragraph(p.letterForLetter(text, p.width), sizeCode)
}

// goesOn stands before the rest of a line that was broken.
const goesOn = "    "

func (p *press) letterForLetter(text string, width float64) []string {
	var lines []string
	for _, l := range strings.Split(strings.TrimRight(p.clean(text), "\n"), "\n") {
		pieces := broken(l, width-p.pdf.GetStringWidth(goesOn), p.pdf.GetStringWidth)
		for i := range pieces[1:] {
			pieces[i+1] = goesOn + pieces[i+1]
		}
		lines = append(lines, pieces...)
	}
	return lines
}

// seal sets the square code, and beside it what it says.
func (p *press) seal(t part) {
	code, err := t.Seal.code()
	if err != nil {
		p.pdf.SetError(err)
		return
	}
	p.room(sealSide)
	module := sealSide / float64(code.Size+2*quiet)
	p.pdf.SetFillColor(0, 0, 0)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > from {
				at := func(n int) float64 { return float64(n+quiet) * module }
				p.pdf.Rect(margin+at(from), p.y+at(y), float64(x-from)*module, module, "F")
			}
		}
	}
	p.use(mono, sizeCode)
	p.print(margin+sealSide+3, p.y+3, sizeCode, p.letterForLetter(t.Text, p.width-sealSide-3))
	p.y += sealSide + 2
}
