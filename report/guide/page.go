// Package guide draws a plan as a page to be carried: on a phone, and printed on A6.
package guide

import (
	"fmt"
	"image/color"
	"io"
	"strings"

	stdfnt "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"stopledger/analyze/plan"
	"stopledger/report"
)

// Pages: A6 (ISO 216), and a phone's screen of 1080 x 1920 pixels at the dots an inch that give it.
const (
	a6Width, a6Height       = 105 * vg.Millimeter, 148 * vg.Millimeter
	phoneWidth, phoneHeight = 259.2, 460.8 // points
	phoneDots               = 300          // an inch
	a6Scale                 = 0.92         // of type, against the phone
)

// WritePDF writes the guide as a PDF of one page of A6.
func WritePDF(w io.Writer, p *report.Plan) error {
	page := newPaper(a6Width, a6Height)
	(&sheet{page, a6Scale, a6Width, a6Height - margin}).draw(p)
	return page.Output(w)
}

// WritePNG writes the guide as a picture for a phone's screen.
func WritePNG(w io.Writer, p *report.Plan) error {
	c := vgimg.NewWith(vgimg.UseWH(phoneWidth, phoneHeight), vgimg.UseDPI(phoneDots))
	onto := draw.New(c)
	page := raster{&onto}
	page.box(page.Rectangle, white)
	(&sheet{page, 1, phoneWidth, phoneHeight - margin}).draw(p)
	_, err := vgimg.PngCanvas{Canvas: c}.WriteTo(w)
	return err
}

// Inks: black on white, so that the page reads in sunlight and without colours.
var (
	black = color.Gray{0}
	soft  = color.Gray{0x50}
	rule  = color.Gray{0xa0}
	band  = color.Gray{0xec}
	white = color.Gray{0xff}
)

// A sheet is a page that is filled from the top.
type sheet struct {
	canvas
	scale vg.Length // of type
	width vg.Length // of the page
	y     vg.Length // where the next line begins
}

const margin vg.Length = 11 // points

// style is a typeface at a size in points, before the sheet's scale.
func (s *sheet) style(size vg.Length, heavy bool, ink color.Color) draw.TextStyle {
	f := font.Font{Typeface: "Liberation", Variant: "Sans"}
	if heavy {
		f.Weight = stdfnt.WeightBold
	}
	return draw.TextStyle{Color: ink, Font: font.From(f, size*s.scale), Handler: plot.DefaultTextHandler,
		YAlign: draw.YTop}
}

// text writes words from x on, broken to a width, and returns how high they are.
func (s *sheet) text(style draw.TextStyle, x, y, width vg.Length, words string) (height vg.Length) {
	line := style.Font.Size * 1.2
	for _, l := range broken(style, width, words) {
		s.FillText(style, vg.Point{X: x, Y: y - height}, l)
		height += line
	}
	return height
}

// unit stands between a number and its unit.
const unit = "\x00"

// broken breaks words into lines of a width; a number stays with its unit.
func broken(style draw.TextStyle, width vg.Length, words string) (lines []string) {
	line := ""
	for _, w := range strings.Fields(strings.ReplaceAll(words, " %", unit+"%")) {
		w = strings.ReplaceAll(w, unit, " ")
		longer := strings.TrimSpace(line + " " + w)
		if line != "" && style.Width(longer) > width {
			lines, longer = append(lines, line), w
		}
		line = longer
	}
	return append(lines, line)
}

// draw draws the guide.
func (s *sheet) draw(p *report.Plan) {
	left, width := margin, s.width-2*margin
	s.y -= s.text(s.style(13, true, black), left, s.y, width, Title(p)) + 1
	s.y -= s.text(s.style(7.2, false, soft), left, s.y, width, Basis(p)) + 4
	s.ladder(p.Guide.Ladder, left, width)
	for _, one := range p.Guide.Situations {
		s.situation(one, left, width)
	}
	s.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.5}, left, s.y, left+width, s.y)
	s.y -= s.text(s.style(6.4, false, soft), left, s.y-3, width, Caution) + 3
}

// ladder draws what a grey card reads at each stop.
func (s *sheet) ladder(steps []plan.Step, left, width vg.Length) {
	const height vg.Length = 25
	box := vg.Rectangle{Min: vg.Point{X: left, Y: s.y - height}, Max: vg.Point{X: left + width, Y: s.y}}
	s.box(box, band)
	each := width / vg.Length(len(steps))
	for i, step := range steps {
		x := left + each*(vg.Length(i)+0.5)
		top, value := s.style(6.6, false, soft), s.style(9.5, true, black)
		top.XAlign, value.XAlign = draw.XCenter, draw.XCenter
		s.FillText(top, vg.Point{X: x, Y: s.y - 3}, placementWords(step))
		s.FillText(value, vg.Point{X: x, Y: s.y - 11.5}, fmt.Sprintf("%.0f %%", float64(step.Zebra)))
	}
	s.y -= height + 5
}

// situation draws a row: what the zebra is set to on the left, the words beside it.
func (s *sheet) situation(one plan.Situation, left, width vg.Length) {
	const value vg.Length = 62
	s.StrokeLine2(draw.LineStyle{Color: rule, Width: 0.5}, left, s.y, left+width, s.y)
	s.y -= 3.5
	x, wide := left+value, width-value
	top := s.y
	size := vg.Length(17)
	if one.Low != one.High {
		size = 12.5
	}
	zebra := s.text(s.style(size, true, black), left, top, value, ZebraWords(one))
	zebra += s.text(s.style(6.6, false, soft), left, top-zebra-1, value-6, one.On)
	s.y -= s.text(s.style(9, true, black), x, s.y, wide, one.Name) + 0.5
	s.y -= s.text(s.style(7.6, false, black), x, s.y, wide, one.Look) + 0.5
	s.y -= s.text(s.style(7.2, false, soft), x, s.y, wide, one.Cost)
	s.y = min(s.y, top-zebra) - 3.5
}
