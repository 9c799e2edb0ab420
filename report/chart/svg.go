package chart

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"regexp"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Plots are drawn at one size and scaled by the page.
const (
	plotWidth  = 440
	plotHeight = 270
	plotText   = 11.5
)

// Inks stand for the colours of the page. gonum/plot writes them as plain colours; themed
// replaces each by a property of the page's style sheet, which knows light from dark.
var (
	inkText  = color.RGBA{0x01, 0x02, 0x03, 0xff}
	inkSoft  = color.RGBA{0x01, 0x02, 0x04, 0xff}
	inkLine  = color.RGBA{0x01, 0x02, 0x05, 0xff}
	inkMain  = color.RGBA{0x01, 0x02, 0x06, 0xff}
	inkOther = color.RGBA{0x01, 0x02, 0x07, 0xff}
	inkFill  = color.RGBA{0x01, 0x02, 0x08, 0xff}
	inkFloor = color.RGBA{0x01, 0x02, 0x09, 0xff}
	inkClip  = color.RGBA{0x01, 0x02, 0x0a, 0xff}
)

var themed = strings.NewReplacer(
	"#010203", "var(--ink)", "#010204", "var(--soft)", "#010205", "var(--line)",
	"#010206", "var(--main)", "#010207", "var(--other)", "#010208", "var(--fill)",
	"#010209", "url(#under-floor)", "#01020A", "url(#over-ceiling)",
)

// newPlot returns an empty plot in the page's manner with axes named.
func newPlot(x, y string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	sans := font.Font{Typeface: "Liberation", Variant: "Sans"}
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.Label.TextStyle.Font = font.From(sans, plotText)
		axis.Label.TextStyle.Color = inkSoft
		axis.Label.Padding = 3
		axis.Tick.Label.Font = font.From(sans, plotText)
		axis.Tick.Label.Color = inkText
		axis.Tick.LineStyle.Color = inkLine
		axis.Tick.Length = 4
		axis.LineStyle.Color = inkLine
		axis.LineStyle.Width = 1
		axis.Padding = 0
	}
	p.X.Label.Text, p.Y.Label.Text = x, y
	p.Legend.TextStyle.Font = font.From(sans, plotText)
	p.Legend.TextStyle.Color = inkText
	return p
}

var (
	svgHead  = regexp.MustCompile(`(?s)^.*?<svg[^>]*>`)
	svgFonts = regexp.MustCompile(`font-family:[^;]*;font-variant:[^;]*;font-weight:[^;]*;font-style:[^;]*;`)
)

// draw draws the plot as the drawing's SVG, whose accessible name and description are the
// drawing's title and what it says.
func (d *Drawing) draw(p *plot.Plot) {
	canvas := vgsvg.New(plotWidth, plotHeight)
	p.Draw(draw.Crop(draw.New(canvas), 2, -8, 2, -6))
	var raw bytes.Buffer
	if _, err := canvas.WriteTo(&raw); err != nil {
		return // a bytes.Buffer does not fail
	}
	body := svgHead.ReplaceAllString(raw.String(), "")
	body = themed.Replace(svgFonts.ReplaceAllString(body, ""))
	head := fmt.Sprintf(`<svg class="plot" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-t %[3]s-d">`+
		`<title id="%[3]s-t">%s</title><desc id="%[3]s-d">%[5]s</desc>`,
		plotWidth, plotHeight, d.ID, html.EscapeString(d.Title), html.EscapeString(d.Says))
	d.SVG = template.HTML(head + body)
}
