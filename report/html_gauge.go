package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// The gauge of the index has one scale for all clips, so that a column of them can be read down.
const (
	gaugeLow   = -8.0 // recorded stops
	gaugeHigh  = 8.0
	gaugeStop  = 11 // pixels to the stop
	gaugeWidth = (gaugeHigh - gaugeLow) * gaugeStop
)

func gaugeX(stops float64) float64 {
	x := (math.Min(math.Max(stops, gaugeLow), gaugeHigh) - gaugeLow) * gaugeStop
	return math.Round(x*10) / 10
}

// gauge draws where grey landed between floor and ceiling: a bar for the interval and a lozenge at
// the value, hollow where the evidence is weak. The ticks behind it, one a stop and a tall one at
// nominal, are drawn by the style sheet, which is quicker than 2,000 times the same lines.
func gauge(c Clip) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="gauge" width="%g" height="26" viewBox="0 0 %[1]g 26" aria-hidden="true">`, gaugeWidth)
	if floor, ok := known(c.Noise.FloorStops); ok && floor > gaugeLow {
		fmt.Fprintf(&b, `<rect class="under" width="%g" height="9" y="13"/>`, gaugeX(floor))
	}
	if ceiling := c.Highlights.Ceiling.RecordedStops; finite(ceiling) && ceiling < gaugeHigh {
		x := gaugeX(ceiling)
		fmt.Fprintf(&b, `<rect class="over" x="%g" width="%g" height="9" y="13"/>`, x, math.Round((gaugeWidth-x)*10)/10)
	}
	if p := c.Placement; p != nil && finite(p.Stops) {
		if finite(p.Low) && finite(p.High) && p.High > p.Low {
			fmt.Fprintf(&b, `<path class="span" d="M%g 8.5H%g"/>`, gaugeX(p.Low), gaugeX(p.High))
		}
		weak := ""
		if p.Weak {
			weak = " weak"
		}
		fmt.Fprintf(&b, `<path class="value%s" d="M%g 2.5l5 6-5 6-5-6z"/>`, weak, gaugeX(p.Stops))
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
