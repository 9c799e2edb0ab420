package guide

import (
	"image/color"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	stdfnt "golang.org/x/image/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A canvas takes what a page is made of. Points are from the lower left corner.
type canvas interface {
	FillText(style draw.TextStyle, at vg.Point, words string)
	StrokeLine2(style draw.LineStyle, x1, y1, x2, y2 vg.Length)
	box(r vg.Rectangle, ink color.Gray)
}

// A raster is a canvas of pixels.
type raster struct{ *draw.Canvas }

func (c raster) box(r vg.Rectangle, ink color.Gray) {
	c.SetColor(ink)
	c.Fill(r.Path())
}

// A paper is a page of a PDF. gonum/plot's own embeds one typeface alone, and no text beyond code page 1252.
type paper struct {
	*fpdf.Fpdf
	height vg.Length
}

const family = "Liberation Sans"

func newPaper(width, height vg.Length) paper {
	p := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: width.Points(), Ht: height.Points()}})
	p.AddUTF8FontFromBytes(family, "", liberationsansregular.TTF)
	p.AddUTF8FontFromBytes(family, "B", liberationsansbold.TTF)
	p.SetAutoPageBreak(false, 0)
	p.AddPage()
	return paper{p, height}
}

// FillText writes words below a point, or about it.
func (p paper) FillText(style draw.TextStyle, at vg.Point, words string) {
	weight := ""
	if style.Font.Weight == stdfnt.WeightBold {
		weight = "B"
	}
	p.SetFont(family, weight, style.Font.Size.Points())
	ink := int(color.GrayModel.Convert(style.Color).(color.Gray).Y)
	p.SetTextColor(ink, ink, ink)
	x := at.X + vg.Length(style.XAlign)*style.Width(words)
	p.Text(x.Points(), (p.height - at.Y + style.FontExtents().Ascent).Points(), words)
}

// StrokeLine2 draws a line.
func (p paper) StrokeLine2(style draw.LineStyle, x1, y1, x2, y2 vg.Length) {
	ink := int(color.GrayModel.Convert(style.Color).(color.Gray).Y)
	p.SetDrawColor(ink, ink, ink)
	p.SetLineWidth(style.Width.Points())
	p.Line(x1.Points(), (p.height - y1).Points(), x2.Points(), (p.height - y2).Points())
}

func (p paper) box(r vg.Rectangle, ink color.Gray) {
	p.SetFillColor(int(ink.Y), int(ink.Y), int(ink.Y))
	size := r.Size()
	p.Rect(r.Min.X.Points(), (p.height - r.Max.Y).Points(), size.X.Points(), size.Y.Points(), "F")
}
