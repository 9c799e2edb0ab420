package chart

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A mark is a vertical line across a plot with its name at the top.
type mark struct {
	at    float64
	name  string
	style draw.LineStyle
	left  bool // the name stands left of the line
	row   int  // of the name, counted down from the top
}

// Plot draws the mark when it lies within the axis.
func (m mark) Plot(c draw.Canvas, p *plot.Plot) {
	if !(m.at >= p.X.Min && m.at <= p.X.Max) {
		return
	}
	trX, _ := p.Transforms(&c)
	x := trX(m.at)
	c.StrokeLine2(m.style, x, c.Min.Y, x, c.Max.Y)
	text := p.Legend.TextStyle
	text.YAlign = draw.YTop
	at := vg.Point{X: x + 4, Y: c.Max.Y - vg.Length(m.row)*(plotText+2)}
	if m.left {
		text.XAlign, at.X = draw.XRight, x-4-text.Width(m.name)*0.15 // the page's typeface may be wider
	}
	c.FillText(text, at, m.name)
}

// A zone fills a plot from one value of x to another, over the whole height.
type zone struct {
	from, to float64
	fill     color.Color
}

// Plot draws what lies within the axis.
func (z zone) Plot(c draw.Canvas, p *plot.Plot) {
	from, to := max(z.from, p.X.Min), min(z.to, p.X.Max)
	if !(from < to) {
		return
	}
	trX, _ := p.Transforms(&c)
	area := vg.Rectangle{Min: vg.Point{X: trX(from), Y: c.Min.Y}, Max: vg.Point{X: trX(to), Y: c.Max.Y}}
	c.SetColor(z.fill)
	c.Fill(area.Path())
}

// rules are faint horizontal lines at the ticks of the y axis.
func rules() *plotter.Grid {
	g := plotter.NewGrid()
	g.Vertical.Color = nil
	g.Horizontal = draw.LineStyle{Color: inkLine, Width: 0.5}
	return g
}

func stroke(ink color.Color, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: ink, Width: width, Dashes: dashes}
}

// curveLine is a line through points.
func curveLine(points plotter.XYs, style draw.LineStyle) *plotter.Line {
	return &plotter.Line{XYs: points, LineStyle: style}
}

// dots are glyphs at points.
func dots(points plotter.XYs, shape draw.GlyphDrawer, ink color.Color) *plotter.Scatter {
	return &plotter.Scatter{XYs: points, GlyphStyle: draw.GlyphStyle{Color: ink, Radius: 3, Shape: shape}}
}

// spans are vertical bars between a low and a high value.
type spans struct {
	at, low, high []float64
	style         draw.LineStyle
}

func (s *spans) add(at, low, high float64) {
	s.at, s.low, s.high = append(s.at, at), append(s.low, low), append(s.high, high)
}

// Plot draws the bars.
func (s spans) Plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	for i, x := range s.at {
		bar := []vg.Point{{X: trX(x), Y: trY(s.low[i])}, {X: trX(x), Y: trY(s.high[i])}}
		c.StrokeLines(s.style, c.ClipLinesXY(bar)...)
	}
}

// DataRange returns the extent of the bars.
func (s spans) DataRange() (xmin, xmax, ymin, ymax float64) {
	xmin, xmax = plotter.Range(plotter.Values(s.at))
	ymin, _ = plotter.Range(plotter.Values(s.low))
	_, ymax = plotter.Range(plotter.Values(s.high))
	return xmin, xmax, ymin, ymax
}
