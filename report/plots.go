package report

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"math"
	"regexp"
	"strconv"
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

// A drawing is a plot with the words and numbers behind it.
type drawing struct {
	ID    string
	Title string
	Says  string // what it shows, with its numbers, for who cannot see it
	SVG   template.HTML
	Keys  []plotKey
	Table grid
}

// A grid is a table as text. The first cell of each row is its head.
type grid struct {
	Head []string
	Rows [][]string
}

// A plotKey names a line or a row of dots of a plot. Its shape tells it without its colour.
type plotKey struct {
	Shape string // dots, line, dashes
	Ink   string // property of the style sheet
	Words string
}

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

// svg draws the plot as an inline SVG that takes its colours and typeface from the page. title
// and says are its accessible name and description; id must be unique on the page.
func svg(p *plot.Plot, id, title, says string) template.HTML {
	canvas := vgsvg.New(plotWidth, plotHeight)
	p.Draw(draw.Crop(draw.New(canvas), 2, -8, 2, -6))
	var raw bytes.Buffer
	if _, err := canvas.WriteTo(&raw); err != nil {
		return "" // a bytes.Buffer does not fail
	}
	body := svgHead.ReplaceAllString(raw.String(), "")
	body = themed.Replace(svgFonts.ReplaceAllString(body, ""))
	head := fmt.Sprintf(`<svg class="plot" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-t %[3]s-d">`+
		`<title id="%[3]s-t">%s</title><desc id="%[3]s-d">%s</desc>`,
		plotWidth, plotHeight, id, html.EscapeString(title), html.EscapeString(says))
	return template.HTML(head + body)
}

// stopTicks marks every whole stop and labels every second one when there are many.
type stopTicks struct{}

func (stopTicks) Ticks(low, high float64) []plot.Tick {
	every := 1
	if high-low > 10 {
		every = 2
	}
	var ticks []plot.Tick
	for v := int(math.Ceil(low)); v <= int(math.Floor(high)); v++ {
		label := ""
		if v%every == 0 {
			label = typeset(decimal(float64(v), 0, v != 0, ""))
		}
		ticks = append(ticks, plot.Tick{Value: float64(v), Label: label})
	}
	return ticks
}

// evenTicks marks multiples of a round step, at most some eight of them.
type evenTicks struct {
	unit   string
	signed bool
}

func (t evenTicks) Ticks(low, high float64) []plot.Tick {
	power := math.Floor(math.Log10((high - low) / 4))
	step := math.Pow(10, power)
	digits := max(0, int(-power))
	for _, n := range []float64{2, 2.5, 2} {
		if (high-low)/step > 7 {
			step *= n
		}
	}
	if _, part := math.Modf(step * math.Pow10(digits)); part > 1e-9 && part < 1-1e-9 {
		digits++ // 0.25 needs a digit more than 0.1 and 0.5
	}
	var ticks []plot.Tick
	for v := math.Ceil(low/step) * step; v <= high+step*1e-9; v += step {
		label := decimal(v, digits, t.signed && roundTo(v, digits) != 0, t.unit)
		ticks = append(ticks, plot.Tick{Value: v, Label: typeset(label)})
	}
	return ticks
}

// powerTicks labels the powers of ten of an axis whose values are logarithms to base ten.
type powerTicks struct{}

func (powerTicks) Ticks(low, high float64) []plot.Tick {
	var ticks []plot.Tick
	for v := int(math.Ceil(low)); v <= int(math.Floor(high)); v++ {
		ticks = append(ticks, plot.Tick{Value: float64(v), Label: "10" + raised.Replace(strconv.Itoa(v))})
	}
	return ticks
}
